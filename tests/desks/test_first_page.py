"""The first page and one's own page: a fixed number of queries, however many records there are."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from locates.instruments.models import Check, Instrument
from locates.permits.models import Permit
from locates.surveys.models import Locate
from records.firm.models import Person
from tests import cast
from training.models import Award

pytestmark = pytest.mark.django_db
OF = {"recorded_at": cast.RECORDED}
COUNTED = (("P-ISS", "/"), ("P-OPE", "/"), ("P-SAF", "/"), ("P-OPE", "/mine/"), ("P-SAF", "/instruments-due/"))


def more(count):
    """So many more people with an award, instruments checked, locates, and permits long over."""
    of = range(count)
    Person.objects.bulk_create(Person(person=f"Q-{n}", name=f"Q {n}", roles=("operator",), **OF) for n in of)
    Award.objects.bulk_create(Award(award=f"Q-{n}", person_id=f"Q-{n}", course_id="C-LOC", awarded_on=date(2026, 5, 1), **OF) for n in of)
    Instrument.objects.bulk_create(Instrument(instrument=f"Q-{n}", kind="receiver", serial_no=f"q{n}", calibration_months=12, **OF) for n in of)
    checks = {"kind": "before_use", "checked_at": cast.AT - timedelta(hours=3), "person_id": "P-OPE", "result": "pass"}
    Check.objects.bulk_create(Check(check_id=f"Q-{n}", instrument_id=f"Q-{n}", **checks, **OF) for n in of)
    begun = {"started_at": cast.AT - timedelta(days=9), "finished_at": cast.AT - timedelta(days=9, hours=-1)}
    Locate.objects.bulk_create(Locate(locate=f"Q-{n}", site_id="S-1", operator_id="P-OPE", receiver_id="I-R1", **begun, **OF) for n in of)
    like = Permit.objects.get(pk="PD-1")
    plain = {name: getattr(like, name) for name in ("site_id", "locate_id", "work", "outline", "depth_m", "method", "issuer_id", "receiver_id")}
    window = {"valid_from": cast.AT - timedelta(days=40), "valid_to": cast.AT - timedelta(days=39)}
    Permit.objects.bulk_create(Permit(permit=f"Q-{n}", **plain, **window, **OF) for n in of)


def queries(client, address):
    with CaptureQueriesContext(connection) as seen:
        assert client.get(address).status_code == 200
    return address, len(seen)


def test_the_number_of_queries_does_not_grow(as_person):
    pages = [(as_person(person), address) for person, address in COUNTED]
    more(10)
    few = [queries(*page) for page in pages]
    Permit.objects.filter(pk__startswith="Q-").delete()
    for model in (Locate, Check, Award, Instrument, Person):
        model.objects.filter(pk__startswith="Q-").delete()
    more(1000)
    assert [queries(*page) for page in pages] == few
