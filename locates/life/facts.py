"""How permits stand after their steps: for one or ten thousand, in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime

from locates.life.models import Step
from locates.life.rules.story import Done, Life, begun, lived
from locates.permits.models import Permit, SignOff
from records.base import ByCodePoint


def steps_of(permits: Iterable[str], *, whole: bool = False) -> dict[str, list[Step]]:
    """The steps of each permit that has any, in their order; `whole`: with their sheets and verdicts, which are long."""
    found: dict[str, list[Step]] = defaultdict(list)
    rows = Step.objects.filter(permit__permit__among=list(permits)).select_related("to").order_by(ByCodePoint("permit_id"), "number")
    for one in rows if whole else rows.defer("sheet", "verdict"):
        found[one.permit_id].append(one)
    return found


def lives(permits: Iterable[Permit], at: datetime) -> dict[str, Life]:
    """How each permit stands at the instant."""
    rows = {row.pk: row for row in permits}
    steps, signed = steps_of(rows), defaultdict(set)
    for permit, meaning in SignOff.objects.filter(permit__permit__among=list(rows)).values_list("permit_id", "meaning"):
        signed[permit].add(meaning)
    return {key: lived(_start(row, signed[key]), map(done, steps.get(key, ())), at) for key, row in rows.items()}


def _start(row: Permit, signed: set[str]) -> Life:
    return begun(row.issuer_id, row.receiver_id, row.valid_to, signed)


def done(step: Step) -> Done:
    return Done(step.act, step.person_id, step.done_at, step.to_id or "", step.until)
