"""What a judged step rests on is not put right under it: what came after the signatures, and the awards of whoever took the permit over."""

from datetime import date, timedelta

import pytest

from locates.owners.models import OwnerNeed, Rating
from locates.surveys.models import Enquiry, PlanService, WrongPlan
from records.exchange.entering import enter
from records.firm.models import Rule, RuleSet, Site
from records.ledger.chain import Actor
from tests import cast
from tests.elsewhere import agreement
from tests.life.conftest import done
from training.models import Award, Course

pytestmark = pytest.mark.usefixtures("signed")
BETWEEN = cast.AT + timedelta(minutes=30)
STEPPED = cast.AT + timedelta(hours=5)  # from here on the next day begins somewhere on Earth
OF = {"recorded_at": BETWEEN}
OWNER = {"service_owner": "Northline Power"}


def since_signed():
    """Records of the time between the signatures and the step."""
    RuleSet.objects.create(rule_set="ours", **OF)
    Site.objects.filter(pk="S-1").update(rule_set="ours")
    begun = {"rule_set_id": "ours", "effective_from": date(2027, 3, 5), "source": "ours"}
    Rule.objects.create(key="due_soon_days", value="20", **begun, **OF)
    OwnerNeed.objects.create(need="cables", needed="consult", within_m=1, blocks=False, **begun, **OF)
    Enquiry.objects.create(enquiry="E-3", site_id="S-1", sent_on=date(2027, 3, 1), answered_at=BETWEEN, **OWNER, **OF)
    PlanService.objects.create(service="V-3", enquiry_id="E-3", utility="electricity", conductive=True, **OF).same_as.add("V-1")
    Rating.objects.create(rating="VP-3", service_id="V-3", told_on=date(2027, 3, 4), voltage_kv=11, note="by telephone", **OF)
    agreement("AG-3", site_id="S-1", agreed_at=BETWEEN, **OWNER)
    # of an answer that never was at hand for the locate
    far = "POLYGON ((500 500, 501 500, 501 501, 500 501, 500 500))"
    Enquiry.objects.create(enquiry="E-4", site_id="S-1", sent_on=date(2027, 3, 1), answered_at=BETWEEN, area=far, **OWNER, **OF)
    WrongPlan.objects.create(wrong="W-4", enquiry_id="E-4", found_at=BETWEEN, person_id="P-SAF", what="the depth", **OF)


BEGUN = {"rule_set": "ours", "effective_from": "2027-03-05"}
MENDED = {
    "rules.csv": BEGUN | {"key": "due_soon_days", "value": "30", "source": "ours"},
    "owner_needs.csv": BEGUN | {"need": "cables", "needed": "consult", "within_m": "0.5", "blocks": "no", "source": "ours"},
    "enquiries.csv": {"enquiry": "E-3", "sent_on": "2027-03-02"},
    "service_ratings.csv": {"rating": "VP-3", "voltage_kv": "0.4"},
    "owner_agreements.csv": {"agreement": "AG-3", "agreed_with": "Lu Fenn"},
    "wrong_plans.csv": {"wrong": "W-4", "what": "nothing"},
}
TAKEN = {
    "awards.csv": {"award": "A-TWO", "awarded_on": "2026-07-01"},
    "courses.csv": {"course": "C-TWO", "title": "Receiving permits", "valid_months": "36", "authorises": "receive_permit"},
}


def mended(file, row):
    return [one.says for one in enter([(file, [row])], Actor("P-SAF", "Hana Petros"), STEPPED + timedelta(hours=1), why="misread", mending=True).problems]


@pytest.mark.parametrize("file", MENDED)
def test_what_came_after_the_signatures_stays_once_a_step_was_judged_upon_it(file):
    since_signed()
    done("suspend", "P-REC", BETWEEN)
    done("resume", "P-ISS", STEPPED)
    told = mended(file, MENDED[file])
    assert (len(told), "a step of permit PD-1 rests on" in told[0]) == (1, True), told


@pytest.mark.parametrize("file", MENDED)
def test_before_any_step_it_is_put_right(file):
    since_signed()
    done("suspend", "P-REC", STEPPED)
    assert mended(file, MENDED[file]) == []


@pytest.mark.parametrize("file", TAKEN)
def test_the_awards_of_whoever_took_it_over_stay(file):
    Course.objects.create(course="C-TWO", title="Receiving permits", valid_months=24, authorises=("receive_permit",), **OF)
    Award.objects.filter(pk="A-FAR").delete()
    Award.objects.create(award="A-TWO", person_id="P-FAR", course_id="C-TWO", awarded_on=date(2026, 6, 1), **OF)
    done("hand_over", "P-REC", BETWEEN, to="P-FAR")
    done("take_over", "P-FAR")
    told = mended(file, TAKEN[file])
    assert (len(told), "a step of permit PD-1 rests on" in told[0]) == (1, True), told
