"""The list of permits: which, in which order, and what each line says. What a line says of the verdict is the gate's."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Case, Count, DateTimeField, Exists, F, IntegerField, OuterRef, Q, QuerySet, Value, When

from locates.permits.facts import gather
from locates.permits.models import Emergency, Permit, SignOff
from locates.permits.owing import Owing, owing
from locates.permits.related import Other, related
from locates.permits.remedies import Way, ways
from locates.permits.rules.evidence import Evidence
from locates.permits.rules.gate import assess
from locates.permits.rules.signing import ACCEPT, ISSUE
from locates.permits.since import CLOSED, HELD, OWED, Since, goes_on, noted, states, told, with_ends, with_states
from locates.permits.ties import TIES
from records.access import within
from records.base import ByCodePoint, ByWord
from records.firm.models import Person, Site
from records.rules.dates import day_start, instant_text, local_day
from records.rules.says import away, end_says, window_ends
from records.rules.verdict import Finding, Verdict

# the headings of the list: those that are held or to be closed stand apart, whatever their day
HEADINGS = ("Today", "Suspended or handed over", "To be closed", "Coming", "Over")
TODAY, COMING, OVER = 0, 3, 4
APART = {HELD: 1, OWED: 2, CLOSED: OVER}
WAITING = (APART[HELD], APART[OWED])  # somebody is to do something about these
BY_NAME = ByCodePoint("permit")
ORDERS = {"permit": [], "site": ["site__name", "site"], "begins": ["valid_from"], "ends": ["ends"], "latest": ["-valid_from"]}
TODAY_FIRST = ["place", "nearness", "-ends"]
BATCH = 200
COLUMNS = (
    "permit",
    "site",
    "site_name",
    "work",
    "method",
    "depth_m",
    "valid_from",
    "valid_to",
    "signatures",
    "verdict",
    "blocks",
    "good_until",
    "limited_by",
    "stands",
    "left",
    "noted",
    "emergency",
)
# in what order blocks are best mended: there is no use in renewing an award for a permit whose time is over
MENDING = (
    *("window", "people", "emergency", "follows", "plans", "locate", "service", "operator", "instrument", "issuer", "receiver", "crew"),
    *("clearance", "owner"),
)


@dataclass(frozen=True)
class Line:
    """One permit as the list shows it."""

    permit: Permit
    verdict: Verdict
    word: str
    wait: str
    state: str
    first: Finding | None
    more: int
    until: str
    until_away: str
    ends_away: str
    begins: str
    ends: str
    ways: tuple[Way, ...] = ()
    deed: str = ""  # what the reader may sign now: issue or accept
    since: Since | None = None
    goes_on: bool = False  # though the gate blocks the next signature
    others: tuple[Other, ...] = ()  # the permits that it follows and that follow it
    owing: Owing | None = None

    @property
    def stopped(self) -> bool:
        """Does nobody dig by it, whatever the gate says?"""
        return self.since is not None and not self.since.digs

    @property
    def stands(self) -> bool:
        return (self.verdict.clear or self.goes_on) and not self.stopped

    @property
    def heading(self) -> str:
        return HEADINGS[self.permit.place]

    @property
    def noted(self) -> tuple[str, ...]:
        """Each time that the work was stopped, but for what the line says already."""
        return tuple(one for one in self.since.noted if not self.wait.startswith(one)) if self.since is not None else ()


@dataclass(frozen=True)
class Tally:
    """How many permits stand in a state, which `says` puts into words."""

    state: str
    says: str
    count: int


def visible(person: Person, at: datetime) -> QuerySet[Permit]:
    """The permits this person may see, each with how it stands and until when it runs."""
    signed = SignOff.objects.filter(permit=OuterRef("pk"))
    every = _seen(person, at).annotate(urgent=Exists(Emergency.objects.filter(permit=OuterRef("pk"))))
    return with_states(every.annotate(issued=Exists(signed.filter(meaning=ISSUE)), accepted=Exists(signed.filter(meaning=ACCEPT))), at)


def _seen(person: Person, at: datetime) -> QuerySet[Permit]:
    return with_ends(Permit.objects.filter(pk__in=within(Permit.objects.all(), person, "permit.see", TIES, at).values("pk")))


def tallies(permits: QuerySet[Permit], asked: dict[str, Any], at: datetime) -> list[Tally]:
    """How many of the permits stand how, beside all else that is asked for. None where a verdict is: that would have the gate asked of all of them twice."""
    if asked.get("verdict"):
        return []
    rows = chosen(permits, {**asked, "state": ""}, at).order_by().values_list("state").annotate(count=Count("pk"))
    found = dict(rows)
    return [Tally(name, state.says.partition(",")[0], found[name]) for name, state in states().items() if name in found]


def own_ahead(person: Person, at: datetime) -> QuerySet[Permit]:
    """The permits of today and to come that bear the person's name, those of today first."""
    names = Q()
    for lookup in TIES.people:
        names |= Q(**{lookup: person.pk})
    theirs = _with_turn(_seen(person, at).filter(pk__in=Permit.objects.filter(names).values("pk")), at)
    return theirs.filter(turn__in=(TODAY, COMING)).order_by("turn", "nearness", "-ends", BY_NAME)


def sites_of(permits: QuerySet[Permit]) -> QuerySet[Site]:
    return Site.objects.filter(pk__in=permits.values("site")).order_by("name", "site")


def chosen(permits: QuerySet[Permit], asked: dict[str, Any], at: datetime) -> QuerySet[Permit]:
    """The permits asked for, in the order asked for. A verdict is asked of the gate, for all whose time is not over."""
    if site := asked.get("site"):
        permits = permits.filter(site=site)
    if state := asked.get("state"):
        permits = permits.filter(state=state)
    if asked.get("noted"):
        permits = permits.filter(pk__in=noted())
    if asked.get("urgent"):
        permits = permits.filter(urgent=True)
    if words := asked.get("search"):
        permits = permits.filter(_speaks_of(words))
    if verdict := asked.get("verdict"):
        judged = (assess(evidence, at) for evidence in gather(permits.filter(ends__gt=at)))
        permits = permits.filter(permit__among=[one.permit for one in judged if one.clear == (verdict == "clear")])
    order = ORDERS.get(asked.get("sort") or "", TODAY_FIRST)
    return _in_turn(permits, at).select_related("site").order_by(*order, BY_NAME)


def _speaks_of(words: str) -> Q:
    columns = ("permit", "work", "site__name", "locate__locate", "issuer__name", "receiver__name")
    by_column = (Q(**{f"{column}__icontains": words}) for column in columns)
    found = Q(pk__in=Permit.objects.filter(crew__name__icontains=words).values("pk"))
    for one in by_column:
        found |= one
    return found


def _in_turn(permits: QuerySet[Permit], at: datetime) -> QuerySet[Permit]:
    """Each with the heading under which it stands: one that is over by its life, where those over by their day do."""
    apart = {name: APART[state.place] for name, state in states().items() if state.place}
    return _with_turn(permits, at).annotate(place=ByWord(F("state"), apart, F("turn"), IntegerField()))


def _with_turn(permits: QuerySet[Permit], at: datetime) -> QuerySet[Permit]:
    """In their turn, which is that of today for the calendar day at each permit's own site; and how near they are by it."""
    zones = Site.objects.order_by("time_zone").values_list("time_zone", flat=True).distinct()
    turns = [When(turn_for, then=Value(turn)) for zone in zones for turn, turn_for in _turns(zone, at)]
    turn = Case(*turns, default=Value(OVER), output_field=IntegerField())
    nearness = ByWord(F("turn"), {TODAY: F("ends"), COMING: F("valid_from")}, Value(None), DateTimeField())
    return permits.alias(turn=turn).alias(nearness=nearness)


def _turns(zone: str, at: datetime) -> Iterator[tuple[int, Q]]:
    today = local_day(at, ZoneInfo(zone))
    begins, ends = day_start(today, ZoneInfo(zone)), day_start(today + timedelta(days=1), ZoneInfo(zone))
    here = Q(site__time_zone=zone)
    yield COMING, here & Q(valid_from__gte=ends)
    yield TODAY, here & Q(valid_from__lt=ends, ends__gt=begins)


def lines(permits: QuerySet[Permit], at: datetime, reader: Person | None = None) -> list[Line]:
    """Judge the permits and say a line of each, in the query's order; to a reader with what they can do about it at once."""
    rows = list(permits)
    became = told((row.pk for row in rows), at)
    said = [(line(permit, evidence, at, became.get(permit.pk)), evidence) for permit, evidence in zip(rows, gather(permits), strict=True)]
    return _for_reader(said, reader, at) if reader else [one for one, _ in said]


def _for_reader(said: list[tuple[Line, Evidence]], reader: Person, at: datetime) -> list[Line]:
    """With what the reader can do about each, what is owed before anybody digs, and the permits that belong to it."""
    owed = owing((one.permit.pk for one, _ in said if one.stands and one.permit.accepted), reader, at)
    others = related([one.permit.pk for one, _ in said], reader, at)
    return [replace(_with_ways(one, evidence, reader), owing=owed.get(one.permit.pk), others=tuple(others.get(one.permit.pk, ()))) for one, evidence in said]


def _with_ways(one: Line, evidence: Evidence, reader: Person) -> Line:
    permit = one.permit
    if one.stopped:
        return one
    if one.first:
        return replace(one, ways=tuple(ways(one.first, evidence, reader, signed=permit.issued)[:2]))
    due = ("" if permit.accepted else "accept") if permit.issued else "issue"
    signer = permit.receiver_id if permit.issued else permit.issuer_id
    return replace(one, deed=due if due and signer == reader.pk else "")


def line(permit: Permit, evidence: Evidence, at: datetime, since: Since | None = None) -> Line:
    verdict = assess(evidence, at)
    blocks, zone, on = mended(verdict), verdict.zone, goes_on(since, evidence, verdict)
    begins, ends = window_ends(permit.valid_from, permit.ends, zone)
    stage = (verdict.clear or on, permit.issued, permit.accepted, permit.valid_from <= at)
    return Line(
        permit=permit,
        verdict=verdict,
        word=word(*stage) if since is None or since.digs else since.word,
        wait=wait(*stage) if since is None or since.digs else since.says,
        state="accepted" if permit.accepted else "issued" if permit.issued else "prepared",
        first=blocks[0] if blocks else None,
        more=max(len(blocks) - 1, 0),
        until=end_says(verdict.good_until, zone),
        until_away=away(verdict.good_until, at, zone),
        ends_away=away(permit.ends, at, zone),
        begins=begins,
        ends=ends,
        since=since,
        goes_on=on,
    )


def mended(verdict: Verdict) -> list[Finding]:
    """The blocks in the order in which they are best mended."""
    return sorted(verdict.blocks, key=lambda one: MENDING.index(one.code.split(".")[0]))


def word(good: bool, issued: bool, accepted: bool, begun: bool) -> str:
    """The verdict in two or three words. None of them says that the ground is clear. `good`: clear, or it goes on to its end all the same."""
    if not good:
        return "Not to dig"
    if accepted:
        return "In force" if begun else "Signed, not begun"
    return "May be accepted" if issued else "May be issued"


def wait(good: bool, issued: bool, accepted: bool, begun: bool) -> str:
    """What a crew is still to wait for, where there is no block; empty when there is nothing more."""
    if not good or (accepted and begun):
        return ""
    if accepted:
        return "No digging yet: its time has not begun."
    return "No digging yet: it is not accepted." if issued else "No digging yet: nobody has signed."


def csv_rows(permits: QuerySet[Permit], at: datetime) -> Iterator[Iterable[str]]:
    """The permits as CSV for spreadsheets, judged a batch at a time so that memory stays bounded."""
    yield COLUMNS
    keys = list(permits.values_list("pk", flat=True))
    for start in range(0, len(keys), BATCH):
        batch = {one.permit.pk: one for one in lines(permits.filter(permit__among=keys[start : start + BATCH]), at)}
        for key in keys[start : start + BATCH]:
            yield cells(batch[key])


def cells(line: Line) -> Iterator[str]:
    permit, verdict = line.permit, line.verdict
    yield from (permit.permit, permit.site_id, permit.site.name, permit.work, permit.method, f"{permit.depth_m.normalize():f}")
    yield from (instant_text(one, verdict.zone) for one in (permit.valid_from, permit.ends))
    yield from (line.state, "no block" if verdict.clear else "blocked")
    yield from (" ".join(one.says for one in mended(verdict)), *_until(verdict))
    since = line.since
    yield from (permit.state, since.left if since else "", " ".join(since.noted) if since else "", "yes" if permit.urgent else "")


def _until(verdict: Verdict) -> tuple[str, str]:
    """Until when, and what ends then; nothing where a block stands, for such a permit is good for no time at all."""
    return (instant_text(verdict.good_until, verdict.zone), "; ".join(verdict.limited_by)) if verdict.clear else ("", "")
