"""Logs and locates in the words of their pages. Nothing is judged here."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.safestring import SafeString, mark_safe

from locates.logs import facts
from locates.logs.models import Layout, Log
from locates.logs.paper import figure_svg
from locates.logs.rules.beside import Figure, lasting, square
from locates.logs.rules.layout import ENCODINGS_SAID, NOT_OURS, POSITIONS_SAID
from locates.logs.rules.times import AT_SITE, ITS_OWN, SAID, instant
from locates.logs.rules.use import Account
from records.firm.facts import own_sites
from records.firm.models import Person
from records.rules.dates import day_says, instant_says, local_day
from records.rules.says import window_says
from records.rules.words import spoken

MOST_USES = 12
CLOCKS = {AT_SITE: "the clock of the site", ITS_OWN: "each time bears its own offset", "": "UTC"}


@dataclass(frozen=True)
class Shown:
    """One technique on the page: its words, and its drawing."""

    name: str
    claimed: str
    used: str
    pace: str
    ground: str
    values: str
    uses: list[str]
    more: int
    drawing: SafeString


@dataclass(frozen=True)
class Line:
    """A locate in the list, with what differs."""

    compared: facts.Compared
    day: str
    says: list[str]


def shown(one: facts.Compared) -> list[Shown]:
    return [_shown(figure, one) for figure in one.figures]


def _shown(figure: Figure, one: facts.Compared) -> Shown:
    pace = figure.seconds_a_m2
    return Shown(
        spoken(figure.technique),
        f"{square(figure.claimed_m2)}, by {', '.join(figure.sweeps)}" if figure.sweeps else "not claimed",
        f"{lasting(timedelta(seconds=figure.seconds))}, {figure.rows:,} readings" if figure.uses else "not used within the locate’s time",
        f"{pace:.1f} s for each square metre claimed" if pace is not None else "",
        _ground(figure),
        f"{figure.values[0]:g} to {figure.values[1]:g}, as the receiver gives them" if figure.values else "",
        [_use(use.begins, use.ends, use.millis, one.zone) for use in figure.uses[:MOST_USES]],
        max(0, len(figure.uses) - MOST_USES),
        mark_safe(figure_svg(figure)),
    )


def _ground(figure: Figure) -> str:
    if figure.seen is None:
        return "not known: the log does not say where it was"
    if not figure.sweeps:
        return f"{square(figure.seen_m2)} covered"
    left_out = figure.unseen_m2
    if figure.seen.is_empty:
        return "none of what is claimed"
    return f"{square(figure.seen_m2)} covered; of what is claimed {square(left_out)} left out" if left_out else "all that is claimed"


def _use(begins: int, ends: int, millis: int, zone: ZoneInfo) -> str:
    first, last = instant(begins).replace(microsecond=0), instant(ends).replace(microsecond=0)
    span = window_says(first, last, zone) if last > first else instant_says(first, zone)
    return f"{span}: {lasting(timedelta(milliseconds=millis))}"


def log_facts(log: Log, zone: ZoneInfo) -> list[tuple[str, str]]:
    """What the file itself holds."""
    account = log.account
    rest = account.uses.get(NOT_OURS, ())
    told = [
        ("Readings", f"{account.rows:,}"),
        ("From, to", window_says(account.first.replace(microsecond=0), account.last.replace(microsecond=0), zone)),
        ("In modes that are no search", f"{sum(use.rows for use in rest):,} readings" if rest else ""),
        ("Without a position", _unplaced(account)),
        ("Kept by", f"{log.file.by_name}, {instant_says(log.recorded_at, zone)}"),
    ]
    return [one for one in told if one[1]]


def _unplaced(account: Account) -> str:
    return "" if not account.unplaced else "all readings" if not account.placed else f"{account.unplaced:,} readings"


def measured_says(account: Account) -> str:
    """By what the log was measured."""
    by = account.measured
    return (
        f"A mode counts as in use from one reading to the next while no more than {by.gap_s.normalize():f} s lie between them; "
        f"ground counts as covered within {by.reach_m.normalize():f} m of a reading; "
        f"up to {by.spare_ratio * 100:.0f} % of the ground claimed may be left out before it is told."
    )


def layout_facts(layout: Layout) -> list[tuple[str, str]]:
    """A layout in words."""
    how = layout.reads
    cells = (("Date", how.day), ("Time", how.time), ("Mode", how.mode), ("Reading", how.reading), ("x, or longitude", how.x), ("y, or latitude", how.y))
    told = [
        ("Encoding", ENCODINGS_SAID[how.encoding]),
        ("Between the cells", how.delimiter),
        ("Lines above the header", str(how.above) if how.above else "none"),
        ("Decimals", "with a comma" if how.decimal_comma else "with a point"),
        *((f"{title}: column", how.column(number)) for title, number in cells if number is not None),
        ("Times", SAID[how.time_form]),
        ("By", CLOCKS.get(how.zone, how.zone)),
        ("Positions", POSITIONS_SAID[how.position]),
    ]
    return [
        *told,
        *((f"“{word}” means" if word else "Blank means", spoken(technique) if technique else "no search") for word, technique in sorted(how.words.items())),
    ]


# the list


def begun_since(asked: dict[str, Any], at: datetime) -> datetime:
    """From when on locates are listed: the day asked for, else 90 days back. Days here are UTC's: the sites' own may differ."""
    return datetime.combine(asked["since"], time(), UTC) if "since" in asked else at - facts.LATELY


def since_says(asked: dict[str, Any], at: datetime) -> str:
    return day_says(begun_since(asked, at).date())


def lines(person: Person, asked: dict[str, Any], at: datetime) -> list[Line]:
    """Locates with logs that the person may see, as asked for."""
    rows = facts.since(facts.logs_within(person, at), begun_since(asked, at))
    if "site" in asked:
        rows = rows.filter(locate__site=asked["site"])
    made = [_line(one) for one in facts.compared(rows)]
    return sorted_as([one for one in made if one.says or asked.get("show") == "all"], asked.get("sort", ""))


def _line(one: facts.Compared) -> Line:
    return Line(one, day_says(local_day(one.locate.started_at, one.zone)), [difference.says for difference in one.differences])


def sorted_as(some: Iterable[Line], order: str) -> list[Line]:
    """In the order asked for; they come the latest first."""
    if order == "begun":
        return sorted(some, key=lambda one: (one.compared.locate.started_at, one.compared.locate.pk))
    if order == "most":
        return sorted(some, key=lambda one: -len(one.says))
    return sorted(some, key=lambda one: one.compared.locate.pk) if order == "locate" else list(some)


def csv_rows(some: Iterable[Line]) -> Iterator[list[str]]:
    yield ["locate", "site", "begun_on", "operator", "logs", "difference"]
    for one in some:
        locate = one.compared.locate
        day = local_day(locate.started_at, one.compared.zone).isoformat()
        for says in one.says or [""]:
            yield [locate.pk, locate.site_id, day, locate.operator_id, ";".join(log.pk for log in one.compared.logs), says]


def sites_of(person: Person, at: datetime) -> list[tuple[str, str]]:
    """The sites to choose from."""
    return [(site.pk, str(site)) for site in own_sites(person, "site.see", at)]
