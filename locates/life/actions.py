"""The steps of a permit's life. Each is one errand: lock, gather afresh, judge where a verdict is owed, and refuse or write."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from locates.life.facts import lives, steps_of
from locates.life.models import Step
from locates.life.rules.acts import ACTS, AT_ONCE, EXTEND, STEPS, TAKE_OVER, TIME_UP, UNDONE, UPON, WATCH, WITHDRAWING
from locates.life.rules.story import Life, amended, may_come, may_do, wanting
from locates.life.rules.undoing import weighed
from locates.life.stead import for_whom
from locates.life.telling import tell_of_stop, tell_of_withdrawal, tell_unaided
from locates.life.witness import ACT, KIND, told
from locates.permits.actions import TWOFOLD, Changed, NotTheirs, OutOfTurn, Refused, WrongCode, proved_twice, signed
from locates.permits.facts import gather_one, people_of
from locates.permits.models import Permit
from locates.permits.rules.evidence import Evidence
from locates.permits.rules.gate import assess
from locates.permits.sheet import sheet, signed_rows
from records.firm.actions import spend_code
from records.firm.models import Person
from records.ledger.actions import Errand, errand
from records.ledger.chain import Actor, canonical, digest
from records.letters.actions import New, post_all
from records.rules.verdict import Verdict, as_data

REFUSED = "permit.step.refused"


class Wanting(Exception):
    """The act owes something that was not told, or not so that it can stand; `names` says what."""

    def __init__(self, names: tuple[str, ...]) -> None:
        super().__init__(", ".join(names))
        self.names = names


@dataclass(frozen=True, slots=True)
class Wish:
    """What somebody means to do, and what they tell of it."""

    act: str
    why: str = ""
    left: str = ""
    to: str = ""
    until: datetime | None = None

    def told(self) -> dict[str, object]:
        return {"why": self.why.strip(), "left": self.left.strip(), "to": self.to, "until": self.until}


@dataclass(frozen=True, slots=True)
class Outlook:
    """A permit as it stands at an instant, with a step in view. `evidence`: None for the one that asks nothing of it.

    `verdict` and `sheet` are of the permit as the step would leave it, and only where it is made upon a verdict.
    """

    permit: Permit
    life: Life
    steps: tuple[Step, ...]
    evidence: Evidence | None
    verdict: Verdict | None
    sheet: dict[str, Any]

    @property
    def seen(self) -> str:
        """The digest of what a page shows, but for the instant: another one means that something has changed since."""
        return digest(canonical({"steps": len(self.steps), "state": self.life.state, "sheet": {**self.sheet, "at": ""}}))


def outlook(permit: str, wish: Wish, at: datetime) -> Outlook:
    """Gather the permit as it stands, and judge it as the step would leave it, if that is made upon a verdict.

    Raises Permit.DoesNotExist, and KeyError for no act.
    """
    row = Permit.objects.get(permit=permit)
    life, steps = lives([row], at)[permit], tuple(steps_of([permit], whole=True).get(permit, ()))
    ends, receiver = _terms(row, life, wish)
    stored = gather_one(permit, as_signed=True, until=ends)
    evidence = amended(stored, ends, receiver)
    if not ACTS[wish.act].verdict and wish.act not in UPON:
        return Outlook(row, life, steps, evidence, None, {})
    verdict = assess(evidence, at)
    signatures = [signed(one) for one in row.sign_offs.order_by("pk")]
    # what never changes stays as it was signed, though the step gives another end or receiver
    data = {**sheet(evidence, verdict, signatures), "rows": signed_rows(stored), "steps": [told(one) for one in steps]}
    return Outlook(row, life, steps, evidence, verdict, data)


def _terms(row: Permit, life: Life, wish: Wish) -> tuple[datetime, Any]:
    """Until when it would run, and who would hold it."""
    receiver = life.named if wish.act == TAKE_OVER and life.named else life.receiver
    ends = wish.until if wish.act == EXTEND and wish.until else life.ends
    return ends, people_of({receiver})[receiver]


def step(permit: str, person: str, wish: Wish, at: datetime, seen: str, *, code: str = "", root: str = "") -> Step:
    """Take the step, as the person who has just proved who they are by their password; `code`: of their second factor, where one is asked for.

    `root`: where the site is open, for letters, which are posted with the step and go when letters are sent next.

    Everything is gathered and judged afresh inside the transaction, whatever a page showed before. A stop waits for no password or code: whoever
    is signed in stops the work. Raises OutOfTurn, NotTheirs, Wanting,
    NeedsSecondFactor, Refused (which leaves an entry of its own), Changed and WrongCode; then nothing is done, and no code is used up.
    """
    doing = Person.objects.get(person=person)
    by = Actor(doing.person, doing.name)
    try:
        with errand(by, at) as underway:
            locked = Permit.objects.select_for_update().get(permit=permit)
            twofold = wish.act not in AT_ONCE and proved_twice(locked, doing, at, code)
            made = _made(permit, doing, wish, at, seen)
            if twofold and not spend_code(underway, doing, code):
                raise WrongCode(permit)
            underway.write(ACT, KIND, permit, str(made), at, after=told(made), why="; ".join(filter(None, (made.why, TWOFOLD if twofold else ""))))
            if made.act in AT_ONCE:
                tell_of_stop(underway, made, root)
            if made.act in WITHDRAWING:
                tell_of_withdrawal(underway, made, root)
    except Refused as refused:
        _refusal(by, wish.act, refused.verdict)
        raise
    return made


def stopped(underway: Errand, permit: str, person: Person, wish: Wish, root: str = "") -> Step:
    """Stop the work in the errand of what it is stopped for, which waits for no password; its letters are posted with it. `root`: as in `step`.

    Raises OutOfTurn, NotTheirs and Wanting.
    """
    if wish.act not in AT_ONCE:
        raise OutOfTurn(permit)
    Permit.objects.select_for_update().get(permit=permit)
    made = _made(permit, person, wish, underway.at, "")
    underway.write(ACT, KIND, permit, str(made), underway.at, after=told(made), why=made.why)
    tell_of_stop(underway, made, root)
    return made


class Ahead(Exception):
    """Something stands on the permit that is dated after this instant: one of two clocks is wrong."""


def unaided(permit: str, at: datetime, root: str = "") -> Step | None:
    """What the watch does with a permit by itself, gathered and judged afresh in its errand: end it, its time being over; or suspend it, undone.

    None where neither is so by then, and nothing is written. Raises Ahead. `root`: as in `step`.
    """
    with errand(Actor("", WATCH), at, may_be_empty=True) as underway:
        row = Permit.objects.select_for_update().get(permit=permit)
        due = _ended(row, at) or _undone(row, at)
        if due is None:
            return None
        before, wish = due
        if _later(before, at):
            raise Ahead(permit)
        made = _written(before, None, wish, at)
        underway.write(ACT, KIND, permit, str(made), at, after=told(made), why=made.why)
        tell_unaided(underway, made, before.life, root)
    return made


def _ended(row: Permit, at: datetime) -> tuple[Outlook, Wish] | None:
    """Its end by time. That is owed whatever it rests on, and so asks nothing of its evidence."""
    life = lives([row], at)[row.pk]
    return (Outlook(row, life, tuple(steps_of([row.pk]).get(row.pk, ())), None, None, {}), Wish(TIME_UP)) if may_come(life, TIME_UP) else None


def _undone(row: Permit, at: datetime) -> tuple[Outlook, Wish] | None:
    before = outlook(row.pk, Wish(UNDONE), at)
    undoes = weighed(before.evidence, before.verdict, before.life.signed_at).undoes if may_come(before.life, UNDONE) else ()
    return (before, Wish(UNDONE, why=" ".join(one.says for one in undoes))) if undoes else None


def posted(some: Sequence[New], at: datetime) -> None:
    """Post letters that tell of no act, in an errand of their own that leaves no entry."""
    with errand(Actor("", WATCH), at, may_be_empty=True) as underway:
        post_all(underway, some, at)


def _made(permit: str, person: Person, wish: Wish, at: datetime, seen: str) -> Step:
    if wish.act not in STEPS:
        raise OutOfTurn(permit)
    before = outlook(permit, wish, at)
    # the work is stopped whatever the clocks say: somebody else's act may have been written while this one waited for its turn
    if not may_come(before.life, wish.act) or (wish.act not in AT_ONCE and _later(before, at)):
        raise OutOfTurn(permit)
    if not may_do(for_whom(before.life, before.permit, person, at), wish.act, person.person):
        raise NotTheirs(permit)
    if names := (*wanting(before.life, wish.act, wish.told()), *_unknown(wish)):
        raise Wanting(names)
    if before.verdict is not None and not before.verdict.clear:
        raise Refused(before.verdict)
    if wish.act not in AT_ONCE and seen != before.seen:
        raise Changed(permit)
    return _written(before, person, wish, at)


def _later(before: Outlook, at: datetime) -> bool:
    """Does something stand there already that a clock ahead of this one wrote?"""
    return any(one.done_at > at for one in before.steps) or before.permit.sign_offs.filter(signed_at__gt=at).exists()


def _unknown(wish: Wish) -> tuple[str, ...]:
    return ("to",) if wish.to and not Person.objects.filter(person=wish.to).exists() else ()


def _written(before: Outlook, person: Person | None, wish: Wish, at: datetime) -> Step:
    act = ACTS[wish.act]
    owed = {name: value for name, value in wish.told().items() if name in act.owes}
    new = Step(
        permit=before.permit,
        number=len(before.steps) + 1,
        act=wish.act,
        person=person,
        printed_name=person.name if person else WATCH,
        done_at=at,
        recorded_at=at,
        declaration=act.declares,
        why=owed.get("why", ""),
        left=owed.get("left", ""),
        to_id=owed.get("to"),
        until=owed.get("until"),
    )
    if before.verdict is not None:
        new.sheet = canonical({**before.sheet, "steps": [*before.sheet["steps"], told(new)]})
        new.digest, new.verdict = digest(new.sheet), canonical(as_data(before.verdict))
    new.save(force_insert=True)
    return new


def _refusal(by: Actor, act: str, verdict: Verdict) -> None:
    with errand(by, verdict.at) as underway:
        codes = [[finding.code, finding.subject] for finding in verdict.blocks]
        underway.write(REFUSED, KIND, verdict.permit, f"{verdict.permit}/{act}", verdict.at, after={"act": act, "blocks": codes})
