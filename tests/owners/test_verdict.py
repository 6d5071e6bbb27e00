"""The gate over stored needs and agreements: what is recorded before issue counts, what is taken back undoes a live permit."""

import json
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core.management import call_command

from locates.life.rules.undoing import weighed
from locates.owners.models import OwnerAgreement, OwnerNeed, Rating
from locates.permits.actions import Refused, preview, sign
from locates.permits.facts import gather, gather_one
from locates.permits.models import Permit
from locates.permits.remedies import ways
from locates.permits.rules.gate import assess
from locates.surveys.models import PlanService
from records.exchange.entering import enter
from records.firm.models import Person, RuleSet, Site
from records.ledger.chain import Actor
from tests import cast
from tests.elsewhere import agreement
from tests.locates.test_facts import QUERIES

pytestmark = pytest.mark.django_db
OF = {"recorded_at": cast.RECORDED}


@pytest.fixture
def needed(scene):
    """At the first site a rule set by which cables within 3 m need their owner consulted."""
    RuleSet.objects.create(rule_set="ours", **OF)
    Site.objects.filter(pk="S-1").update(rule_set="ours")
    plain = {"needed": "consult", "within_m": 3, "utility": "electricity", "above_kv": Decimal(11), "blocks": True, "source": "the owner's rule"}
    return OwnerNeed.objects.create(rule_set_id="ours", effective_from=date(2027, 1, 1), need="cables", **plain, **OF)


def agreed(**other):
    return agreement("AG-1", **{"site_id": "S-1", "service_owner": "Northline Power", "reference_no": "NP 31", "conditions": "No plant here."} | other)


def blocks(at=cast.AT):
    return [one.code for one in assess(gather_one("PD-1"), at).blocks]


def signed(at=cast.AT):
    for person, meaning in (("P-ISS", "issue"), ("P-REC", "accept")):
        sign("PD-1", person, meaning, at, preview("PD-1", at).seen)


def test_a_stored_need_blocks_until_its_owner_s_agreement_is_stored(needed):
    assert blocks() == ["owner.not_consulted"]
    agreed()
    assert blocks() == []
    assert "No plant here" in next(one.says for one in assess(gather_one("PD-1"), cast.AT).conditions if one.code == "owner.agreed")


def test_a_stored_voltage_says_that_the_need_is_not_of_this_cable(needed):
    Rating.objects.create(rating="VP-1", service_id="V-1", told_on=date(2027, 3, 4), voltage_kv=Decimal("0.4"), note="the plan", **OF)
    assert blocks() == []
    assert "owner.not_consulted" in blocks(cast.AT - timedelta(days=1))


def test_nobody_signs_without_it_and_one_agreed_after_the_instant_is_none(needed):
    agreed(agreed_at=cast.AT + timedelta(seconds=1))
    with pytest.raises(Refused):
        sign("PD-1", "P-ISS", "issue", cast.AT, preview("PD-1", cast.AT).seen)
    later = cast.AT + timedelta(seconds=1)
    signed(later)
    assert Permit.objects.filter(sign_offs__meaning="accept").count() == 1


def test_an_agreement_for_one_service_is_none_for_the_next(needed):
    PlanService.objects.create(service="V-2", enquiry_id="E-1", utility="electricity", conductive=True, **OF)
    agreed(service_id="V-2")
    assert [(one.code, one.subject) for one in assess(gather_one("PD-1"), cast.AT).blocks if one.subject == "trace:T-1"] == [
        ("owner.not_consulted", "trace:T-1")
    ]


@pytest.mark.parametrize("how", [{"withdrawn_on": date(2027, 3, 5), "withdrawn_because": "a feeder is out"}, {"good_through": date(2027, 3, 4)}])
def test_an_agreement_taken_back_or_over_undoes_a_live_permit(needed, how):
    agreed()
    signed()
    OwnerAgreement.objects.update(**how)
    before, at = cast.AT + timedelta(hours=15, minutes=29, seconds=59), cast.AT + timedelta(hours=15, minutes=30)  # midnight at the site
    verdict = assess(gather_one("PD-1"), at)
    assert [one.code for one in weighed(gather_one("PD-1"), verdict, cast.AT).undoes if one.code.startswith("owner.")] == ["owner.not_consulted"]
    assert "owner.not_consulted" not in blocks(before)


@pytest.mark.parametrize("count", [0, 1, 200])
def test_any_number_of_needs_and_agreements_takes_as_many_queries(needed, count, django_assert_num_queries):
    for n in range(count):
        OwnerNeed.objects.create(rule_set_id="ours", effective_from=date(2027, 1, 1), need=f"x{n}", needed="attend", within_m=1, blocks=True, source="x", **OF)
        agreement(f"AG-{n}", site_id="S-1", service_owner="Northline Power", service_id="V-1")
    with django_assert_num_queries(QUERIES):
        gather(Permit.objects.all())


def test_assess_tells_of_it(needed, capsys):
    with pytest.raises(SystemExit) as done:
        call_command("assess", "PD-1", "--at", cast.AT.isoformat(timespec="seconds"), "--json")
    (told,) = json.loads(capsys.readouterr().out)
    assert (done.value.code, [one["code"] for one in told["blocks"]], told["blocks"][0]["subject"]) == (1, ["owner.not_consulted"], "trace:T-1")


def way(person="P-ISS"):
    prospect = preview("PD-1", cast.AT)
    return [one.address for one in ways(prospect.verdict.blocks[0], prospect.evidence, Person.objects.get(pk=person), signed=False)]


def test_the_way_leads_to_the_form_for_this_owner_and_service(needed, as_person):
    address = "/enter/owner-agreements/?site=S-1&service_owner=Northline+Power&service=V-1&agreed=consult"
    assert address in way()
    form = as_person("P-ISS").get(address).context["form"]
    assert (form["service_owner"].value(), form["service"].value(), form["agreed"].value()) == ("Northline Power", "V-1", "consult")
    assert 'value="consult"' in str(form["agreed"]) and str(form["agreed"]).count("checked") == 1
    assert not [one for one in way("P-CR1") if "owner-agreements" in one]


def test_while_nobody_recorded_the_voltage_a_way_leads_there_too(needed, as_person):
    assert "/enter/ratings/?service=V-1" in way()
    assert as_person("P-ISS").get("/enter/ratings/?service=V-1").context["form"]["service"].value() == "V-1"
    Rating.objects.create(rating="VP-1", service_id="V-1", told_on=date(2027, 3, 4), voltage_kv=Decimal(33), note="the plan", **OF)
    assert "/enter/ratings/?service=V-1" not in way()


def test_what_a_signed_permit_rests_on_is_not_put_right(needed):
    Rating.objects.create(rating="VP-1", service_id="V-1", told_on=date(2027, 3, 4), voltage_kv=Decimal(33), note="the plan", **OF)
    agreed()
    signed()
    rows = [
        ("owner_needs.csv", {"rule_set": "ours", "effective_from": "2027-01-01", "need": "cables", "within_m": "2"}),
        ("service_ratings.csv", {"rating": "VP-1", "voltage_kv": "11"}),
        ("owner_agreements.csv", {"agreement": "AG-1", "good_through": "2027-03-20"}),
    ]
    for file, row in rows:
        done = enter([(file, [row])], Actor("P-SAF", "Hana Petros"), cast.AT, why="misread", mending=True)
        assert [one.says.split(" rests")[0] for one in done.problems] == ["the signed permit PD-1"], file


def test_where_it_is_isolated_and_not_proved_the_way_leads_to_the_proof(needed, as_person):
    OwnerNeed.objects.update(needed="isolate")
    agreed(agreed=("isolate",), person_id="P-ISS")
    assert "/correct/owner-agreements/AG-1/" in way()
    client, page = as_person("P-ISS"), "/correct/owner-agreements/AG-1/"
    plain = {"site": "S-1", "service_owner": "Northline Power", "agreed": ["isolate"], "agreed_with": "Ro Hart", "person": "P-ISS"}
    plain |= {"agreed_at_day": "2027-03-04", "agreed_at_time": "07:30", "good_from": "2027-03-04", "good_through": "2027-03-12"}
    proof = {"proved_by": "Lu Parr", "proved_at_day": "2027-03-04", "proved_at_time": "08:00", "why": "proved now"}
    given = plain | proof | {"reference_no": "NP 31", "conditions": "No plant here.", "seen": client.get(page).context["seen"]}
    first = client.post(page, given)
    assert "No longer blocked" in first.content.decode()
    client.post(page, given | {"weighed": first.context["weighed"]})
    assert OwnerAgreement.objects.get().proved_by == "Lu Parr"
    assert blocks() == []
