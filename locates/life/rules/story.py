"""How a permit stands after all that was done with it: its state, who holds it now, until when it runs; and who may do what next."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from locates.life.rules.acts import (
    ACTS,
    ENDED,
    EXTEND,
    FORMER,
    HAND_OVER,
    ISSUED,
    ISSUER,
    NAMED,
    NOBODY,
    OFFICE,
    OTHERS,
    PREPARED,
    RECEIVER,
    STAND_IN,
    STEPS,
    TAKE_OVER,
    TIME_UP,
    UNTIL,
    WORKING,
)
from locates.permits.rules.evidence import Evidence, Person
from locates.permits.rules.signing import ACCEPT, ISSUE


@dataclass(frozen=True, slots=True)
class Done:
    """A step that was made; by nobody, where the watch made it. `to`: to whom it hands over; `until`: the new end it gives."""

    act: str
    person: str
    at: datetime
    to: str = ""
    until: datetime | None = None


@dataclass(frozen=True, slots=True)
class Life:
    """A permit as its life has left it. `named`: who may take it over, while it is between two receivers; `others`: who else is on it; `former`: who held
    it before, or was to.

    `signed_at`: when it was last signed, or stepped upon a verdict; None before that. `by_time`: nothing but its time has ended it, and nobody has
    written that down yet. `stand_ins`: who may act in the place of whose turn it is, so far as that was asked;
    `office`: the safety managers, so far as that was.
    """

    state: str
    issuer: str
    receiver: str
    ends: datetime
    named: str = ""
    others: frozenset[str] = frozenset()
    signed_at: datetime | None = None
    by_time: bool = False
    stand_ins: frozenset[str] = frozenset()
    office: frozenset[str] = frozenset()
    former: frozenset[str] = frozenset()

    def holding(self, part: str) -> frozenset[str]:
        """Who has this part in the permit now."""
        held = {ISSUER: {self.issuer}, RECEIVER: {self.receiver}, NAMED: {self.named}, OTHERS: self.others, FORMER: self.former}
        return frozenset((held | {STAND_IN: self.stand_ins, OFFICE: self.office, NOBODY: ()})[part])


def begun(issuer: str, receiver: str, ends: datetime, signed: Collection[str], others: Iterable[str] = (), signed_at: datetime | None = None) -> Life:
    """A permit before any step: by its signatures."""
    state = ACTS[ACCEPT].leads if ACCEPT in signed else ISSUED if ISSUE in signed else PREPARED
    return Life(state, issuer, receiver, ends, "", frozenset(others), signed_at)


def after(life: Life, step: Done) -> Life:
    """The permit once the step is made."""
    act = ACTS[step.act]
    left = {life.named} | ({life.receiver} if step.act == TAKE_OVER else set())
    return Life(
        act.leads,
        life.issuer,
        step.person if step.act == TAKE_OVER else life.receiver,
        step.until if step.act == EXTEND and step.until else life.ends,
        step.to if step.act == HAND_OVER else "",
        life.others,
        step.at if act.verdict else life.signed_at,
        former=life.former | (left - {"", step.person if step.act == TAKE_OVER else step.to}),
    )


def lived(start: Life, steps: Iterable[Done], at: datetime) -> Life:
    """The permit at the instant, after its steps in their order. One that nobody ended is ended by its time."""
    life = start
    for step in steps:
        life = after(life, step)
    return replace(life, state=ENDED, by_time=True) if life.state in WORKING and life.ends <= at else life


def may_come(life: Life, act: str) -> bool:
    """Is it a step, and one that leads on from this state? That its time is over is written down once it is."""
    return life.by_time if act == TIME_UP else act in STEPS and life.state in ACTS[act].froms


def may_do(life: Life, act: str, person: str) -> bool:
    """Has the person a part in the permit that may do this?"""
    return bool(person) and any(person in life.holding(part) for part in ACTS[act].who)


def open_to(life: Life, person: str) -> tuple[str, ...]:
    """The steps that this person may make now, in the order of the table."""
    return tuple(name for name in STEPS if may_come(life, name) and may_do(life, name, person))


def wanting(life: Life, act: str, told: dict[str, object]) -> tuple[str, ...]:
    """What the act owes and is not told, or cannot be so: nobody hands over to themselves or to the issuer, and an extension ends later."""
    missing = [name for name in ACTS[act].owes if not told.get(name)]
    if act == HAND_OVER and told.get("to") in (life.issuer, life.receiver):
        missing.append("to")
    if act == EXTEND and isinstance(told.get(UNTIL), datetime) and told[UNTIL] <= life.ends:
        missing.append(UNTIL)
    return tuple(missing)


def amended(evidence: Evidence, ends: datetime, receiver: Person) -> Evidence:
    """The evidence of the permit as its life has left it: another receiver, another end; what was signed stays as it is stored."""
    return replace(evidence, permit=replace(evidence.permit, valid_to=ends, receiver=receiver))
