"""What makes an award or a course wrong."""

from collections.abc import Iterator
from typing import Any

from records.rules.dates import add_months
from records.rules.wrong import Wrong, not_before, not_later, reason_owed


def award_wrongs(award: Any, course: Any) -> Iterator[Wrong]:
    """The faults of an award; those beside its course too, where that is known."""
    yield from not_before(award, "expires_on", "awarded_on")
    yield from not_before(award, "withdrawn_on", "awarded_on")
    yield from reason_owed(award, "withdrawn_on", "withdrawn_because")
    if course is not None and course.valid_months is not None and award.awarded_on is not None:
        limit = add_months(award.awarded_on, course.valid_months)
        yield from not_later(award, "expires_on", limit, f"to which course {course.course} is good", "awarded_on", "course")
