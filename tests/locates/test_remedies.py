"""From each reason of the gate a way leads to where it is mended, for those who may."""

import re

import pytest

from locates.permits.actions import preview
from locates.permits.models import Permit
from locates.permits.remedies import WAYS, ways
from records.firm.models import Person
from tests import cast
from tests.house.source import ROOT
from training.models import Award

HOW = ("withdrawn", "lapsed", "not_begun", "never", "left")
# said of what is no block: nothing is to be mended before signing
NO_BLOCK = {
    "clearance.exposed_in_part",
    "emergency.again",
    "follows.shares_ground",
    "instrument.hire_over",
    "instrument.out_of_service_since",
    "plans.closed",
    "plans.dropped",
    "service.by_word",
    "owner.agreed",
    "owner.attend",
    "owner.change_ahead",
    "owner.consult",
    "owner.isolate",
    "window.begun",
}
KIT = (
    "check_failed",
    "check_missing",
    "not_yet_calibrated",
    "calibration_failed",
    "calibration_lapsed",
    "recall_unknown",
    "recalled",
)  # put together from parts in the rules
CODES = re.compile(r'"((?:window|people|plans|locate|service|operator|instrument|clearance|owner|follows|emergency)\.[a-z_]+)"')


def test_every_reason_that_the_gate_gives_has_its_ways():
    rules = "".join(path.read_text() for path in (ROOT / "locates/permits/rules").glob("*.py"))
    given = set(CODES.findall(rules)) | {f"{role}.{how}" for role in ("issuer", "receiver", "crew", "operator") for how in HOW}
    given |= {f"instrument.{code}" for code in KIT}
    assert given - NO_BLOCK <= WAYS.keys()
    assert not NO_BLOCK & WAYS.keys()


def of_the_receiver(person):
    Award.objects.filter(award="A-REC").update(withdrawn_on=cast.AT.date(), withdrawn_because="exam void")
    prospect = preview("PD-1", cast.AT)
    found = next(one for one in prospect.verdict.blocks if one.code == "receiver.withdrawn")
    return [way.address for way in ways(found, prospect.evidence, Person.objects.get(pk=person), signed=False)]


@pytest.mark.django_db
def test_the_way_leads_to_the_record_already_filled_in():
    cast.everything()
    assert "/enter/awards/?person=P-REC" in of_the_receiver("P-SAF")


@pytest.mark.django_db
def test_who_may_mend_nothing_is_shown_no_way():
    cast.everything()
    assert of_the_receiver("P-CR1") == []


@pytest.mark.django_db
@pytest.mark.parametrize(("signed", "address"), [(False, "/permits/PD-2/change/"), (True, "/prepare/?like=PD-2")])
def test_a_signed_permit_is_not_changed_but_prepared_anew(signed, address):
    cast.everything()
    cast.permit("PD-2").crew.set([])
    prospect = preview("PD-2", cast.AT)
    found = next(one for one in prospect.verdict.blocks if one.code == "people.no_crew")
    assert [way.address for way in ways(found, prospect.evidence, Person.objects.get(pk="P-ISS"), signed=signed)] == [address]
    assert Permit.objects.get(pk="PD-2").crew.count() == 0
