"""The registers of training: courses and awards."""

from collections.abc import Collection

from records.rules.wrong import Wrong
from records.tables import Check, Found, always, table
from training.models import Award, Course, Need


def awards_past_the_course(courses: Collection[str]) -> Found:
    """Awards whose printed end is later than the course's months now allow."""
    for award in Award.objects.filter(course__in=courses, expires_on__isnull=False).select_related("course").order_by("award").iterator():
        for wrong in award.wrongs():
            yield award.course_id, Wrong("valid_months", f"award {award.award} would no longer fit: its expires_on: {wrong.says}")


TABLES = (
    table("needs.csv", Need, "need* role* effective_from* authorises* source", settled=always, extra=True),
    table("courses.csv", Course, "course* title* valid_months* authorises*"),
    table(
        "awards.csv",
        Award,
        "award* person* course* awarded_on* expires_on certificate_no assessor withdrawn_on withdrawn_because",
        settled=always,
    ),
)
CHECKS = (Check("courses.csv", frozenset({"valid_months"}), awards_past_the_course),)
FOOTINGS = ()
READINGS = ()
