"""Quality levels of what was located. The letters run alike in all schemes, A being the surest; what they promise does not, so the scheme is named with them.

Lengths are metres. A tolerance is to either side: across the line, and in depth; None where the scheme gives none.
"""

from dataclasses import dataclass
from decimal import Decimal

from locates.rules.depth import metres_says
from records.rules.words import QUALITY_SCHEMES

B_KINDS = ("B1", "B2", "B3", "B4")  # how PAS 128 divides its level B
D = Decimal


@dataclass(frozen=True, slots=True)
class Tolerance:
    across_m: Decimal | None = None
    depth_m: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Scheme:
    """A scheme: its `short` name, which stands beside every letter, its `name` in full, and what each letter promises."""

    short: str
    name: str
    promises: dict[str, str]

    def level(self, letter: str) -> str:
        """`B by AS 5488.1`."""
        return f"{letter} by {self.short}"


def as_5488(level: str) -> Tolerance:
    """AS 5488.1: a tolerance by letter."""
    return {"A": Tolerance(D("0.05"), D("0.05")), "B": Tolerance(D("0.3"), D("0.5")), "C": Tolerance(D("0.3"))}.get(level, Tolerance())


def pas_128(kind: str, depth_m: Decimal) -> Tolerance:
    """PAS 128: a tolerance by kind of survey, which widens with the depth detected. `kind` is A, B1 to B4, C or D."""
    return {
        "A": Tolerance(D("0.05"), D("0.025")),
        "B1": Tolerance(max(D("0.15"), D("0.15") * depth_m), max(D("0.15"), D("0.15") * depth_m)),
        "B2": Tolerance(max(D("0.25"), D("0.4") * depth_m), D("0.4") * depth_m),
        "B3": Tolerance(D("0.5")),
    }.get(kind, Tolerance())


def arrete_2012(uncertainty_m: Decimal | None, *, rigid: bool) -> str:
    """The French class of an uncertainty of place: A to 0.4 m (0.5 m where the service is flexible), B to 1.5 m, else C, as where none is known."""
    if uncertainty_m is None or uncertainty_m > D("1.5"):
        return "C"
    return "A" if uncertainty_m <= (D("0.4") if rigid else D("0.5")) else "B"


AS_5488 = Scheme(
    "AS 5488.1",
    "AS 5488.1:2022, Australia",
    {
        "A": "exposed: ±0.05 m across and in depth",
        "B": "located by its signal: ±0.3 m across, ±0.5 m in depth",
        "C": "from what shows at the surface: ±0.3 m of that, and no tolerance of the line between",
        "D": "from records: no tolerance",
    },
)
ASCE_38 = Scheme(
    "ASCE 38",
    "ASCE/UESI/CI 38-22, United States",
    {
        "A": "exposed at points: its place, depth, kind and state there",
        "B": "found by surface geophysics: that it is there and where across, with no tolerance in the letter and no depth",
        "C": "from what shows at the surface, held against records",
        "D": "from records alone",
    },
)
PAS_128 = Scheme(
    "PAS 128",
    "PAS 128:2022, United Kingdom",
    {
        "A": "exposed: ±0.05 m across, ±0.025 m in depth",
        "B": "detected, by one of four kinds: B1 by several methods that agree, B2 by one, B3 across only, B4 assumed and not detected",
        "C": "from what shows at the surface: no depth",
        "D": "from records: no depth",
    },
)
ARRETE_2012 = Scheme(
    "the order of 2012",
    "the order of 15 February 2012, article 1, France",
    {
        "A": "known to 0.4 m, or 0.5 m where it is flexible",
        "B": "known to 1.5 m",
        "C": "not known to 1.5 m, or not at all",
        "D": "a letter that this scheme does not have: take it as C",
    },
)
OWN = Scheme(
    "the firm's own scheme",
    "the firm's own scheme, of no published standard",
    {"A": "exposed and seen", "B": "traced with a signal", "C": "traced without one, or doubtful", "D": "from records alone"},
)
SCHEMES = dict(zip(QUALITY_SCHEMES, (OWN, AS_5488, ASCE_38, PAS_128, ARRETE_2012), strict=True))


def promise(scheme: Scheme, letter: str, depth_m: Decimal | None, added_m: Decimal) -> str:
    """What the letter says of a trace. `depth_m`: where it may be told as a number; `added_m`: what the numbers in force add for it to the hand-dig zone."""
    kinds = _kinds_says(depth_m) if scheme is PAS_128 and letter == "B" and depth_m is not None else ""
    return f"{scheme.promises[letter]}{kinds}, by {scheme.name}. The hand-dig zone here is widened for it by {metres_says(added_m)}"


def _kinds_says(depth_m: Decimal) -> str:
    told = [f"{kind} ±{metres_says(metres)}" for kind in B_KINDS if (metres := pas_128(kind, depth_m).across_m) is not None]
    return f"; across at {metres_says(depth_m)}: {', '.join(told)}"
