"""What a change of records does to open permits: their verdicts before and after, side by side."""

from datetime import datetime

from django.urls import reverse

from locates.permits.facts import gather
from locates.permits.lists import TIES
from locates.permits.models import Permit
from locates.permits.rules.gate import assess
from locates.permits.since import still_open
from records.access import within
from records.books.effects import Effect
from records.firm.models import Person
from records.rules.says import end_says
from records.rules.verdict import Verdict

MOST = 2000  # a firm with more open permits than this is told of the ones that end first


def look(person: Person, at: datetime) -> dict[str, Verdict]:
    """The verdicts, at the instant, of the open permits that the person may see."""
    open_ones = within(still_open(Permit.objects.all(), at), person, "permit.see", TIES, at).order_by("ends", "permit")
    keys = list(open_ones.values_list("pk", flat=True)[:MOST])
    return {one.permit.permit: assess(one, at) for one in gather(Permit.objects.filter(permit__among=keys))}


def compare(before: dict[str, Verdict], after: dict[str, Verdict]) -> list[Effect]:
    """The permits whose blocks or whose good-until the change would change, those that it would block first."""
    both = [(before[permit], after[permit]) for permit in before if permit in after]
    effects = [_effect(old, new) for old, new in both if _differ(old, new)]
    return sorted(effects, key=lambda one: (not one.worse, one.permit))


def _differ(old: Verdict, new: Verdict) -> bool:
    return (_reasons(old), old.good_until) != (_reasons(new), new.good_until)


def _reasons(verdict: Verdict) -> set[tuple[str, str]]:
    return {(one.code, one.subject) for one in verdict.blocks}


def _effect(old: Verdict, new: Verdict) -> Effect:
    says = [f"Blocked: {one.says}" for one in new.blocks if (one.code, one.subject) not in _reasons(old)]
    says += [f"No longer blocked: {one.says}" for one in old.blocks if (one.code, one.subject) not in _reasons(new)]
    if old.clear and new.clear and old.good_until != new.good_until:
        says.append(f"What it rests on is good {end_says(new.good_until, new.zone)}, not {end_says(old.good_until, old.zone)}.")
    return Effect(new.permit, reverse("permit", args=[new.permit]), tuple(says), old.clear and not new.clear)
