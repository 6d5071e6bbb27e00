"""What the steps rest on that were made upon a verdict: an extension, a resumption, a taking over. What came after the signatures stays by these."""

from collections.abc import Collection
from datetime import UTC, date, datetime, time, timedelta

from django.db.models import F, Min, Model, QuerySet

from locates.life.models import Step
from locates.life.rules.acts import JUDGED, TAKE_OVER
from locates.owners.models import OwnerAgreement, Rating
from locates.surveys.models import Enquiry, WrongPlan
from training.models import Award, Course

Resting = dict[str, str]
STEPS = "permits__steps"


def _since(model: type[Model], keys: Collection[str], site: str, since: str) -> Resting:
    """Of these records those since whose instant a step was judged at their site."""
    steps = f"{site}__{STEPS}"
    judged = {f"{steps}__act__in": JUDGED, f"{steps}__done_at__gte": F(since)}
    return _said(model._default_manager.filter(pk__in=keys, **judged).values_list("pk").annotate(Min(f"{steps}__permit")))


def on_enquiries(enquiries: Collection[str]) -> Resting:
    return _since(Enquiry, enquiries, "site", "answered_at")


def on_wrong_plans(wrong: Collection[str]) -> Resting:
    return _since(WrongPlan, wrong, "enquiry__site", "found_at")


def on_ratings(ratings: Collection[str]) -> Resting:
    return _since(Rating, ratings, "service__enquiry__site", "recorded_at")


def on_owner_agreements(agreements: Collection[str]) -> Resting:
    return _since(OwnerAgreement, agreements, "site", "agreed_at")


def on_awards(awards: Collection[str]) -> Resting:
    """Awards of those who took a permit over."""
    return _said(_taken(Award.objects.filter(award__in=awards), "person__steps"))


def on_courses(courses: Collection[str]) -> Resting:
    """Courses of which somebody who took a permit over holds an award."""
    return _said(_taken(Course.objects.filter(course__in=courses), "awards__person__steps"))


def on_rules(rules: Collection[str]) -> Resting:
    """Numbers in force, or needs of owners, at a site when a step was judged there. The day is the site's: at most a day from UTC's."""
    found: Resting = {}
    for rule_set, day, key in (one.split("/") for one in rules):
        begun = datetime.combine(date.fromisoformat(day), time(), UTC) - timedelta(days=1)
        first = Step.objects.filter(permit__site__rule_set=rule_set, act__in=JUDGED, done_at__gte=begun).aggregate(first=Min("permit"))["first"]
        found |= _said([(f"{rule_set}/{day}/{key}", first)] if first else [])
    return found


def _taken(rows: QuerySet, steps: str) -> QuerySet:
    return rows.filter(**{f"{steps}__act": TAKE_OVER}).values_list("pk").annotate(Min(f"{steps}__permit"))


def _said(found: Collection[tuple[str, str]]) -> Resting:
    return {id: f"a step of permit {permit}" for id, permit in found}
