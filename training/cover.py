"""The pages of cover in words: which people, each cell, and what lapses ahead."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils.http import urlencode

from records.access import Ties, within
from records.firm.facts import own_sites, own_zone, posted_now
from records.firm.models import Person
from records.paper.bars import Bar, Chart
from records.rules.dates import day_says, day_start, end_of_day, local_day
from records.rules.words import AUTHORISATIONS, CREW, spoken
from training.facts import rows_of
from training.forms import CoverForm
from training.rules.matrix import AHEAD, Lapse, Row, lapses
from training.rules.standing import LEFT, NEVER, NOT_BEGUN, Standing, gap_before

ACT = "cover.see"
TIES = Ties((), "postings__site")
NOON = time(12)
MOST_BARS = 40


@dataclass(frozen=True)
class Asked:
    """The people asked for, as of an instant on the day, in a zone."""

    form: CoverForm
    rows: list[Row]
    zone: ZoneInfo
    at: datetime
    now: datetime

    @property
    def day(self) -> date:
        return local_day(self.at, self.zone)


@dataclass(frozen=True)
class Cell:
    """One authorisation of one person: a word, a mark (go, mind, stop, or none), whether it is a gap, where more is told, and where a gap is mended."""

    thing: str
    word: str
    mark: str
    gap: bool
    leads: str
    mend: str


@dataclass(frozen=True)
class Together:
    """What of one person stands the same way by the same award: the first of it, and all of it in words."""

    first: Lapse
    what: str


def people(person: Person, at: datetime) -> QuerySet[Person]:
    """Those whose cover the person may see: at a supervisor's sites, whoever is posted there."""
    return within(Person.objects.all(), person, ACT, TIES, at)


def still_here(rows: QuerySet[Person], day: date) -> QuerySet[Person]:
    """Those who have not left before the day; who leaves on it still works."""
    return rows.filter(Q(left_on=None) | Q(left_on__gte=day))


def asked(person: Person, at: datetime, data: Mapping[str, Any]) -> Asked:
    """What the address asks for, within the person's reach."""
    mine, sites, own = people(person, at), own_sites(person, ACT, at), own_zone(person, at)
    employers = sorted(set(mine.exclude(employer="").values_list("employer", flat=True)))
    form = CoverForm(sites, employers, local_day(at, own), data=data)
    chosen = form.chosen()
    zone = ZoneInfo(sites.get(pk=chosen["site"]).time_zone) if chosen.get("site") else own
    when = at if not chosen.get("day") else datetime.combine(chosen["day"], NOON, zone)
    rows = rows_of(_narrowed(still_here(mine, local_day(when, zone)), chosen, when).order_by("name", "person"), zone, when)
    return Asked(form, _ordered([row for row in rows if row.gaps or not chosen.get("gaps")], chosen.get("sort") or ""), zone, when, at)


def _narrowed(rows: QuerySet[Person], chosen: dict[str, Any], at: datetime) -> QuerySet[Person]:
    if words := chosen.get("search"):
        rows = rows.filter(Q(name__icontains=words) | Q(person__icontains=words) | Q(employer__icontains=words))
    if site := chosen.get("site"):
        rows = rows.filter(pk__in=posted_now(at).filter(site=site).values("person"))
    if employer := chosen.get("employer"):
        rows = rows.filter(employer=employer)
    if role := chosen.get("role"):
        rows = rows.filter(roles="") if role == CREW else rows.filter(roles__contains=role)
    return rows


def _ordered(rows: list[Row], sort: str) -> list[Row]:
    if sort == "gaps":
        return sorted(rows, key=lambda row: -len(row.gaps))
    return sorted(rows, key=lambda row: row.first_to_lapse or date.max) if sort == "lapse" else rows


def narrowed_says(form: CoverForm) -> Iterator[str]:
    """What narrows the people shown, where something does: `Only: Site Quay yard; Gaps only with a gap.`"""
    said = [f"{form.fields[name].label} {_choice(form, name, value)}" for name, value in form.chosen().items() if value and name not in ("sort", "day")]
    if said:
        yield f"Only: {'; '.join(said)}."


def _choice(form: CoverForm, name: str, value: str) -> str:
    return str(dict(getattr(form.fields[name], "choices", ())).get(value, value))


def cells(row: Row, day: date, *, may_enter: bool) -> list[Cell]:
    """Each authorisation of the person. `may_enter`: whoever looks may enter awards, and is led there from a gap."""
    return [_cell(row, row.standings[thing], day, may_enter) for thing in AUTHORISATIONS]


def _cell(row: Row, one: Standing, day: date, may_enter: bool) -> Cell:
    gap = one.thing in row.gaps
    leads = "" if one.award is None else reverse("leaf", args=["awards", one.award.award])
    mend = f"{reverse('enter', args=['awards'])}?{urlencode({'person': row.person})}" if gap and may_enter else ""
    return Cell(one.thing, standing_says(one), _mark(one, gap, day), gap, leads, mend)


def _mark(one: Standing, gap: bool, day: date) -> str:
    if one.in_date:
        return "mind" if one.good_through and one.good_through <= day + timedelta(days=AHEAD[0]) else "go"
    return "stop" if gap or one.since else ""


def standing_says(one: Standing) -> str:
    """`4 Mar 2027`, `no end`, `lapsed 3 Mar 2027`, `none`."""
    if one.in_date:
        return day_says(one.good_through) if one.good_through else "no end"
    if one.state == NEVER:
        return "none"
    if one.state == NOT_BEGUN:
        return f"from {day_says(one.booked[0].awarded_on)}" if one.booked else "not begun"
    return f"{'left' if one.state == LEFT else one.state} {day_says(one.since)}" if one.since else one.state


def csv_rows(found: Asked) -> Iterator[list[str]]:
    """The matrix as a spreadsheet has it: a person a row."""
    yield ["person", "name", "employer", "roles", *(spoken(thing) for thing in AUTHORISATIONS), "gaps", f"as of {found.day.isoformat()}"]
    for row in found.rows:
        said = [_iso(row.standings[thing]) for thing in AUTHORISATIONS]
        yield [row.person, row.name, row.employer, "; ".join(map(spoken, row.roles)), *said, "; ".join(map(spoken, row.gaps)), ""]


def _iso(one: Standing) -> str:
    if one.in_date:
        return one.good_through.isoformat() if one.good_through else "no end"
    return f"{one.state.replace('_', ' ')} {one.since.isoformat() if one.since else ''}".strip()


# what lapses ahead


def ahead(found: Asked) -> list[Lapse]:
    return lapses(found.rows, found.day)


def together(some: list[Lapse]) -> list[Together]:
    """Of each person what stands the same way by the same award, in the order of the first of them."""
    alike: dict[tuple[str, Standing], list[Lapse]] = {}
    for one in some:
        alike.setdefault((one.row.person, replace(one.standing, thing="")), []).append(one)
    return [Together(found[0], ", ".join(one.what for one in found)) for found in alike.values()]


def chart(found: Asked, some: list[Together]) -> Chart:
    """Each of them on the axis of the next ninety days."""
    today = day_start(found.day, found.zone)
    last = end_of_day(found.day + timedelta(days=AHEAD[-1]), found.zone) or today
    bars = tuple(_bar(one, found.zone, today) for one in some)
    marks = tuple(found.day + timedelta(days=days) for days in (0, *AHEAD))
    return Chart(bars, (today, last), found.at, last, f"in {AHEAD[-1]} days", found.zone, f"the next {AHEAD[-1]} days", "as of", marks)


def _bar(one: Together, zone: ZoneInfo, today: datetime) -> Bar:
    standing = one.first.standing
    ends = end_of_day(standing.good_through, zone) if standing.good_through else None
    begins = None if ends is None else min(today, ends) - timedelta(days=7)
    booked = tuple(day_start(award.awarded_on, zone) for award in standing.booked)
    return Bar(f"{one.first.row.name}: {one.what}", lapse_says(one.first), begins, ends, standing.in_date, booked)


def lapse_says(one: Lapse) -> str:
    """How it stands, and what is booked."""
    state = f"good through {standing_says(one.standing)}" if one.standing.in_date else standing_says(one.standing)
    if not one.standing.booked:
        return state
    gap = gap_before(one.standing)
    booked = f"{state}, renewal booked for {day_says(one.standing.booked[0].awarded_on)}"
    return f"{booked}, no cover from {day_says(gap[0])} through {day_says(gap[1])}" if gap else booked
