"""Stored records become evidence: the same for one permit as for many, in a fixed number of queries."""

import io
import json
from datetime import datetime

import pytest
from django.core.management import call_command

from locates.permits.facts import gather, gather_one
from locates.permits.models import Permit
from locates.permits.rules.gate import assess
from records.rules.verdict import as_data
from tests import cast
from tests.second_reading.reading import assess_folder
from tests.second_reading.registers import generate
from tests.second_reading.test_agrees import compared

pytestmark = pytest.mark.django_db
QUERIES = 26


def many(count):
    """So many permits beside the clear one, all upon its evidence."""
    first = cast.everything()
    crew = Permit.crew.through
    made = [f"PD-X{n}" for n in range(count - 1)]
    plain = {field.attname: getattr(first, field.attname) for field in Permit._meta.concrete_fields}
    Permit.objects.bulk_create(Permit(**plain | {"permit": name}) for name in made)
    crew.objects.bulk_create(crew(permit_id=name, person_id="P-CR1") for name in made)


@pytest.mark.parametrize("count", [1, 10, 500])
def test_any_number_of_permits_takes_the_same_number_of_queries(count, django_assert_num_queries):
    many(count)
    with django_assert_num_queries(QUERIES):
        assert len(gather(Permit.objects.all())) == count


def test_a_permit_judged_alone_and_among_others_gets_the_same_verdict():
    many(10)
    among = {one.permit.permit: assess(one, cast.AT) for one in gather(Permit.objects.order_by("permit"))}
    assert among["PD-1"] == assess(gather_one("PD-1"), cast.AT)
    assert among["PD-1"].clear


def test_a_permit_that_is_not_there_is_said_so():
    with pytest.raises(Permit.DoesNotExist):
        gather_one("PD-9")


@pytest.mark.parametrize("seed", range(500, 512))
def test_a_loaded_register_is_judged_as_a_second_reading_of_its_files(seed, tmp_path):
    at = generate(seed, str(tmp_path))
    call_command("load", str(tmp_path), stdout=io.StringIO(), stderr=io.StringIO())
    out = io.StringIO()
    with pytest.raises(SystemExit):
        call_command("assess", "--at", at, "--json", stdout=out)
    assert compared(json.loads(out.getvalue())) == compared(assess_folder(str(tmp_path), at))


def test_numbers_come_back_as_they_were_recorded():
    cast.everything()
    data = as_data(assess(gather_one("PD-1"), datetime.fromisoformat("2027-03-04T08:30:00+13:00")))
    assert data["hand_zone"] == {"area_m2": 3.4, "volume_m3": 4.08}  # 2 × (0.05 + 0.5 + 0.3) by 2 m, 1.2 m deep
