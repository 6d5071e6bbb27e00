"""What the matrix costs a person, among ten and among a thousand: `pytest tests/bench/bench_cover.py`. Ratios of processor time."""

import sys
from datetime import date
from time import process_time
from zoneinfo import ZoneInfo

import pytest

from records.firm.models import Person
from tests import cast
from training.facts import rows_of
from training.models import Award

FEW, MANY = 10, 1000


@pytest.fixture
def say(capsys):
    def said(what: str, value: float, unit: str) -> None:
        with capsys.disabled():
            sys.stdout.write(f"\n{what}: {value:,.2f} {unit}")

    return said


def each(count: int) -> float:
    """Processor seconds a person."""
    people = list(Person.objects.order_by("person")[:count])
    begun = process_time()
    assert len(rows_of(people, ZoneInfo(cast.ZONE), cast.AT)) == count
    return (process_time() - begun) / count


@pytest.mark.django_db
def test_a_person_among_many_costs_no_more_than_among_few(say):
    cast.people()
    Person.objects.bulk_create(Person(person=f"M-{one}", name=f"Mason {one}", roles=("operator",), recorded_at=cast.RECORDED) for one in range(MANY))
    awards = [(f"A-{one}-{course}", f"M-{one}", course) for one in range(MANY) for course in cast.COURSES]
    Award.objects.bulk_create(
        Award(award=key, person_id=who, course_id=course, awarded_on=date(2026, 5, 1), recorded_at=cast.RECORDED) for key, who, course in awards
    )
    each(FEW)  # what is done once only
    few, many = each(FEW), each(MANY)
    say("a person among a thousand, against one among ten", many / few, "times")
    say("people with nine authorisations", 1 / many, "a second")
    assert many < 2 * few
