"""What a verdict costs, alone and among many: `pytest tests/bench/bench_gate.py`. Ratios of processor time, so that a busy machine says the same."""

import sys
from time import process_time

import pytest

from locates.permits.facts import gather
from locates.permits.models import Permit
from locates.permits.rules.gate import assess
from tests import cast

FEW, MANY = 10, 1000


@pytest.fixture
def say(capsys):
    def said(what: str, value: float, unit: str) -> None:
        with capsys.disabled():
            sys.stdout.write(f"\n{what}: {value:,.2f} {unit}")

    return said


def each(count: int) -> tuple[float, float]:
    """Processor seconds a permit to gather and to judge, among so many."""
    begun = process_time()
    evidence = gather(Permit.objects.all()[:count])
    gathered = process_time()
    assert all(assess(one, cast.AT).clear for one in evidence)
    return (gathered - begun) / count, (process_time() - gathered) / count


@pytest.mark.django_db
def test_a_permit_among_many_costs_less_than_alone(say):
    first = cast.everything()
    plain = {field.attname: getattr(first, field.attname) for field in Permit._meta.concrete_fields}
    names = [f"PD-X{n}" for n in range(MANY)]
    Permit.objects.bulk_create(Permit(**plain | {"permit": name}) for name in names)
    crew = Permit.crew.through
    crew.objects.bulk_create(crew(permit_id=name, person_id="P-CR1") for name in names)
    (gather_alone, judge_alone), (gather_few, _), (gather_many, judge_many) = each(1), each(FEW), each(MANY)
    say("gathering one permit alone, against one among a thousand", gather_alone / gather_many, "times")
    say("gathering one among ten, against one among a thousand", gather_few / gather_many, "times")
    say("judging one among a thousand, against one alone", judge_many / judge_alone, "times")
    say("gathering and judging", 1 / (gather_many + judge_many), "permits a second")
    assert gather_many < gather_alone
    assert judge_many < 3 * judge_alone
