"""What is looked up across records costs the same number of queries for many rows as for few."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from locates.surveys.across import replacement_rings
from locates.surveys.footing import families_of, on_services
from locates.surveys.models import Enquiry, PlanService
from tests.register import loaded, register, row, says

pytestmark = pytest.mark.django_db
MANY = 40


@pytest.fixture
def stored(tmp_path):
    """The register, with a chain of replaced enquiries of one day, of which each shows one service, and many answers to one of them."""
    tables = register()
    asked, shown = row(tables, "enquiries", "E2"), row(tables, "plan_services", "V3")
    for n in range(MANY):
        answered = f"2027-02-22T10:{n:02}:00+13:00"
        tables["enquiries"].append(asked | {"enquiry": f"M{n}", "replaces": f"M{n - 1}" if n else "", "answered_at": answered})
        tables["plan_services"].append(shown | {"service": f"N{n}", "enquiry": f"M{n}", "same_as": f"N{n % 4}" if n >= 4 else ""})
    assert says(loaded(tmp_path, tables)) == ""


def queries(what):
    """How many queries it takes, and what it gives."""
    with CaptureQueriesContext(
        connection,
    ) as asked:
        found = what()
    return len(asked), found


def test_a_long_chain_of_replacements_is_looked_up_at_once(stored):
    assert queries(lambda: list(replacement_rings([f"M{n}" for n in range(MANY)]))) == (1, [])


def test_a_ring_is_found_from_each_of_its_enquiries(stored):
    Enquiry.objects.get(pk="M0").replaces.add("M9")
    assert [enquiry for enquiry, _ in replacement_rings(["M3", "M12", "E1"])] == ["M3"]


def test_many_families_are_looked_up_together(stored):
    few, one = queries(lambda: families_of(["N1"]))
    many, all_of_them = queries(lambda: families_of([f"N{n}" for n in range(MANY)]))
    assert many <= few
    assert one["N1"] == all_of_them["N5"] == {f"N{n}" for n in range(1, MANY, 4)}


def test_a_finished_locate_rests_on_all_that_are_the_same_as_what_it_names(stored):
    PlanService.objects.get(pk="N5").same_as.add("V3")
    Enquiry.objects.filter(enquiry__startswith="M").update(answered_at=None)
    assert on_services(["N9", "N2"]) == {"N9": "the finished locate L1"}
