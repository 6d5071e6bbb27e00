"""Owners' answers that were found wrong: a permit rests on none of them, and a locate made with one at hand is made again.

No register without plans found wrong has anything for this section to say.
"""

from collections.abc import Iterable, Iterator
from datetime import datetime

from shapely.geometry.base import BaseGeometry

from locates.permits.rules.evidence import Enquiry
from locates.permits.rules.frame import Frame
from locates.rules.ground import covers, united
from records.rules.names import owner_key
from records.rules.verdict import Finding


def blocks(frame: Frame) -> Iterator[Finding]:
    """Each answer found wrong by now that the permit rests on, or its locate was made with, and that nothing has made good since."""
    for one in frame.enquiries:
        found = found_at(one, frame.at)
        if found is not None and frame.meets_needed(one) and _rested_on(frame, one) and not _made_good(frame, one, found):
            yield _finding(frame, one, found)


def found_at(enquiry: Enquiry, at: datetime) -> datetime | None:
    """When it was first found wrong; None where nobody has by the instant."""
    return min((one.found_at for one in enquiry.found_wrong if one.found_at <= at), default=None)


def makes_good(right: Iterable[Enquiry], wrong: Enquiry, ground: BaseGeometry) -> bool:
    """Do these answers together show all of the ground that the wrong one is about?"""
    areas = [one.area for one in right]
    owed = ground if wrong.area is None else wrong.area.intersection(ground)
    return bool(areas) and (None in areas or covers(united(areas), owed))


def _rested_on(frame: Frame, one: Enquiry) -> bool:
    """Does it count now, or was it good when the locate began, replaced by then or not?"""
    return one in frame.good_answers or (frame.locate is not None and frame.good_at(one, frame.locate.started_at))


def _later(frame: Frame, wrong: Enquiry, found: datetime) -> list[Enquiry]:
    """The answers of that owner given after it was found wrong, which nobody has found wrong."""
    owned = frame.by_owner[owner_key(wrong.service_owner)]
    return [one for one in owned if frame.answered(one) and one.answered_at > found and found_at(one, frame.at) is None]


def _made_good(frame: Frame, wrong: Enquiry, found: datetime) -> bool:
    """Were later answers at hand and good when the locate began, and, while the wrong one still counts, are there some that count too?"""
    later = _later(frame, wrong, found)
    if wrong in frame.good_answers and not makes_good([one for one in later if one in frame.good_answers], wrong, frame.needed):
        return False
    return frame.locate is None or makes_good([one for one in later if frame.good_at(one, frame.locate.started_at)], wrong, frame.needed)


def _finding(frame: Frame, one: Enquiry, found: datetime) -> Finding:
    what = next(told.what for told in one.found_wrong if told.found_at == found).rstrip(".")
    told = f"The plans of {one.service_owner} ({one.enquiry}) were found wrong on {frame.says(found)}: {what}."
    remedy = (
        "Locate again with the new plans at hand." if _later(frame, one, found) else f"Ask {one.service_owner} again; locate again once the answer is there."
    )
    return Finding("plans.wrong", f"enquiry:{one.enquiry}", told, remedy, found)
