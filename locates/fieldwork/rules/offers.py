"""Which techniques are offered for a service of the plans, the best first, and what each asks of the operator.

The points are common practice, no published source; how far induction is trusted, and from how far off its search begins, are numbers in force.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from locates.permits.rules.evidence import PlanService
from locates.permits.rules.frame import Frame
from locates.permits.rules.people import asked
from locates.rules.fitness import named_techniques_need
from records.rules.words import EXPOSED, spoken

CONDUCTIVE = ("direct_connection", "clamp", "induction", EXPOSED)
NOT_CONDUCTIVE = ("sonde", EXPOSED)

POINTS = {
    "passive_power": (
        "Start with the gain low, and raise it until the ground just answers.",
        "Walk the whole ground in lines, the receiver upright and close to the ground; then again across the first direction.",
        "Where it answers, find the middle from both sides, and follow the line until it leaves the ground.",
    ),
    "passive_radio": (
        "Start with the gain low again: it is another field, and the setting before says nothing.",
        "The same ground, both directions. What answers here and not to power is a service too.",
    ),
    "direct_connection": (
        "The best there is: connect to the service itself, at clean bare metal, and only where its owner allows it and you may work on it.",
        "Sweep the place for the earth stake before it is driven. Set it a few paces off, at a right angle to the line that is looked for.",
        "Never earth to a pipe, a fence or another line that could carry the signal along.",
    ),
    "clamp": (
        "Where there is no bare metal to connect to: the clamp right round the one cable, its jaws closed.",
        "The cable must be earthed at both ends to carry the signal.",
    ),
    "induction": (
        "Only for shallow lines, to {deep} m. It couples into whatever lies near: the line that answers may be its neighbour.",
        "Begin the search {offset} m or more from the transmitter (5 to 10 paces): nearer, the receiver hears the transmitter through the air.",
        "Turn the transmitter and set it anew along and across. Boost only where the signal is weak.",
    ),
    "sonde": (
        "For pipes that conduct nothing: a sonde, or a trace rod with a signal on it, pushed along inside the pipe.",
        "Ask the owner first. Note the sonde’s own reach, and follow it all the way through the ground.",
    ),
    EXPOSED: ("Seen with your own eyes in a trial hole, dug by hand or vacuum. It is known there, at that point, and no further.",),
}


@dataclass(frozen=True, slots=True)
class Offer:
    """A technique for a service. `against`: why it cannot be used as things stand; empty where it can."""

    technique: str
    against: tuple[str, ...]
    points: tuple[str, ...]

    @property
    def name(self) -> str:
        return spoken(self.technique)


def offers(frame: Frame, service: PlanService) -> list[Offer]:
    """What can vouch for the service, the best first."""
    order = CONDUCTIVE if service.conductive else NOT_CONDUCTIVE
    return [Offer(technique, tuple(_against(frame, technique)), points(frame, technique)) for technique in order]


def best(every: Sequence[Offer]) -> Offer:
    """The first that nothing stands against; exposing, the last, where all else fails."""
    return next((one for one in every if not one.against), every[-1])


def points(frame: Frame, technique: str) -> tuple[str, ...]:
    """What the technique asks of the operator, with the numbers in force."""
    deep, offset = frame.numbers.text("induction_max_depth_m"), frame.numbers.text("transmitter_min_offset_m")
    return tuple(one.format(deep=deep, offset=offset) for one in POINTS[technique])


def _against(frame: Frame, technique: str) -> Iterator[str]:
    if technique == EXPOSED:
        return
    for kind in named_techniques_need({technique}):
        if getattr(frame.locate, kind) is None:
            yield f"no {kind} is picked for this locate"
    yield from (finding.says for finding in asked(frame, "operator", frame.locate.operator, technique))
