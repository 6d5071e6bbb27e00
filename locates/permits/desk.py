"""One permit as its pages show it: what the gate said, put into words and figures. Nothing is judged here."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.safestring import mark_safe

from locates.permits.actions import Changed, NeedsSecondFactor, NotTheirs, OutOfTurn, Prospect, Refused, WrongCode
from locates.permits.lists import mended, wait, word
from locates.permits.models import SignOff
from locates.permits.owing import owing
from locates.permits.paper import bars_svg, plan_svg, state_of, zone_of
from locates.permits.remedies import Way, ways
from locates.permits.rules.depths import NO_PROOF
from locates.permits.rules.form import declared, numbers_in_force
from locates.permits.rules.frame import framed
from locates.permits.rules.signing import ACCEPT, DECLARATIONS, ISSUE, signer
from locates.permits.rules.standing import standing
from locates.permits.since import goes_on, told
from records.firm.models import Person
from records.rules.dates import day_says, instant_says, last_day_says, local_day
from records.rules.says import away, end_says, ends_with_a_day, full_says, window_says
from records.rules.verdict import Finding, rounded

DEEDS = {ISSUE: ("issue", "issued", "issuer"), ACCEPT: ("accept", "accepted", "receiver")}
CHECK, NOTICE = "check", "standing"
SOON = timedelta(days=7)  # what ends within it, or before the permit, is told open; the rest of what holds is folded
GROUPS = {
    "plans": "Owners’ plans",
    "locate": "The locate",
    "award": "People’s awards",
    "calibration": "Calibrations",
    "self_test": "Self-tests",
    CHECK: "Before-use checks",
    "agreement": "Owners’ agreements",
}
REFUSALS: dict[type[Exception], str] = {
    Refused: "Nothing was signed: the gate refuses, for the reasons below, on the records as they stand now.",
    Changed: "Nothing was signed: what you were shown has changed since. Read the page again, and sign if it still holds.",
    OutOfTurn: "Nothing was signed: another signature was made meanwhile, and this one is not due.",
    NeedsSecondFactor: "Nothing was signed: here whoever signs proves it with a second factor too.",
    WrongCode: "Nothing was signed: that code is not good, or was used already.",
    NotTheirs: "Nothing was signed: the permit names somebody else for this.",
}


@dataclass(frozen=True)
class Said:
    """A finding in words: `since` is when its reason began."""

    code: str
    says: str
    remedy: str
    since: str
    ways: list[Way] = field(default_factory=list)


@dataclass(frozen=True)
class Figure:
    """An end in large letters, with what is said beside it."""

    day: str
    beside: str


@dataclass(frozen=True)
class Bar:
    """A piece of evidence in the table, in the paper's words."""

    label: str
    detail: str
    state: str
    away: str
    good: bool
    pressing: bool


@dataclass(frozen=True)
class Signed:
    """A signature as the page prints it, with the verdict that it was made upon."""

    meaning: str
    deed: str
    name: str
    when: str
    declaration: str
    digest: str
    until: str


@dataclass(frozen=True)
class Turn:
    """Whose signature is due: of what meaning, by whom, declaring what, and whether that is the person who looks."""

    meaning: str
    deed: str
    capacity: str
    name: str
    declaration: str
    mine: bool


def answer(prospect: Prospect, at: datetime, person: Person, *, stored: bool = True) -> dict[str, Any]:
    """What stands at the top of every page about a permit: the verdict, in full."""
    verdict, permit = prospect.verdict, prospect.evidence.permit
    signed = [one.meaning for one in prospect.signatures]
    labels = {row.subject: row.label for row in standing(prospect.evidence, at)}
    since = told([permit.permit], at).get(permit.permit) if signed else None
    on = goes_on(since, prospect.evidence, verdict)
    stage = (verdict.clear or on, ISSUE in signed, ACCEPT in signed, permit.valid_from <= at)
    return {
        "verdict": verdict,
        "goes_on": on,
        "since": since,
        "owing": owing([permit.permit], person, at).get(permit.permit) if ACCEPT in signed else None,
        "stopped": since is not None and not since.digs,
        "over": since is not None and not since.digs and since.shape == "over",
        "word": word(*stage) if since is None or since.digs else since.word,
        "wait": wait(*stage) if since is None or since.digs else since.says,
        "blocks": [replace(said(one, at, verdict.zone), ways=_ways(one, prospect, person, stored)) for one in mended(verdict)],
        "cautions": [said(one, at, verdict.zone) for one in verdict.cautions if one.code != NOTICE],
        "conditions": _tagged(prospect),
        "hand": {"area": rounded(verdict.hand_area_m2), "volume": rounded(verdict.hand_volume_m3)},
        "ends": figure(permit.valid_to, at, verdict.zone),
        "good": figure(verdict.good_until, at, verdict.zone),
        "limited_by": [labels.get(subject, "the longest time that a permit may run") for subject in verdict.limited_by],
        "begins": full_says(permit.valid_from, at, verdict.zone),
        "begun": permit.valid_from <= at,
        "asked_at": instant_says(at, verdict.zone),
        "method": permit.method,
        "depth": f"{permit.depth_m.normalize():f} m",
        "window": window_says(permit.valid_from, permit.valid_to, verdict.zone),
        "numbers": numbers_in_force(framed(prospect.evidence, at)),
        "emergency": declared(prospect.evidence, at),
        "crew": sorted(permit.crew, key=lambda one: (one.name, one.person)),
    }


def _tagged(prospect: Prospect) -> list[dict[str, str]]:
    """What to keep to, each with the tag that its trace bears on the plan."""
    tags = {f"trace:{trace['trace']}": trace["tag"] for trace in prospect.sheet["traces"]}
    return [{"tag": tags.get(one.subject, ""), "says": one.says} for one in prospect.verdict.conditions]


def _ways(one: Finding, prospect: Prospect, person: Person, stored: bool) -> list[Way]:
    return ways(one, prospect.evidence, person, signed=bool(prospect.signatures), stored=stored)


def said(finding: Finding, at: datetime, zone: ZoneInfo) -> Said:
    return Said(finding.code, finding.says, finding.remedy, since_says(finding.since, at, zone) if finding.since else "")


def since_says(since: datetime, at: datetime, zone: ZoneInfo) -> str:
    """A reason that began with a day is told by the day."""
    if not ends_with_a_day(since, zone):
        return f"{instant_says(since, zone)}, {away(since, at, zone)}"
    day = local_day(since, zone)
    return f"{day_says(day)}, {'today' if day == local_day(at, zone) else away(since, at, zone)}"


def figure(end: datetime, at: datetime, zone: ZoneInfo) -> Figure:
    """The last day in large letters; beside it the time of day and how far off it is."""
    if ends_with_a_day(end, zone):
        return Figure(last_day_says(end, zone), f"through that day, {away(end, at, zone)}")
    day = day_says(local_day(end, zone))
    return Figure(day, f"{instant_says(end, zone).removeprefix(day).strip()}, {away(end, at, zone)}")


def table(sheet: dict[str, Any], at: datetime | None = None) -> list[tuple[str, list[Bar]]]:
    """Every piece of evidence on the sheet by its group; with `at`, how far off its end is, and whether that is soon."""
    soon = max(at + SOON, datetime.fromisoformat(sheet["window"][1])) if at else None
    groups = {group: [bar(row, zone_of(sheet), at, soon) for row in sheet["standing"] if row["group"] == group] for group in GROUPS}
    return [(GROUPS[group], bars) for group, bars in groups.items() if bars]


def bar(row: dict[str, Any], zone: ZoneInfo, at: datetime | None, soon: datetime | None) -> Bar:
    ends = datetime.fromisoformat(row["ends"]) if at and row["ends"] and row["group"] != CHECK else None
    far = away(ends, at, zone) if at and ends else ""
    return Bar(row["label"], row["detail"], state_of(row, zone), far, row["good"], not row["good"] or bool(ends and soon and ends < soon))


def evidence(sheet: dict[str, Any], at: datetime) -> dict[str, Any]:
    """The table in two parts: what does not hold or ends soon, and what holds for longer, which a page may fold, with how much that is in words."""
    every = table(sheet, at)
    pressing, holding = ([(group, [one for one in bars if one.pressing == asked]) for group, bars in every] for asked in (True, False))
    parts = {"table": [one for one in pressing if one[1]], "holding": [one for one in holding if one[1]]}
    counted = ", ".join(f"{group[:1].lower()}{group[1:]} ({len(bars)})" for group, bars in parts["holding"])
    return parts | {"held_so": f"Holds through the permit, and for a week at least: {counted}"}


def places(shown: Mapping[str, Any]) -> list[tuple[str, str]]:
    """The parts of a permit's page that one may go to at once: the id of each and what the link says."""
    keep = [("keep-to", "Keep to")] if shown["conditions"] else []
    since = [("life", "Since it was signed")] if shown["life"] and shown["life"].get("past") else []
    return [*keep, ("plan", "Plan"), ("evidence", "Evidence"), *since, *(one["place"] for one in shown["parts"] if "place" in one), ("work", "Work")]


def signatures(prospect: Prospect) -> list[Signed]:
    return [signed(one, prospect.verdict.zone) for one in prospect.signatures]


def signed(one: SignOff, zone: ZoneInfo) -> Signed:
    until = datetime.fromisoformat(json.loads(one.verdict)["good_until"])
    when = instant_says(one.signed_at, zone)
    return Signed(one.meaning, DEEDS[one.meaning][1], one.printed_name, when, one.declaration, one.digest, end_says(until, zone))


def turn(prospect: Prospect, person: Person) -> Turn | None:
    """The signature due next, None when all are made."""
    if prospect.due is None:
        return None
    by = signer(prospect.evidence.permit, prospect.due)
    deed, _, capacity = DEEDS[prospect.due]
    return Turn(prospect.due, deed, capacity, by.name, DECLARATIONS[prospect.due], by.person == person.person)


def out_of_turn(prospect: Prospect, person: Person) -> str:
    """Why there is nothing here for this person to sign now."""
    mine = [DEEDS[one.meaning][1] for one in prospect.signatures if one.person_id == person.person]
    if mine:
        return f"You have {' and '.join(mine)} this permit. It is signed once, and was not signed again."
    return "It is not your turn to sign this permit."


def drawings(sheet: dict[str, Any]) -> dict[str, str]:
    # drawn by our own paper from the sheet, which escapes every word in it
    return {"plan": mark_safe(plan_svg(sheet)), "bars": mark_safe(bars_svg(sheet)), "no_proof": NO_PROOF}


def record(one: SignOff, sheet: dict[str, Any]) -> dict[str, Any]:
    """What a signature's own page says of it beside the sheet."""
    zone = zone_of(sheet)
    begins, ends = map(datetime.fromisoformat, sheet["window"])
    return {"signature": signed(one, zone), "window": window_says(begins, ends, zone), "table": table(sheet)}
