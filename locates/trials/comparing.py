"""A locate's plans against its ground, gathered in a fixed number of queries and put into words."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.urls import reverse
from django.utils.http import urlencode

from locates.permits.rules.evidence import Enquiry
from locates.permits.rules.frame import Frame, framed
from locates.surveys.models import Locate
from locates.trials.gathering import Gathered, gathered
from locates.trials.models import Report
from locates.trials.rules.against import SETTLED, Dug, Planned, Shown, Told, by_which, compared, to_tell
from locates.trials.rules.dig import Dig, moment, stand_in
from records.access import may
from records.firm.models import Person
from records.rules.dates import instant_says, instant_text
from records.rules.words import spoken

MOST_PERMITS = 10
HEADS = ("locate", "what", "owner", "trace", "hole", "service", "reported_at", "reported_by", "reported_to", "note")


@dataclass(frozen=True)
class Marked:
    """Something that an owner wants to know, and what of it was reported: to whom, when and by whom. `another`: where a report is entered."""

    told: Told
    reports: list[Report]
    another: str

    def says(self, zone: ZoneInfo) -> list[str]:
        return [f"{one.service_owner}, {instant_says(one.reported_at, zone)}, by {one.person.name}" for one in self.reports]


@dataclass(frozen=True)
class Compared:
    """All that the pages show."""

    locate: Locate
    frame: Frame
    dig: Dig
    permit: str
    permits: list[str]
    shown: list[Shown]
    planned: dict[str, tuple[Planned, str]]
    holes: list[Dug]
    marked: list[Marked]

    @property
    def zone(self) -> ZoneInfo:
        return self.frame.zone


def compare(locate: Locate, permit: str, person: Person, at: datetime) -> Compared:
    """The locate's plans against its ground, for the dig of the permit so named, else of the latest, else of its field sheet, else of what was swept."""
    return compared_by(gathered([locate]), locate, permit, person, at)


def compared_by(known: Gathered, locate: Locate, permit: str, person: Person, at: datetime) -> Compared:
    """The same of one of the locates that were gathered."""
    found, planned, holes = known.at_hand[locate.site_id], known.planned[locate.site_id], known.holes.get(locate.pk, [])
    when = moment(found.locates[locate.pk], at)
    permits = known.permits.get(locate.pk, [])[:MOST_PERMITS]
    chosen = next((one for one in permits if one.pk == permit), permits[0] if permits else None)
    dig = known.dig(locate, chosen)
    frame = framed(found.evidence(stand_in(dig, found.people[locate.operator_id], when), locate.pk), when)
    limit = known.limit(locate, when)
    shown = compared(frame, {name: line for name, (line, _) in planned.items()}, holes, limit)
    marked = _marked(list(to_tell(frame, shown, planned, holes, limit)), locate, known.reports.get(locate.pk, []), person)
    return Compared(locate, frame, dig, chosen.pk if chosen else "", [one.pk for one in permits], shown, planned, holes, marked)


def _marked(every: list[Told], locate: Locate, reports: list[Report], person: Person) -> list[Marked]:
    enters = may(person, "report.enter")
    return [Marked(one, [report for report in reports if _of(report, one)], _entering(one, locate.pk) if enters else "") for one in every]


def _of(report: Report, told: Told) -> bool:
    """Is it a report of just this?"""
    if told.service:
        return report.service_id == told.service
    return report.service_id is None and ((bool(told.trace) and report.trace_id == told.trace) or (bool(told.hole) and report.hole_id == told.hole))


def _entering(told: Told, locate: str) -> str:
    held = {"locate": locate, "trace": told.trace, "hole": told.hole, "service": told.service, "service_owner": told.owner}
    return f"{reverse('enter', args=['reports'])}?{urlencode({name: value for name, value in held.items() if value})}"


# in words


@dataclass(frozen=True)
class Owned:
    """What one owner's plan shows, or that it shows nothing, or that there is none."""

    owner: str
    enquiry: str
    says: str
    services: list[dict[str, Any]]


def by_owner(found: Compared) -> list[Owned]:
    """The owners asked, each with the services of their plans, as things stood at the instant."""
    return [_owned(found, one) for owned in found.frame.live_by_owner.values() for one in _of_this_ground(found.frame, owned)]


def _of_this_ground(frame: Frame, owned: list[Enquiry]) -> list[Enquiry]:
    """Of an owner's enquiries those that this ground is part of; where there is none, the latest."""
    return [one for one in owned if frame.meets_needed(one)] or [max(owned, key=lambda one: (one.sent_on, one.enquiry))]


def _owned(found: Compared, asked: Enquiry) -> Owned:
    services = [line(one) for one in found.shown if one.enquiry.enquiry == asked.enquiry]
    return Owned(asked.service_owner, asked.enquiry, "" if services else _why_none(found.frame, asked), services)


def _why_none(frame: Frame, asked: Enquiry) -> str:
    if not frame.meets_needed(asked):
        return "asked about other ground only"
    if not frame.answered(asked):
        return "had not answered"
    if not frame.good_at(asked, frame.at):
        return "the answer was no longer good"
    return "the plans show nothing here" if asked.nothing_shown else "no service of the answer is entered"


def line(one: Shown) -> dict[str, Any]:
    """A row of the table."""
    return {
        "service": one.service.service,
        "utility": spoken(one.service.utility),
        "how": one.how,
        "settled": one.how in SETTLED,
        "says": one.says,
        "traces": [(trace.trace, by_which(trace)) for trace in one.traces],
        "planned": one.planned is not None,
        "apart": one.difference.says if one.difference is not None else "",
        "beyond": one.beyond,
        "limit": f"{one.limit_m.normalize():f} m",
    }


def csv_rows(found: Compared) -> Iterator[tuple[str, ...]]:
    """What is to be reported, a row for each report that was made of it, and one for each of which none was."""
    yield HEADS
    for one in found.marked:
        told = one.told
        about = (found.locate.pk, told.says, told.owner, told.trace, told.hole, told.service)
        for report in one.reports:
            yield (*about, instant_text(report.reported_at, found.zone), report.person.name, report.service_owner, report.note)
        if not one.reports:
            yield (*about, "", "", "", "")
