"""How far depths read from the surface agree with depths seen in trial holes, reckoned exactly in metres.

Above 0 a reading is too deep, and the service nearer than it says. Limits of agreement: the mean difference, and 1.96 standard deviations to either side.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from locates.rules.depth import metres_says
from records.rules.words import EXPOSED

NORMAL_95 = Decimal("1.96")
MILLIMETRE = Decimal("0.001")
TENTH = Decimal("0.1")


@dataclass(frozen=True, slots=True)
class Pair:
    """A depth as it was read, and as it proved to be."""

    read_m: Decimal
    true_m: Decimal

    @property
    def off_m(self) -> Decimal:
        return self.read_m - self.true_m

    def within(self, share: Decimal) -> bool:
        """Is the reading off by that share of the true depth or less? Exactly that is within."""
        return abs(self.off_m) <= share * self.true_m


@dataclass(frozen=True, slots=True)
class Agreement:
    """What the differences come to. Of less than two there is no standard deviation, and so no limits."""

    n: int
    bias_m: Decimal | None = None
    sd_m: Decimal | None = None
    within_tenth: int = 0

    @property
    def low_m(self) -> Decimal | None:
        return None if self.sd_m is None else self.bias_m - NORMAL_95 * self.sd_m

    @property
    def high_m(self) -> Decimal | None:
        return None if self.sd_m is None else self.bias_m + NORMAL_95 * self.sd_m


def agreement(pairs: Sequence[Pair]) -> Agreement:
    """The mean difference, and its standard deviation with n - 1 below the line."""
    n = len(pairs)
    if not n:
        return Agreement(0)
    differences = [one.off_m for one in pairs]
    bias = sum(differences, Decimal(0)) / n
    squares = sum(((one - bias) ** 2 for one in differences), Decimal(0))
    return Agreement(n, bias, (squares / (n - 1)).sqrt() if n > 1 else None, sum(one.within(TENTH) for one in pairs))


def says(found: Agreement, least: int) -> str:
    """In plain words; below so many holes only that they are too few."""
    if found.n < max(least, 2):
        return f"too few to tell: {holes(found.n)}, and {max(least, 2)} are wanted"
    inside = f"{found.within_tenth} of {found.n} are within a tenth of the true depth"
    spread = f"of 100 such readings some 95 are to be expected from {side(found.low_m)} to {side(found.high_m)}"
    return f"{_mean_says(found.bias_m)}; {spread}; {inside}"


def _mean_says(bias: Decimal) -> str:
    if not bias.quantize(MILLIMETRE):
        return "on the whole neither too deep nor too shallow"
    return f"on the whole {side(bias)}"


def side(off: Decimal) -> str:
    """`0.02 m too deep`, `0.02 m too shallow`, `just right`, to the millimetre."""
    near = off.quantize(MILLIMETRE)
    if not near:
        return "just right"
    return f"{metres_says(abs(near))} too {'deep' if near > 0 else 'shallow'}"


def holes(n: int) -> str:
    return "no trial hole" if n == 0 else "1 trial hole" if n == 1 else f"{n} trial holes"


def left_out(hole: Any, trace: Any, read_m: Decimal | None) -> str:
    """Why a trial hole tells nothing of a reading; nothing where it does. `read_m`: the trace's depth where it may be told as a number."""
    if trace is None:
        return "no trace shows what was exposed"
    if trace.technique == EXPOSED:
        return "the trace itself was seen, not read"
    if trace.depth_m is None:
        return "the trace has no depth"
    if read_m is None:
        return "its depth is not to be relied on, and is told to nobody"
    if hole.utility != trace.utility and "unknown" not in (hole.utility, trace.utility):
        return "another service was exposed than was traced"
    if hole.exposed_at < trace.locate.started_at:
        return "it was exposed before the locate began, so that the depth was known"
    return ""
