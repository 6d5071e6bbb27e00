"""What stands of recalls on other pages: on those of the permits and locates that rest on a thing in doubt, and of the findings that cast it."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from locates.instruments.models import Instrument
from locates.permits.models import Permit
from locates.recall import desk
from locates.recall.cases import BOOKS, Case, case_of, cases, every_case, live_in, seen
from locates.recall.cases import of_locate as in_which_locate
from locates.recall.cases import of_permit as in_which_permit
from locates.recall.facts import Asked, doubts
from locates.recall.rules.doubts import PLAN
from locates.surveys.models import Enquiry, Locate
from records.access import may
from records.firm.facts import own_zone
from records.firm.models import Person

Part = dict[str, Any] | None
SEE = "recall.see"
KINDS = {BOOKS[kind].kind: kind for kind in BOOKS}


def of_permit(permit: Permit, reader: Person, at: datetime) -> Part:
    """Why the permit is in doubt, and what was decided of it."""
    return _note(in_which_permit(permit, reader, at), "permit", reader, at)


def of_locate(locate: Locate, reader: Person, at: datetime) -> Part:
    """Why the locate is in doubt, and what was decided of it."""
    return _note(in_which_locate(locate, reader, at), "locate", reader, at)


def _note(found: Sequence[Case], what: str, reader: Person, at: datetime) -> Part:
    """Each doubt as far as the reader may see its finding. It leads to all that rested on it where they see recalls too."""
    told = desk.told([one.doubt for one in found], own_zone(reader, at)) if found else []
    shown = seen([one.doubt for one in found], reader, at) if found else []
    rows = [
        (words, words.found if one.doubt in shown else words.openly, desk.line(item, reader), one.doubt in shown and may(reader, SEE))
        for one, words in zip(found, told, strict=True)
        for item in one.items
    ]
    return {"template": "recall/_note.html", "doubts": rows, "what": what} if rows else None


def of_finding(record: Any, reader: Person, at: datetime) -> Part:
    """On how much a finding bears, where it casts doubt on anything."""
    case = case_of(KINDS[record._meta.model_name], record.pk, reader, at)
    return _leading([case] if case else [], reader, at)


def of_instrument(instrument: Instrument, reader: Person, at: datetime) -> Part:
    """What was found of the instrument that casts doubt."""
    return _leading(cases(doubts(Asked({instrument.pk}, (), ()), at), reader, at), reader, at)


def of_enquiry(enquiry: Enquiry, reader: Person, at: datetime) -> Part:
    """What was found wrong in the answer."""
    known = [one for one in doubts(Asked((), (), {enquiry.site_id}), at) if one.kind == PLAN and one.enquiry == enquiry.pk]
    return _leading(cases(known, reader, at), reader, at)


def _leading(found: Sequence[Case], reader: Person, at: datetime) -> Part:
    bearing = [one for one in found if one.bearing] if may(reader, SEE) else []
    if not bearing:
        return None
    told = desk.told([one.doubt for one in bearing], own_zone(reader, at))
    return {"template": "recall/_of_finding.html", "bearings": [(words, one, desk.tally(one)) for one, words in zip(bearing, told, strict=True)]}


def exposure(reader: Person, at: datetime) -> dict[str, int]:
    """For a first page: on how many live permits doubt is cast, and of how much nothing is decided."""
    found = every_case(reader, at)
    return {"things": len(found), "live": live_in(found), "undecided": sum(one.undecided for one in found)}
