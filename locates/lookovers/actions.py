"""A row written into a dig's diary: one errand, upon the permit as it stood when the thing happened, and the work is stopped where it must be."""

from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from decimal import Decimal

from locates.life.actions import Wish, stopped
from locates.life.facts import lives
from locates.life.models import Step
from locates.life.rules.acts import HALT, STOP
from locates.life.rules.story import may_come, may_do
from locates.lookovers.facts import life_then, may_write, occasion_of, part_of
from locates.lookovers.models import DiaryRow
from locates.lookovers.rules.words import AGAIN, LOOK_OVER, because, declared
from locates.lookovers.witness import ACT, KIND, told
from locates.permits.models import Permit
from locates.trials.models import TrialHole
from records.exchange.entering import Beside, Entered, enter, nothing
from records.firm.actions import actor
from records.firm.models import Person
from records.identifiers import next_identifiers
from records.ledger.actions import Errand, errand

HOLES = "trial_holes.csv"
TRIES = 5


class NotOpen(Exception):
    """The permit was not dug by at that instant, or the person had no part in it."""


@dataclass(frozen=True, slots=True)
class Told:
    """What somebody tells for the diary. `happened`: when; `seen`: how many rows the page showed, None where a phone sent it under a key of its own.

    `agreed`: did the page of a look-over ask for what the owners of services agreed to?
    """

    kind: str
    happened: datetime
    seen: int | None = None
    occasion: str = ""
    wrong: tuple[str, ...] = ()
    note: str = ""
    action: str = ""
    further: str = ""
    agreed: bool = False
    techniques: tuple[str, ...] = ()
    receiver_id: str | None = None
    place: str = ""
    depth_m: Decimal | None = None
    found: bool = False
    hole_id: str | None = None

    def columns(self) -> dict[str, object]:
        """What of it is stored as it is told."""
        return {name: value for name, value in asdict(self).items() if name not in ("happened", "seen", "occasion", "agreed")}


Making = Callable[[DiaryRow], Beside]


class _Twice(Exception):
    """The same page handed it in already."""

    def __init__(self, row: DiaryRow) -> None:
        super().__init__(str(row))
        self.row = row


def unanswered(row: DiaryRow) -> Beside:
    """Nobody waits for an answer that is to be kept."""
    return nothing


def write(permit: str, person: Person, one: Told, at: datetime, *, root: str = "", answer: Making = unanswered) -> DiaryRow:
    """Write the row, and stop the work where something is wrong or was found. `answer`, given the row, is what else belongs into the errand.

    Handed in twice by the same page, it is one row: the first is given back. `root`: where the site is open, for the letters of a stop. Raises NotOpen.
    """
    try:
        with errand(actor(person), at) as underway:
            _once(permit, person, one, {})
            row = _written(underway, permit, person, one, root)
            answer(row)(underway)
    except _Twice as twice:
        return twice.row
    return row


def expose(permit: str, person: Person, hole: dict[str, str], one: Told, at: datetime, *, root: str = "", answer: Making = unanswered) -> Entered | DiaryRow:
    """A trial hole through its register's own door, and its row in the diary, in one errand: whoever is on the permit records what was exposed there.

    Gives the row, or what is wrong with the hole. Where somebody else takes its name at the same instant, it goes under the next. Raises NotOpen.
    """
    made: list[DiaryRow] = []
    same = {f"hole__{column}": hole[column] for column in ("x", "y", "depth_m")}
    for name in next_identifiers(TrialHole, "H-", TRIES):

        def last(underway: Errand, name: str = name) -> None:
            made.append(_written(underway, permit, person, replace(one, hole_id=name), root))
            answer(made[-1])(underway)

        try:
            entered = enter([(HOLES, [{"hole": name, **hole}])], actor(person), at, first=lambda _: _once(permit, person, one, same), last=last)
        except _Twice as twice:
            return twice.row
        if entered.right or any(problem.column != "hole" for problem in entered.problems):
            break
    return made[-1] if entered.right else entered


def _once(permit: str, person: Person, one: Told, same: dict[str, str]) -> None:
    """Raises _Twice where the page that this comes from handed in the same before. `same`: what else is the same then."""
    if one.seen is None:
        return
    alike = {name: value for name, value in one.columns().items() if name != "hole_id"}
    before = DiaryRow.objects.filter(permit=permit, person=person.pk, number__gt=one.seen, **alike, **same).order_by("number").first()
    if before is not None:
        raise _Twice(before)


def _written(underway: Errand, permit: str, person: Person, one: Told, root: str) -> DiaryRow:
    row = Permit.objects.select_for_update(of=("self",)).select_related("site", "locate").get(permit=permit)
    then = life_then(row, one.happened)
    if not may_write(then, person.pk):
        raise NotOpen(permit)
    made = DiaryRow(
        permit=row,
        number=DiaryRow.objects.filter(permit=row).count() + 1,
        person=person,
        printed_name=person.name,
        part=part_of(row, then, person.pk),
        happened_at=one.happened,
        recorded_at=underway.at,
        occasion=_occasion(row, one),
        declaration=declared(one.wrong, agreed=one.agreed) if one.kind == LOOK_OVER else "",
        stop=_stopped(underway, row, person, one, root),
        **one.columns(),
    )
    made.save(force_insert=True)
    underway.write(ACT, KIND, permit, str(made), one.happened, after=told(made), why=made.note)
    return made


def _occasion(row: Permit, one: Told) -> str:
    """Of an event, what it was; of a look-over, why it was owed."""
    if one.kind != LOOK_OVER:
        return one.occasion
    found = occasion_of(row, one.happened)
    return found.occasion if found else AGAIN


def _stopped(underway: Errand, row: Permit, person: Person, one: Told, root: str) -> Step | None:
    """Stop the work for what is told; None where all is well, or where nobody digs by the permit any more, or the person is no longer on it."""
    if not one.wrong and not one.found:
        return None
    wish = Wish(STOP) if one.found else Wish(HALT, why=because(one.wrong, one.note))
    life = lives([row], underway.at)[row.pk]
    if not may_come(life, wish.act) or not may_do(life, wish.act, person.pk):
        return None
    return stopped(underway, row.pk, person, wish, root)
