"""What the owners were asked through the year and what they answered, as register rows."""

from collections.abc import Iterator
from typing import NamedTuple

from locates.permits.demo import grid
from locates.permits.demo.days import Calendar
from locates.permits.demo.parts import Asked, Buried, Place, Street

EARLIER = ((204, 200), (124, 120), (38, 35))  # working days back: sent, answered
REASON_CLOSED = "The owner's desk says it holds no records of this street; asked again through the county."


class Answer(NamedTuple):
    """One enquiry of the year. `answered`: working days back, None where it never was. `shows`: the keys of the services it shows."""

    enquiry: str
    street: Street
    owner: str
    sent: int
    answered: int | None
    shows: tuple[Buried, ...]
    asked: Asked
    latest: bool
    before: "Answer | None"

    def service(self, key: str) -> str:
        return f"{self.enquiry}.{key}"

    def shows_key(self, key: str) -> bool:
        return any(one.key == key for one in self.shows)


def answers(site: Place) -> list[Answer]:
    """All enquiries of a site, street by street, owner by owner, from the earliest round on."""
    return [one for street in site.streets for owner in site.owners for one in _rounds(street, owner, site.answers.get((street.key, owner), Asked()))]


def _rounds(street: Street, owner: str, asked: Asked) -> Iterator[Answer]:
    days = [*EARLIER, (asked.sent, asked.answered)][-asked.rounds :]
    before = None
    for number, (sent, answered) in enumerate(days, 1):
        latest = number == len(days)
        name = f"{street.key}-{owner}-{number}"
        before = Answer(name, street, owner, sent, answered, _shown(street, owner, asked, answered, latest), asked, latest, before)
        yield before


def _shown(street: Street, owner: str, asked: Asked, answered: int | None, latest: bool) -> tuple[Buried, ...]:
    if answered is None or not asked.entered:
        return ()
    dropped = asked.dropped if latest else ()
    return tuple(one for one in street.buried if one.owner == owner and one.planned and one.key not in dropped)


def enquiry_row(site: Place, days: Calendar, one: Answer) -> dict[str, str]:
    latest = one.latest
    area = one.asked.area if latest and one.asked.area else grid.whole(one.street)
    answered_on = None if one.answered is None else days.worked(one.answered)
    closed = one.asked.closed if latest else None
    return {
        "enquiry": one.enquiry,
        "site": site.site,
        "service_owner": site.owners[one.owner],
        "sent_on": days.worked(one.sent).isoformat(),
        "area": grid.patch(one.street, area),
        "answered_at": "" if answered_on is None else days.text(days.clock(answered_on, "14:20")),
        "good_through": _printed(days, one),
        "nothing_shown": "yes" if answered_on and not one.shows and one.asked.entered else "",
        "reference_no": f"{one.owner}/{one.street.key}/{1400 + 7 * one.sent + sum(map(ord, one.enquiry)) % 89}",
        "replaces": one.before.enquiry if one.before else "",
        "closed_on": "" if closed is None else days.worked(closed).isoformat(),
        "closed_because": "" if closed is None else REASON_CLOSED,
    }


def _printed(days: Calendar, one: Answer) -> str:
    """The last day the owner printed, on the latest answer of those who print one."""
    if one.asked.printed_days is None or not one.latest or one.answered is None:
        return ""
    today_less_answer = (days.today - days.worked(one.answered)).days
    return days.day(today_less_answer - one.asked.printed_days).isoformat()


def service_rows(one: Answer) -> list[dict[str, str]]:
    return [
        {
            "service": one.service(shown.key),
            "enquiry": one.enquiry,
            "utility": shown.utility,
            "conductive": "yes" if shown.conductive else "no",
            "same_as": one.before.service(shown.key) if one.before and one.before.shows_key(shown.key) else "",
            "note": shown.note,
        }
        for shown in one.shows
    ]


def known_as(site_answers: list[Answer], street: str, key: str, back: int) -> str:
    """The service's name on the latest answer given before a locate so many working days back; empty where no plan showed it then."""
    names = [one.service(key) for one in site_answers if one.street.key == street and one.answered and one.answered > back and one.shows_key(key)]
    return names[-1] if names else ""
