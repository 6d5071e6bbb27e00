"""Doubts, and what rested on the things in doubt, in words."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from django.urls import reverse

from locates.instruments.models import Calibration, Check, Instrument
from locates.life.rules.acts import SUSPEND
from locates.life.rules.story import open_to
from locates.recall.cases import BOOKS, HELD, LIVE, OVER, UNACCEPTED, UNUSED, Case, Item
from locates.recall.models import Decision
from locates.recall.paper import UNDECIDED, Sheet
from locates.recall.rules.decided import SAID
from locates.recall.rules.doubts import AWARD, CALIBRATION, CHECK, PLAN, ByCalibration, ByCheck, ByPlan, ByWithdrawal, Doubt
from locates.recall.rules.reach import PERMIT
from locates.surveys.models import WrongPlan
from records.firm.models import Person
from records.ledger.models import Entry
from records.rules.dates import day_says, instant_says
from records.rules.says import end_says
from training.models import Award

MODELS = {CALIBRATION: (Calibration, ()), CHECK: (Check, ("person",)), AWARD: (Award, ("person", "course")), PLAN: (WrongPlan, ("enquiry__site", "person"))}
# how a permit stands, and the shape beside it; how a locate does by its permits
SHAPES = {LIVE: "stop", HELD: "hold", UNACCEPTED: "mind", OVER: "over", UNUSED: "over"}
OF_A_PERMIT = {LIVE: "Live: may be dug by", HELD: "Suspended", UNACCEPTED: "Issued, not accepted", OVER: "Over"}
OF_A_LOCATE = {
    LIVE: "Under a live permit",
    HELD: "Under a suspended permit",
    UNACCEPTED: "Under an issued permit",
    OVER: "Its permits are over",
    UNUSED: "Under no signed permit",
}


@dataclass(frozen=True)
class Told:
    """A doubt in words: the thing, what was found, and what is in doubt because of it. `record`: the finding's own page.

    `openly`: what was found, for those who may not see the record: why somebody's award was withdrawn can be a matter of health or conduct.
    """

    doubt: Doubt
    thing: str
    found: str
    openly: str
    window: str
    record: str

    @property
    def address(self) -> str:
        return reverse("recall", args=[self.doubt.kind, self.doubt.key])


@dataclass(frozen=True)
class Line:
    """A locate or permit as the page tells it."""

    item: Item
    kind: str
    name: str
    address: str
    site: str
    when: str
    what: str
    how: str
    shape: str
    word: str
    decisions: tuple[tuple[str, str, str, str], ...]
    suspend: str = ""

    @property
    def mark(self) -> str:
        """How a form names it."""
        return ":".join(self.item.subject)


def told(known: Sequence[Doubt], zone: ZoneInfo) -> list[Told]:
    """Each of the doubts in words. One query a kind of finding, and one for instruments."""
    keys: dict[str, list[str]] = defaultdict(list)
    for one in known:
        keys[one.kind].append(one.key)
    records = {(kind, row.pk): row for kind, (model, beside) in MODELS.items() for row in model.objects.filter(pk__among=keys[kind]).select_related(*beside)}
    kit = {row.pk: row for row in Instrument.objects.filter(instrument__among={one.instrument for one in known if one.kind in (CALIBRATION, CHECK)})}
    return [_told(one, records[one.kind, one.key], kit, zone) for one in known]


def _told(doubt: Doubt, record: Any, kit: dict[str, Instrument], zone: ZoneInfo) -> Told:
    words = {CALIBRATION: _calibration, CHECK: _check, AWARD: _award, PLAN: _plan}[doubt.kind]
    thing = _instrument(kit[doubt.instrument]) if doubt.kind in (CALIBRATION, CHECK) else ""
    named, found, window = words(doubt, record, zone)
    openly = _withdrawn(record) if doubt.kind == AWARD else found
    return Told(doubt, thing or named, found, openly, window, reverse("leaf", args=[BOOKS[doubt.kind].slug, doubt.key]))


def _instrument(row: Instrument) -> str:
    return f"{row.kind.capitalize()} {row.pk}, serial no. {row.serial_no}"


def _calibration(doubt: ByCalibration, row: Calibration, zone: ZoneInfo) -> tuple[str, str, str]:
    how = {"out_of_tolerance": "Found out of tolerance", "not_measured": "Not measured as it was found", "in_tolerance": "Left unfit"}[row.as_found]
    left = "" if row.as_left == "in_tolerance" else f" It was left {row.as_left.replace('_', ' ')}."
    by = f" by {row.laboratory}" if row.laboratory else ""
    begins = f"from {day_says(doubt.good)}, when it was last known to be good" if doubt.good else "from its first use, for it was never known to be good before"
    ends = f"to {day_says(doubt.until)}, both days in full" if doubt.until else "and up to now, for it has not been put right"
    return "", f"{how} on {day_says(row.calibrated_on)}{by} (calibration {row.pk}).{left}", f"What was searched with it {begins}, {ends}."


def _check(doubt: ByCheck, row: Check, zone: ZoneInfo) -> tuple[str, str, str]:
    again = f"; so did the checks {', '.join(doubt.also)} after it" if doubt.also else ""
    note = f" {row.note.rstrip('.')}." if row.note else ""
    begins = f"after {instant_says(doubt.good, zone)}, when it last passed one" if doubt.good else "from its first use, for it never passed one before"
    ends = f"until it passed one again on {instant_says(doubt.until, zone)}" if doubt.until else "and up to now, for it has passed none since"
    found = f"Failed a check on {instant_says(row.checked_at, zone)}, made by {row.person.name} ({row.pk}){again}.{note}"
    return "", found, f"What was searched with it {begins}, {ends}."


def _award(doubt: ByWithdrawal, row: Award, zone: ZoneInfo) -> tuple[str, str, str]:
    thing = f"{row.person.name}: {row.course.title} ({row.pk})"
    found = f"{_withdrawn(row).rstrip('.')}: {row.withdrawn_because.rstrip('.')}."
    again = [day for day in doubt.again.values() if day is not None]
    ends = f", until another award came on {day_says(max(again))}" if len(again) == len(doubt.again) else ", for as long as no other award allows the same"
    return thing, found, f"What was done or went on from that day on by {row.person.name} as operator, issuer, receiver or crew{ends}."


def _withdrawn(row: Award) -> str:
    return f"Withdrawn on {day_says(row.withdrawn_on)}."


def _plan(doubt: ByPlan, row: WrongPlan, zone: ZoneInfo) -> tuple[str, str, str]:
    asked = row.enquiry
    here = ZoneInfo(asked.site.time_zone)
    by = f", told by {row.told_by.rstrip('.')}" if row.told_by else ""
    found = f"Found wrong on {instant_says(row.found_at, here)} by {row.person.name}{by}: {row.what.rstrip('.')}."
    counted = f"from {instant_says(asked.answered_at, here)}{f' {end_says(doubt.counts.ends, here)}' if doubt.counts.ends else ' on'}"
    window = f"Locates on its ground begun while it was good, {counted}, and permits on them or signed on it; but not those with a later, right answer at hand."
    return f"Plans of {asked.service_owner} ({asked.pk}), {asked.site.name}", found, window


def line(item: Item, reader: Person) -> Line:
    """A line of the page. `reader`: for whom a live permit leads to where they suspend it."""
    row, permit = item.record, item.resting.kind == PERMIT
    zone = ZoneInfo(row.site.time_zone)
    may_suspend = item.live and SUSPEND in open_to(item.life, reader.pk)
    return Line(
        item=item,
        kind="Permit" if permit else "Locate",
        name=row.pk,
        address=reverse("permit", args=[row.pk]) if permit else reverse("leaf", args=["locates", row.pk]),
        site=row.site.name,
        when=f"from {instant_says(row.valid_from, zone)}" if permit else f"begun {instant_says(row.started_at, zone)}",
        what=row.work if permit else f"by {row.operator.name}",
        how=item.resting.how,
        shape=SHAPES[item.rank],
        word=(OF_A_PERMIT if permit else OF_A_LOCATE)[item.rank],
        decisions=tuple(decision_says(one, zone) for one in item.decisions),
        suspend=reverse("step", args=[row.pk, SUSPEND]) if may_suspend else "",
    )


def decision_says(one: Decision, zone: ZoneInfo) -> tuple[str, str, str, str]:
    """What was decided, why, by whom and when."""
    return SAID[one.decided], one.why, one.person.name, instant_says(one.decided_at, zone)


def entered(doubt: Doubt, zone: ZoneInfo) -> str:
    """Who entered the finding, and when; nothing where it came in before there was a history."""
    about = Entry.objects.filter(kind=BOOKS[doubt.kind].kind, subject_id=doubt.key).order_by("seq")
    # an award is there before it is withdrawn
    one = about.filter(body__contains="withdrawn_on").last() if doubt.kind == AWARD else about.first()
    return f"Entered by {one.actor_name} on {instant_says(one.recorded_at, zone)}." if one else ""


def sheet(words: Told, case: Case, lines: Sequence[Line], made: str) -> Sheet:
    """The recall as its paper has it."""
    return Sheet(words.thing, words.found, words.window, f"{tally(case).capitalize()}.", made, [_row(one) for one in lines])


def _row(one: Line) -> tuple[str, ...]:
    decided, why, by, when = one.decisions[0] if one.decisions else (UNDECIDED, "", "", "")
    return (f"{one.kind} {one.name}", one.site, one.when, one.how, one.word, decided, why, f"{by}, {when}" if by else "")


def tally(case: Case) -> str:
    """How much of it is done, in a few words."""
    owed = [one for one in case.items if not one.resting.before]
    permits = sum(one.resting.kind == PERMIT for one in owed)
    return f"{_count(permits, 'permit')}, {_count(len(owed) - permits, 'locate')}; {case.undecided or 'none'} of them undecided"


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"
