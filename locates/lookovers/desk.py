"""A dig's diary in words, for its pages and its paper; and what is owed by permits, for theirs. Nothing is judged here."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Any
from zoneinfo import ZoneInfo

from django.urls import reverse

from locates.life.facts import lives
from locates.life.rules.acts import ISSUED, PREPARED
from locates.life.rules.story import Life
from locates.lookovers.facts import Again, again, may_write, on_it, owed_by, rows_of
from locates.lookovers.models import DiaryRow
from locates.lookovers.paper import Sheet
from locates.lookovers.rules.words import EVENT, EXPOSURE, KINDS_SAY, LOOK_OVER, OCCASIONS_SAY, PARTS_SAY, RAIN, SWEEP, WRONG_SAYS
from locates.permits.models import Permit
from locates.permits.owing import Owing
from locates.rules.depth import metres_says
from locates.trials.facts import held
from records.firm.models import Person
from records.rules.dates import day_says, instant_says, local_day
from records.rules.words import spoken

LOOK = "Look it over"
SEEN, DONE, TO_DO, THEN = "Seen", "Done", "Still to do", "Then"
# nothing that was found, or not found, is a mark to go by
SOUND_MARKS = {LOOK_OVER: "go"}
ACTED = (DONE, TO_DO, THEN)
NOTHING_NEW, NOT_ON_PLAN = "Nothing new came up.", "Something was found that is not on the plan."


@dataclass(frozen=True, slots=True)
class Line:
    """A row of a diary as it is read. `mark`: how it bodes, as the marks of pages have it; `beside`: its further parts, each under its head."""

    day: str
    when: str
    kind: str
    says: str
    name: str
    part: str
    mark: str
    beside: tuple[tuple[str, str], ...]


def owing(permits: Collection[str], reader: Person | None, at: datetime) -> dict[str, Owing]:
    """The look-over that each permit owes; it falls to everyone who is on the permit."""
    return {key: Owing(one.says, _leads(key, life, reader) if reader else "", LOOK) for key, (one, life) in owed_by(permits, at).items()}


def _leads(permit: str, life: Life, reader: Person) -> str:
    return reverse("look_over", args=[permit]) if on_it(life, reader.pk) else ""


# a permit's diary


def part(permit: Permit, reader: Person, at: datetime) -> dict[str, Any] | None:
    """What a permit's page says of its days; None of one that nobody has accepted."""
    life = lives([permit], at)[permit.pk]
    return None if life.state in (PREPARED, ISSUED) else {"template": "lookovers/_part.html", "place": ("diary", "Diary")} | diary(permit, life, reader, at)


def diary(permit: Permit, life: Life, reader: Person, at: datetime) -> dict[str, Any]:
    """The whole diary in words, what is owed, what was exposed, and whether the reader may write in it."""
    rows, zone = rows_of([permit.pk])[permit.pk], ZoneInfo(permit.site.time_zone)
    swept = again(permit, rows, at)
    owed = owed_by([permit.pk], at).get(permit.pk)
    lines = [line(row, swept.doubts.get(row.pk, ())) for row in rows]
    return {
        "permit": permit,
        "days": [(day, list(some)) for day, some in groupby(lines, key=lambda one: one.day)],
        "today": [one for one in lines if one.day == day_says(local_day(at, zone))],
        "owed": owed[0].says if owed else "",
        "next_sweep": _next_sweep(swept),
        "traces": exposed(permit, rows, at),
        "bores": permit.method == "bore",
        "writes": may_write(life, reader.pk),
        "seen": len(rows),
    }


def _next_sweep(swept: Again) -> str:
    if swept.next_m is None:
        return ""
    return f"Sweep again at {metres_says(swept.next_m)} deep, and each {metres_says(swept.each_m)} after."


def exposed(permit: Permit, rows: Iterable[DiaryRow], at: datetime) -> list[tuple[str, str]]:
    """Each trace of the permit's locate, and where it was exposed while the permit was dug by; then what no trace shows."""
    if permit.locate is None:
        return []
    zone, found = ZoneInfo(permit.site.time_zone), [row for row in rows if row.kind == EXPOSURE]
    told = held([row.hole for row in found], at)
    by_trace: dict[str, list[str]] = {}
    for one in told:
        by_trace.setdefault(one.hole.trace_id or "", []).append(_exposure(one, zone))
    every = [(f"{trace.pk}, {spoken(trace.utility)}", "; ".join(by_trace.get(trace.pk, ()))) for trace in permit.locate.traces.order_by("trace")]
    return [*every, *(("On no plan", says) for says in by_trace.get("", ()))]


def _exposure(one: Any, zone: ZoneInfo) -> str:
    """`exposed on 4 Mar 2027 09:10 at 0.62 m; read 0.60 m`: what was measured, then what the locate read there."""
    read = f"; the locate read {one.read}" if one.read else ""
    return f"{spoken(one.hole.utility)} exposed on {instant_says(one.hole.exposed_at, zone)} at {metres_says(one.hole.depth_m)}{read}"


def line(row: DiaryRow, doubts: Sequence[str] = ()) -> Line:
    """One row in words, by the site's clocks. `doubts`: why it does not count, of a sweep."""
    zone = ZoneInfo(row.permit.site.time_zone)
    moment = instant_says(row.happened_at, zone)
    day = day_says(local_day(row.happened_at, zone))
    mark = "stop" if not row.sound else "mind" if doubts or row.kind == EVENT else SOUND_MARKS.get(row.kind, "")
    beside = ((SEEN, row.note), (DONE, row.action), (TO_DO, row.further), *_more(row, doubts))
    told = tuple((head, says) for head, says in beside if says)
    return Line(day, moment.removeprefix(day).strip(), KINDS_SAY[row.kind], SAYS[row.kind](row), row.printed_name, PARTS_SAY[row.part], mark, told)


def _more(row: DiaryRow, doubts: Sequence[str]) -> Iterable[tuple[str, str]]:
    if doubts:
        yield "It does not count", "; ".join(doubts)
    if row.stop_id is not None:
        yield THEN, "the work was stopped by it"


def _look_over(row: DiaryRow) -> str:
    if not row.wrong:
        return f"All as it should be, {OCCASIONS_SAY[row.occasion]}."
    return f"Not as it should be, {OCCASIONS_SAY[row.occasion]}: {'; '.join(WRONG_SAYS[point] for point in row.wrong)}."


def _sweep(row: DiaryRow) -> str:
    modes = " and ".join(spoken(one) for one in row.techniques)
    came = NOT_ON_PLAN if row.found else NOTHING_NEW
    return f"{row.place}, the dig {metres_says(row.depth_m)} deep: by {modes} with {row.receiver_id}. {came}"


def _exposed(row: DiaryRow) -> str:
    hole = row.hole
    of = f"trace {hole.trace_id}" if hole.trace_id else "no trace shows it"
    return f"{spoken(hole.utility).capitalize()}, {metres_says(hole.depth_m)} to its centre ({of}, {hole.pk}).{f' {NOT_ON_PLAN}' if row.found else ''}"


def _event(row: DiaryRow) -> str:
    return "It rained." if row.occasion == RAIN else "Something may have changed the ground, the marks or the sides of the dig."


SAYS = {LOOK_OVER: _look_over, SWEEP: _sweep, EXPOSURE: _exposed, EVENT: _event}


# its heading and its paper: what published rules ask of a report of such a look-over (CDM Regulations (Northern Ireland) 2016, reg. 23)


def heading(permit: Permit, life: Life, at: datetime) -> list[tuple[str, str]]:
    """Whom the diary is kept for, where, what is dug, and as of when."""
    holder = Person.objects.get(pk=life.receiver)
    return [
        ("Kept for", f"{holder.name}{f', {holder.employer}' if holder.employer else ''}, who holds permit {permit.pk}"),
        ("Place", permit.site.name),
        ("What is dug", f"{permit.work.rstrip('.')}; to {metres_says(permit.depth_m)} deep, by {spoken(permit.method)}."),
        ("As of", instant_says(at, ZoneInfo(permit.site.time_zone))),
    ]


def on_paper(permit: Permit, life: Life, reader: Person, at: datetime) -> Sheet:
    """The diary as it is printed."""
    shown = diary(permit, life, reader, at)
    rows = [(one.day, one.when, f"{one.kind}. {one.says}", *_columns(one), f"{one.name}, {one.part}") for _, some in shown["days"] for one in some]
    told = [f"{head}: {says or 'not exposed'}." for head, says in shown["traces"]]
    return Sheet(permit.pk, tuple(heading(permit, life, at)), shown["owed"], tuple(rows), tuple(told))


def _columns(one: Line) -> tuple[str, str]:
    """What could come of it, and what was done about it and is still to be done."""
    seen = [f"{head}: {says.rstrip('.')}." if head != SEEN else says for head, says in one.beside if head not in ACTED]
    return " ".join(seen), " ".join(f"{head}: {says.rstrip('.')}." for head, says in one.beside if head in ACTED)
