"""How permits stand after their steps: for one or ten thousand, in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime

from django.db.models import Exists, OuterRef, QuerySet

from locates.life.models import Step
from locates.life.rules.acts import AT_ONCE, UNDONE
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


def lives(permits: Iterable[Permit], at: datetime, *, by_then: bool = False) -> dict[str, Life]:
    """How each permit stands at the instant; `by_then`: by the signatures and steps that were made by then, whatever came later."""
    rows = {row.pk: row for row in permits}
    steps, signed = steps_of(rows), defaultdict(dict)
    for permit, meaning, when in SignOff.objects.filter(permit__permit__among=list(rows)).values_list("permit_id", "meaning", "signed_at"):
        if not by_then or when <= at:
            signed[permit][meaning] = when
    crew: dict[str, set[str]] = defaultdict(set)
    for permit, person in Permit.crew.through.objects.filter(permit__permit__among=list(rows)).values_list("permit_id", "person_id"):
        crew[permit].add(person)
    operators = dict(Permit.objects.filter(permit__among=list(rows), locate__isnull=False).values_list("permit", "locate__operator"))
    others = {key: {*crew[key], *filter(None, [operators.get(key)])} for key in rows}
    made = {key: [one for one in steps.get(key, ()) if not by_then or one.done_at <= at] for key in rows}
    return {key: lived(_start(row, signed[key], others[key]), map(done, made[key]), at) for key, row in rows.items()}


def _start(row: Permit, signed: dict[str, datetime], others: set[str]) -> Life:
    return begun(row.issuer_id, row.receiver_id, row.valid_to, signed, others, max(signed.values(), default=None))


def stops() -> QuerySet[Step]:
    """The stops that nobody has dealt with yet: nothing was done with those permits since."""
    later = Step.objects.filter(permit=OuterRef("permit"), number__gt=OuterRef("number"))
    return Step.objects.filter(~Exists(later), act__in=(*AT_ONCE, UNDONE)).select_related("permit__site").defer("sheet", "verdict").order_by("-done_at", "pk")


def done(step: Step) -> Done:
    return Done(step.act, step.person_id or "", step.done_at, step.to_id or "", step.until)
