"""What the invented sites are told in: streets with what lies in them, searches of the ground, digs."""

from collections.abc import Mapping
from dataclasses import dataclass, field

Point = tuple[float, float]
Box = tuple[float, float, float, float]
OPENS, CLOSES = "07:00", "17:00"


@dataclass(frozen=True, slots=True)
class Buried:
    """A service as it truly lies: metres along the street and to its left. No width: unknown, or a cable. `planned` no: on no plan."""

    key: str
    owner: str
    utility: str
    path: tuple[Point, ...]
    conductive: bool = True
    width: str = ""
    note: str = ""
    planned: bool = True


@dataclass(frozen=True, slots=True)
class Street:
    """A stretch of road from a point of the site's grid along a bearing, in metres and degrees."""

    key: str
    name: str
    start: Point
    bearing: float
    length: float
    buried: tuple[Buried, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """How an owner answers for one street; working days back. `answered` None: not at all. `area` None: the whole street.

    `rounds`: how often asked in the year. `entered` no: nobody has entered what the answer shows.
    """

    sent: int = 17
    answered: int | None = 14
    rounds: int = 4
    printed_days: int | None = None
    area: Box | None = None
    entered: bool = True
    closed: int | None = None
    dropped: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Found:
    """A service followed, or exposed, within the searched ground or the smaller `within`. `raised`: the reading 0.3 m above the ground."""

    key: str
    technique: str
    level: str = "B"
    depth: str = ""
    raised: str = ""
    within: Box | None = None


@dataclass(frozen=True, slots=True)
class Walk:
    """Ground swept by one technique: along the street, or across it. `box` None: all the searched ground."""

    technique: str
    across: bool = False
    box: Box | None = None
    offset: str = ""
    spacing: str = "1"


PASSIVE_BOTH_WAYS = tuple(Walk(technique, across) for technique in ("passive_power", "passive_radio") for across in (False, True))
WITH_INDUCTION = (*PASSIVE_BOTH_WAYS, Walk("induction", offset="8", spacing="2"))


@dataclass(frozen=True, slots=True)
class Search:
    """A locate: a box of a street searched by one operator, so many working days back. `kit`: receiver, then whatever else was carried.

    `yesterday`: made then instead, whatever weekday that was, between these times of day.
    """

    locate: str
    street: str
    box: Box
    back: int
    operator: str
    kit: tuple[str, ...]
    found: tuple[Found, ...] = ()
    walks: tuple[Walk, ...] = WITH_INDUCTION
    not_found: Mapping[str, str] = field(default_factory=dict)
    afternoon: bool = False
    unchecked: tuple[str, ...] = ()
    under_way: bool = False
    yesterday: tuple[str, str] | None = None


@dataclass(frozen=True, slots=True)
class Dig:
    """A permit. The window runs from the first of its hours to the last, `opens` and `closes` days from today."""

    permit: str
    street: str
    locate: str
    work: str
    outline: tuple[Point, ...]
    depth: str
    method: str
    issuer: str
    receiver: str
    crew: str
    opens: int = 0
    closes: int = 4
    hours: tuple[str, str] = (OPENS, CLOSES)


@dataclass(frozen=True, slots=True)
class Place:
    """A site with all that happens on it. `answers`: by street and owner, where an owner does not answer as usual.

    `grid`: its coordinate system and the origin there; the places are invented, and lie at sea.
    """

    site: str
    name: str
    time_zone: str
    rule_set: str
    owners: Mapping[str, str]
    streets: tuple[Street, ...]
    searches: tuple[Search, ...]
    digs: tuple[Dig, ...]
    answers: Mapping[tuple[str, str], Asked] = field(default_factory=dict)
    grid: tuple[str, str, str] = ("", "", "")


def rectangle(along: float, left: float, length: float, width: float) -> tuple[Point, ...]:
    """Four corners, from the one nearest the street's start on its right."""
    return ((along, left), (along + length, left), (along + length, left + width), (along, left + width))
