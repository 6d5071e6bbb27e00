"""What is done with locates and permits that rested on a thing in doubt: live permits are suspended, and each decision is a row of its own that stays."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime

from locates.life.actions import Wish, stopped
from locates.life.rules.acts import FORBID
from locates.recall.cases import LOCATE, Case, Subject, case_of
from locates.recall.models import Decision
from locates.recall.rules.decided import COLUMN_OF, DECISIONS
from records.access import may
from records.exchange.catalogue import tables
from records.firm.actions import actor
from records.firm.models import Person
from records.identifiers import next_identifiers
from records.ledger.actions import Errand, errand
from records.rules.kinds import UTC_ZONE

PREFIX = "RD-"
DECIDE = "recall.decide"
FILE = "recall_decisions.csv"


class NotTheirs(Exception):
    """The person decides nothing of this."""


class StillLive(Exception):
    """A permit among them may be dug by; `permits` names those. Such a permit is suspended first, and decided on then."""

    def __init__(self, permits: Sequence[str]) -> None:
        super().__init__(", ".join(permits))
        self.permits = permits


class Wanting(Exception):
    """No reason was told, nothing was chosen, or what is no decision, or something that does not rest on it."""


@dataclass(frozen=True, slots=True)
class Ruling:
    """What is decided of these locates and permits, and why."""

    subjects: Collection[Subject]
    decided: str
    why: str


def decide(kind: str, key: str, ruling: Ruling, person: Person, at: datetime) -> list[Decision]:
    """Write the decision down for each of the locates and permits, all or none. What rests on the finding is looked up afresh, in the errand.

    Raises NotTheirs, Wanting and StillLive; then nothing is written.
    """
    with errand(actor(person), at) as underway:
        if not may(person, DECIDE):
            raise NotTheirs(person.pk)
        case = case_of(kind, key, person, at)
        _fit(case, ruling)
        names = next_identifiers(Decision, PREFIX, len(ruling.subjects))
        return [_written(underway, case, subject, name, ruling, person) for subject, name in zip(sorted(ruling.subjects), names, strict=True)]


def suspend(kind: str, key: str, why: str, person: Person, at: datetime, root: str = "") -> list[str]:
    """Suspend every permit that rests on the finding and that anyone may dig by, in one errand, and post the letters that tell of it. Gives their names.

    What rests on it is looked up afresh, in the errand. `root`: where the site is open, for the letters. Raises NotTheirs.
    """
    with errand(actor(person), at, may_be_empty=True) as underway:
        if not may(person, DECIDE):
            raise NotTheirs(person.pk)
        case = case_of(kind, key, person, at)
        live = sorted(case.live) if case else []
        for permit in live:
            stopped(underway, permit, person, Wish(FORBID, why=why), root)
        return live


def _fit(case: Case | None, ruling: Ruling) -> None:
    items = {one.subject: one for one in case.items} if case else {}
    if not ruling.subjects or not ruling.why.strip() or ruling.decided not in DECISIONS or not items.keys() >= set(ruling.subjects):
        raise Wanting
    if live := sorted(items[one].resting.key for one in ruling.subjects if items[one].live):
        raise StillLive(live)


def _written(underway: Errand, case: Case, subject: Subject, name: str, ruling: Ruling, person: Person) -> Decision:
    kind, key = subject
    new = Decision(
        decision=name,
        decided=ruling.decided,
        why=ruling.why.strip(),
        person=person,
        decided_at=underway.at,
        recorded_at=underway.at,
        **{f"{COLUMN_OF[case.doubt.kind]}_id": case.doubt.key, "locate_id" if kind == LOCATE else "permit_id": key},
    )
    new.save(force_insert=True)
    told = {column.name: text for column in tables()[FILE].columns if (text := column.text(new, UTC_ZONE))}
    # it is told of the locate or permit itself, and stands in that one's history
    underway.write(f"{kind}.recall_decided", kind, key, f"{key}, decision {name}", underway.at, after=told, why=new.why)
    return new
