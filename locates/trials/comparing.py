"""A locate's plans against its ground, gathered in a fixed number of queries and put into words."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.module_loading import import_string
from shapely import Point, from_wkt

from locates.permits.facts import AtHand, at_hand
from locates.permits.models import Permit
from locates.permits.rules.evidence import Enquiry
from locates.permits.rules.frame import Frame, framed
from locates.surveys.models import Locate
from locates.trials.models import PlannedLine, Report, TrialHole
from locates.trials.rules.against import SETTLED, Dug, Planned, Shown, Told, by_which, compared, to_tell
from locates.trials.rules.dig import BY_HAND, SHALLOW, Dig, moment, stand_in, swept
from records.access import may
from records.firm.facts import in_force
from records.firm.models import Person
from records.rules.dates import instant_says, instant_text
from records.rules.words import spoken

LIMIT = "plan_difference_m"
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
    found = at_hand(locate.site, [locate.pk], [locate.operator_id])
    when = moment(found.locates[locate.pk], at)
    permits = list(Permit.objects.filter(locate=locate.pk).order_by("-valid_from", "permit").defer("work")[:MOST_PERMITS])
    chosen = next((one for one in permits if one.pk == permit), permits[0] if permits else None)
    dig = _dig(locate, chosen, found)
    frame = framed(found.evidence(stand_in(dig, found.people[locate.operator_id], when), locate.pk), when)
    planned = _planned(locate.site_id)
    holes = [_dug(one) for one in TrialHole.objects.filter(locate=locate.pk).order_by("hole")]
    limit = in_force(locate.site, when).number(LIMIT)
    shown = compared(frame, {name: line for name, (line, _) in planned.items()}, holes, limit)
    marked = _marked(list(to_tell(frame, shown, planned, holes, limit)), locate, person)
    return Compared(locate, frame, dig, chosen.pk if chosen else "", [one.pk for one in permits], shown, planned, holes, marked)


def _dig(locate: Locate, permit: Permit | None, found: AtHand) -> Dig:
    if permit is not None:
        return Dig(f"the dig of permit {permit.pk}", from_wkt(permit.outline), permit.depth_m, permit.method)
    sheet = import_string(settings.DIG_OF_A_LOCATE)(locate.pk)
    if sheet is None:
        return swept(found.locates[locate.pk])
    outline, depth, method = sheet
    return Dig("the dig of its field sheet", outline, depth or SHALLOW, method or BY_HAND)


def _planned(site: str) -> dict[str, tuple[Planned, str]]:
    rows = PlannedLine.objects.filter(service__enquiry__site=site).select_related("service")
    return {one.pk: (Planned(from_wkt(one.line), one.accuracy_m), one.service.utility) for one in rows}


def _dug(row: TrialHole) -> Dug:
    return Dug(row.pk, row.trace_id, Point(row.x, row.y), row.utility)


def _marked(every: list[Told], locate: Locate, person: Person) -> list[Marked]:
    reports = list(Report.objects.filter(locate=locate.pk).select_related("person").order_by("reported_at", "report"))
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
