"""A person's own dates in words: for their page, their calendar and their paper."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.urls import reverse
from django.utils.http import urlencode

from locates.desks.facts import Kit, Own, last_changed, last_of_kit
from locates.desks.paper import Competence
from locates.desks.practice import Practised, on_paper, practised
from locates.desks.rules.calendar import Entry
from locates.rules.due import CALIBRATION, Due
from records.ledger.chain import digest
from records.rules.dates import day_says
from records.rules.says import days_away
from records.rules.words import TASKS, spoken
from training.rules.standing import LAPSED, LEFT, NEVER, NOT_BEGUN, WITHDRAWN, Standing, gap_before

STATES = {LAPSED: "Lapsed", WITHDRAWN: "Withdrawn", NOT_BEGUN: "Not begun", NEVER: "Never awarded", LEFT: "Left"}
WHY_NOT = {
    "not_yet_calibrated": "never calibrated",
    "calibration_failed": "left out of tolerance at its last calibration",
    "calibration_lapsed": "its calibration has lapsed",
    "none": "no self-test passed",
    "self_test_lapsed": "its self-test has lapsed",
}


@dataclass(frozen=True)
class Line:
    """One authorisation: what it allows, its large figure and what stands beside it, and where more is told."""

    allows: str
    good: bool
    soon: bool
    figure: str
    beside: str
    rebook: str
    award: str
    leads: str
    files: list[tuple[str, str]]
    booked: str


def allows(thing: str) -> str:
    """What it allows, in words."""
    return spoken(thing).capitalize() if thing in TASKS else f"Locating by {spoken(thing)}"


def all_of(things: list[str]) -> str:
    """Some things in one phrase: `Locating by passive power, passive radio and induction`."""
    techniques, tasks = [spoken(one) for one in things if one not in TASKS], [spoken(one) for one in things if one in TASKS]
    said = [f"locating by {_listed(techniques)}"] * bool(techniques) + tasks
    phrase = _listed(said)
    return phrase[:1].upper() + phrase[1:]


def _listed(words: list[str]) -> str:
    return " and ".join(part for part in (", ".join(words[:-1]), words[-1] if words else "") if part)


def lines(own: Own, today: date) -> list[Line]:
    """What the person was ever awarded, in the order of what lapses next; things that stand the same way by the same award share a line."""
    alike: dict[Standing, list[str]] = {}
    for one in own.held:
        alike.setdefault(replace(one, thing=""), []).append(one.thing)
    return [_line(own, one, things, today) for one, things in alike.items()]


def _line(own: Own, one: Standing, things: list[str], today: date) -> Line:
    rebook = one.rebook_from(own.lead)
    award = one.award
    certificate = f", certificate {award.certificate_no}" if award and award.certificate_no else ""
    return Line(
        allows=all_of(things),
        good=one.in_date,
        soon=rebook is not None and rebook <= today,
        figure=_figure(one),
        beside=_beside(one, today),
        rebook=_rebook(one, rebook, today),
        award=f"{award.award}, {award.course_title}{certificate}" if award else "",
        leads=reverse("leaf", args=["awards", award.award]) if award else "",
        files=[(kept.name, reverse("file", args=[kept.key])) for kept in own.proofs[award.award].files] if award else [],
        booked=_booked(one),
    )


def _figure(one: Standing) -> str:
    if one.in_date:
        return day_says(one.good_through) if one.good_through else "No end"
    return STATES[one.state]


def _beside(one: Standing, today: date) -> str:
    if one.in_date:
        return f"last good day, {days_away((one.good_through - today).days)}" if one.good_through else "it does not expire"
    if one.state == NOT_BEGUN:
        return f"it begins on {day_says(one.booked[0].awarded_on)}" if one.booked else ""
    return f"since {day_says(one.since)}, {days_away((one.since - today).days)}" if one.since else ""


def _rebook(one: Standing, rebook: date | None, today: date) -> str:
    if not one.in_date:
        return "Do not do this until a new award is recorded."
    if rebook is None:
        return ""
    if one.booked:
        return ""
    return f"Book the refresher now: it was to be booked by {day_says(rebook)}." if rebook <= today else f"Book the refresher by {day_says(rebook)}."


def _booked(one: Standing) -> str:
    if not one.booked:
        return ""
    gap = gap_before(one)
    told = f"Renewal booked for {day_says(one.booked[0].awarded_on)}."
    return f"{told} Between, from {day_says(gap[0])} through {day_says(gap[1])}, there is no cover." if gap else told


# instruments


@dataclass(frozen=True)
class Tool:
    """An instrument in words, with its addresses."""

    name: str
    leads: str
    needs: list[tuple[str, bool]]
    today: str
    checked: bool
    check: str
    self_test: str


def tools(own: Own, today: date) -> list[Tool]:
    return [_tool(one, today) for one in own.kit]


def _tool(one: Kit, today: date) -> Tool:
    instrument = one.instrument
    says = [(due_says(need, today), need.good) for need in one.needs]
    if not one.in_service:
        says.insert(0, (f"out of service since {day_says(instrument.out_of_service_from)}", False))
    wants = {need.what for need in one.needs}
    return Tool(
        name=f"{instrument.kind.capitalize()} {instrument.instrument}",
        leads=reverse("leaf", args=["instruments", instrument.instrument]),
        needs=says,
        today={"pass": "Checked today: passed", "fail": "Checked today: failed"}.get(one.today, "Not checked today"),
        checked=one.today == "pass",
        check=reverse("check", args=[instrument.instrument]),
        self_test=f"{reverse('check', args=[instrument.instrument])}?{urlencode({'kind': 'self_test'})}" if "self_test" in wants else "",
    )


def due_says(need: Due, today: date) -> str:
    """`calibration good through 4 Mar 2027, in 12 days`."""
    name = "calibration" if need.what == CALIBRATION else "self-test"
    if need.good:
        return f"{name} good through {day_says(need.through)}, {days_away((need.through - today).days)}" if need.through else f"{name} good for ever"
    since = f": it was good through {day_says(need.through)}" if need.through else ""
    return f"{WHY_NOT[need.why]}{since}"


# the calendar


def entries(own: Own, firm: str) -> Iterator[Entry]:
    """One entry for each last good day and each day to rebook. `firm`: what tells this firm's entries from another's."""
    sequence, latest = last_changed(own.person)
    changed = latest or own.person.recorded_at
    for one in own.held:
        if one.good_through is not None:
            told = f"{_booked(one)} {_award_says(one)}".strip()
            yield Entry(
                _uid(firm, own, one.thing, "last"), one.good_through, f"Last good day: {spoken(one.thing)}", told, sequence, changed or own.person.recorded_at
            )
        rebook = one.rebook_from(own.lead)
        if rebook is not None and not one.booked:
            told = f"Good through {day_says(one.good_through)}."
            yield Entry(
                _uid(firm, own, one.thing, "rebook"), rebook, f"Book the refresher: {spoken(one.thing)}", told, sequence, changed or own.person.recorded_at
            )
    yield from _kit_entries(own, firm)


def _kit_entries(own: Own, firm: str) -> Iterator[Entry]:
    sequence, latest = last_of_kit()
    changed = latest or own.person.recorded_at
    for one in own.kit:
        for need in one.needs:
            if need.through is not None and one.in_service:
                name = f"{one.instrument.kind} {one.instrument.instrument}"
                title = f"Last good day: {need.what.replace('_', '-')} of {name}"
                yield Entry(
                    _uid(firm, own, f"{one.instrument.instrument}/{need.what}", "kit"), need.through, title, "", sequence, changed or own.person.recorded_at
                )


def _award_says(one: Standing) -> str:
    return f"It rests on {one.award.course_title}." if one.award and one.award.course_title else ""


def _uid(firm: str, own: Own, thing: str, what: str) -> str:
    """The same for the same person and thing, whatever award it rests on."""
    return f"{digest(f'{firm}/{own.person.pk}/{thing}/{what}')[:40]}@dates.invalid"


def as_of(at: datetime, own: Own) -> date:
    return at.astimezone(own.zone).date()


def practised_lately(own: Own, today: date) -> Practised:
    may = [one.thing for one in own.held if one.in_date]
    return practised(own.person, own.practice, may, today, own.zone)


def competence(own: Own, today: date) -> Competence:
    """The sheet of the person as of the day."""
    person = own.person
    rows = [_row(own, one) for one in own.held]
    booked = [f"{allows(one.thing)}: {_booked(one)}" for one in own.held if one.booked]
    roles = ", ".join(spoken(role) for role in person.roles)
    made = f"{day_says(today)}, by the clock of {own.zone.key}"
    return Competence(person.name, person.pk, person.employer, roles, made, tuple(rows), tuple(booked), tuple(on_paper(practised_lately(own, today))))


def _row(own: Own, one: Standing) -> tuple[str, ...]:
    award = one.award
    good = day_says(one.good_through) if one.good_through else "no end" if one.in_date else "none"
    told = f"{award.award} {award.course_title}".strip() if award else "none"
    certificate = award.certificate_no if award and award.certificate_no else "not recorded"
    assessor = own.proofs[award.award].assessor if award else ""
    return allows(one.thing), "In date" if one.in_date else STATES[one.state], good, told, certificate, assessor or "not recorded"
