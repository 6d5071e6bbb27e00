"""A permit's life on its pages, its lists and its paper: what anyone sees of it, and what each may do now."""

from contextlib import suppress
from datetime import date, timedelta
from io import StringIO
from urllib.parse import urlencode

import pytest
from django.core.management import call_command

from locates.life.models import Step
from locates.permits.actions import preview, sign
from locates.permits.models import Permit, SignOff
from locates.permits.printing import sheet_to_print
from records.firm.models import Person
from tests import cast
from tests.life.conftest import GIVEN, done
from tests.locates.printing import words
from training.models import Award

pytestmark = pytest.mark.everywhere

END = cast.AT + timedelta(hours=30)
SAME = ("site_id", "locate_id", "work", "outline", "depth_m", "method", "issuer_id", "receiver_id", "valid_from", "valid_to")


@pytest.fixture
def signed(scene, hands):
    """PD-1 as both have signed it, an hour later; P-FAR may receive permits too."""
    from_then = {"course_id": "C-REC", "awarded_on": date(2026, 6, 1), "recorded_at": cast.RECORDED}
    Award.objects.create(award="A-FAR", person_id="P-FAR", **from_then)
    return hands


@pytest.fixture(autouse=True)
def accepted(signed):
    for person, meaning in (("P-ISS", "issue"), ("P-REC", "accept")):
        sign("PD-1", person, meaning, signed.at, preview("PD-1", signed.at).seen)
    signed.at += timedelta(hours=1)


def page(act):
    return f"/permits/PD-1/steps/{act}/"


def post(client, act, query="", seen=None, **given):
    address = page(act) + query
    shown = client.get(address)
    data = {"password": cast.PASSWORD, "seen": seen or shown.context["seen"], **GIVEN, **given}
    return client.post(address, data, follow=True)


def acts():
    return [one.act for one in Step.objects.order_by("number")]


def said(client, address="/permits/PD-1/"):
    return client.get(address).content.decode()


def open_to(client):
    """The steps that the permit's page offers."""
    return [address.split("/")[-2] for address, _ in client.get("/permits/PD-1/").context["life"]["acts"]]


def test_whoever_signs_for_the_cause_is_told_it_on_that_page(as_person):
    done("suspend", "P-REC")
    shown = " ".join(said(as_person("P-ISS"), page("resume")).split())
    when = "Marek Tane suspended it on "
    assert shown.index("<strong>Suspended.</strong>") < shown.index(when) < shown.index(f"Why: {GIVEN['why'].rstrip('.')}.") < shown.index("What you declare")
    assert f"How the work was left: {GIVEN['left'].rstrip('.')}." in shown


def test_whoever_suspends_says_why_and_how_the_work_is_left_and_all_of_it_stands_on_the_permit(as_person):
    shown = post(as_person("P-REC"), "suspend").content.decode()
    assert acts() == ["suspend"]
    told = ("Done: Marek Tane suspended it.", "Suspended</h2>", "Nobody digs by this permit.", GIVEN["why"], GIVEN["left"])
    assert [one for one in told if one not in shown] == []
    assert "In force" not in shown


def test_each_is_offered_what_they_may_do_and_nothing_else(as_person):
    offered = {who: open_to(as_person(who)) for who in ("P-ISS", "P-REC", "P-CR1", "P-SAF")}
    assert offered == {
        "P-ISS": ["suspend", "extend", "end_scope", "end_conditions"],
        "P-REC": ["suspend", "hand_over", "end_scope", "end_conditions", "hand_back"],
        "P-CR1": [],
        "P-SAF": ["forbid"],
    }


@pytest.mark.parametrize(("person", "act"), [("P-CR1", "suspend"), ("P-REC", "extend"), ("P-ISS", "hand_back"), ("P-ISS", "cancel")])
def test_a_step_that_is_not_theirs_or_not_due_leads_back_to_the_permit(as_person, person, act):
    client = as_person(person)
    assert client.get(page(act)).headers["Location"] == "/permits/PD-1/"
    client.post(page(act), {"password": cast.PASSWORD, "seen": "x", **GIVEN})
    assert acts() == []


@pytest.mark.parametrize("address", ["/permits/PD-1/steps/burn/", "/permits/PD-9/steps/suspend/", "/permits/PD-1/steps/accept/"])
def test_no_other_step_is_there(as_person, address):
    assert as_person("P-REC").get(address).status_code == 404


def test_who_may_not_see_the_permit_finds_no_step_of_it(as_person):
    assert as_person("P-FAR").get(page("suspend")).status_code == 404


@pytest.mark.parametrize("given", [{"password": "four dry spades"}, {"why": " "}, {"left": ""}])
def test_without_password_or_what_is_owed_nothing_is_done_and_what_was_typed_stays(as_person, given):
    shown = post(as_person("P-REC"), "suspend", **given)
    assert (acts(), shown.status_code) == ([], 200)
    assert "Nothing was done." in shown.content.decode() and (GIVEN["left"] in shown.content.decode() or "left" in given)


def test_nothing_resumes_upon_a_block_and_the_page_has_no_place_to_sign(as_person):
    post(as_person("P-REC"), "suspend")
    Award.objects.filter(award="A-CR1").update(withdrawn_on=date(2027, 3, 1), withdrawn_because="exam void")
    shown = said(as_person("P-ISS"), page("resume"))
    assert ("Not to dig" in shown, "Jo Brandt" in shown, 'name="password"' in shown) == (True, True, False)


def test_a_block_that_comes_between_page_and_step_refuses_it(as_person):
    post(as_person("P-REC"), "suspend")
    issuer = as_person("P-ISS")
    seen = issuer.get(page("resume")).context["seen"]
    Award.objects.filter(award="A-CR1").update(withdrawn_on=date(2027, 3, 1), withdrawn_because="exam void")
    refused = issuer.post(page("resume"), {"password": cast.PASSWORD, "seen": seen, **GIVEN})
    assert (refused.status_code, acts()) == (409, ["suspend"])


def test_an_extension_asks_until_when_and_then_shows_the_verdict_with_that_end(as_person):
    issuer = as_person("P-ISS")
    assert "Until when?" in said(issuer, page("extend"))
    early = "?" + urlencode({"until_day": "2027-03-05", "until_time": "14:00"})
    assert "An extension ends later than the permit does." in said(issuer, page("extend") + early)
    shown = post(issuer, "extend", "?" + urlencode({"until_day": "2027-03-05", "until_time": "18:00"})).content.decode()
    assert "to 5 Mar 2027 18:00" in shown
    assert Step.objects.get().until == END + timedelta(hours=3, minutes=30)


def test_an_extended_permit_stays_in_force_and_among_todays_until_its_new_end(as_person, signed):
    post(as_person("P-ISS"), "extend", "?" + urlencode({"until_day": "2027-03-05", "until_time": "18:00"}))
    signed.at = END + timedelta(hours=1)
    assert "In force" in said(as_person("P-ISS"))
    assert [(one.word, one.heading) for one in as_person("P-ISS").get("/permits/").context["lines"]] == [("In force", "Today")]
    assert sheet_to_print("PD-1", signed.at)["window"][1] == "2027-03-05T18:00:00+13:00"


def test_who_is_named_sees_the_permit_takes_it_over_and_is_its_receiver(as_person):
    outgoing = as_person("P-REC")
    assert [one for one, _ in outgoing.get(page("hand_over")).context["form"].fields["to"].choices] == ["", "P-FAR"]
    post(outgoing, "hand_over", to="P-FAR")
    assert "Between receivers" in said(outgoing)
    shown = post(as_person("P-FAR"), "take_over").content.decode()
    assert "now Tam Reyes" in shown and "In force" in shown
    assert open_to(as_person("P-FAR"))[-1] == "hand_back"


def test_the_list_and_the_first_page_show_it_as_such(as_person):
    post(as_person("P-REC"), "suspend")
    for address in ("/permits/", "/"):
        shown = said(as_person("P-REC"), address)
        assert "Suspended" in shown and "Nobody digs by it." in shown and "In force" not in shown
    assert b",suspended," in b"".join(as_person("P-REC").get("/permits.csv").streaming_content)


@pytest.mark.parametrize(("act", "word"), [("suspend", "suspended"), ("end_scope", "ended"), ("hand_back", "handed back")])
def test_the_paper_says_so_across_the_top_and_the_signed_sheet_stays_as_it_is(as_person, act, word):
    kept = SignOff.objects.get(meaning="accept").sheet
    post(as_person("P-REC"), act)
    printed = words(as_person("P-REC").get("/permits/PD-1/paper.pdf").content)
    assert f"NOT TO DIG: {word}" in printed and GIVEN["left"] in printed
    assert SignOff.objects.get(meaning="accept").sheet == kept
    assert f"NOT TO DIG: {word}" in words(as_person("P-REC").get("/permits/PD-1/signed/accept/paper.pdf").content)


def test_past_its_time_it_is_shown_as_ended_and_asks_to_be_handed_back(as_person, signed):
    signed.at = END + timedelta(minutes=1)
    shown = said(as_person("P-REC"))
    assert "Ended</h2>" in shown and "it is to be handed back" in shown
    post(as_person("P-REC"), "hand_back")
    assert "Cancelled" in post(as_person("P-ISS"), "cancel").content.decode()
    assert acts() == ["hand_back", "cancel"]


def test_of_a_permit_that_is_over_no_page_says_what_it_lacks_to_be_signed(as_person, signed):
    asked = {"lacks": "To do:", "stands": "What it rests on is good until", "beside": "but for this"}
    signed.at = END + timedelta(minutes=1)
    for client in (as_person("P-REC"), as_person("P-ISS")):
        assert [name for name, words_of in asked.items() if words_of in said(client)] == []
    post(as_person("P-REC"), "hand_back")
    assert [name for name, words_of in asked.items() if words_of in said(as_person("P-ISS"))] == []


def test_a_suspended_permit_still_says_until_when_it_may_be_resumed(as_person):
    post(as_person("P-REC"), "suspend")
    assert "What it rests on is good until" in said(as_person("P-REC"))


def test_where_whoever_it_waits_for_is_gone_everyone_is_told_what_can_be_done_instead(as_person):
    done("suspend", "P-REC")
    gone = "Ines Harrow, who issued it, has left or may issue permits no more"
    assert gone not in said(as_person("P-REC"))
    Person.objects.filter(pk="P-ISS").update(left_on=date(2027, 3, 3))
    assert f"{gone}: nobody can resume it. It is to be handed back; work goes on by a new permit that names it." in said(as_person("P-REC"))
    done("hand_back", "P-REC")
    told = f"{gone}. In their place a safety manager, or whoever prepares permits for this site and may issue them can cancel it"
    assert told in said(as_person("P-REC"))
    assert (open_to(as_person("P-REC")), open_to(as_person("P-SAF"))) == ([], ["cancel_for"])


def test_what_a_gone_issuer_left_unaccepted_is_withdrawn_from_its_page_in_their_place(as_person, mailoutbox):
    cast.permit("PD-9")
    sign("PD-9", "P-ISS", "issue", cast.AT, preview("PD-9", cast.AT).seen)
    Award.objects.filter(pk="A-ISS").update(withdrawn_on=date(2027, 3, 3), withdrawn_because="unsafe work seen")
    Person.objects.filter(pk="P-REC").update(email="marek@tane.example")
    client, address = as_person("P-SAF"), "/permits/PD-9/steps/withdraw_for/"
    assert "nobody can accept it. In their place a safety manager, or" in said(client, "/permits/PD-9/")
    data = {"password": cast.PASSWORD, "seen": client.get(address).context["seen"], "why": "nobody wants the trench"}
    shown = client.post(address, data, follow=True).content.decode()
    assert "Done: Hana Petros withdrew it in the place of its issuer." in shown
    assert [one.to for one in mailoutbox] == [["marek@tane.example"]]


def test_with_many_permits_the_first_page_says_first_which_stand_how(as_person):
    few = said(as_person("P-ISS"), "/")
    assert '<span class="word' not in few
    like = Permit.objects.get(pk="PD-1")
    for number in range(3):
        Permit.objects.create(**{name: getattr(like, name) for name in SAME}, permit=f"PX-{number}", recorded_at=cast.RECORDED)
    many = said(as_person("P-ISS"), "/")
    assert many.index(" In force, look-over owed</span>") < many.index(" Not to dig</span>") < many.index('<ul class="lines">')


def assessed():
    out = StringIO()
    with suppress(SystemExit):
        call_command("assess", stdout=out)
    return out.getvalue()


def test_assess_without_a_name_leaves_out_what_is_handed_back_and_keeps_what_is_only_suspended(as_person):
    post(as_person("P-REC"), "suspend")
    assert "PD-1" in assessed()
    post(as_person("P-REC"), "hand_back")
    assert "PD-1" not in assessed()


def test_what_is_handed_back_is_no_longer_among_open_permits_at_risk(as_person):
    Award.objects.filter(award="A-CR1").update(withdrawn_on=date(2027, 3, 1), withdrawn_because="exam void")
    before = as_person("P-SAF").get("/").context["exposure"]["open_permits"]
    done("hand_back", "P-REC", cast.AT + timedelta(hours=1))
    assert (before, as_person("P-SAF").get("/").context["exposure"]["open_permits"]) == (1, 0)


def stop(client):
    return client.post("/permits/PD-1/stop/", follow=True)


def test_one_tap_of_anyone_on_the_permit_stops_it_and_tells_issuer_and_safety_manager(as_person, mailoutbox):
    Person.objects.filter(pk__in=("P-ISS", "P-SAF", "P-CR1")).update(email="someone@example.net")
    crew = as_person("P-CR1")
    assert "Stop: something not on the plan" in said(crew)
    shown = stop(crew).content.decode()
    assert ("Suspended</h2>" in shown, acts()) == (True, ["stop"])
    assert [one.body.split(",")[0] for one in mailoutbox] == ["Ines Harrow", "Hana Petros"]
    assert all("PD-1" in one.subject and "Jo Brandt" in one.body and "/permits/PD-1/" in one.body for one in mailoutbox)


def test_a_stop_stands_on_the_first_page_of_issuer_and_safety_manager_until_it_is_dealt_with(as_person):
    stop(as_person("P-CR1"))
    told = {who: "Work is stopped" in said(as_person(who), "/") for who in ("P-ISS", "P-SAF", "P-REC", "P-FAR")}
    assert told == {"P-ISS": True, "P-SAF": True, "P-REC": False, "P-FAR": False}
    post(as_person("P-ISS"), "resume")
    assert "Work is stopped" not in said(as_person("P-ISS"), "/")


def test_tapped_twice_it_is_stopped_once_and_nobody_is_told_twice(as_person, mailoutbox):
    Person.objects.filter(pk="P-SAF").update(email="someone@example.net")
    stop(as_person("P-CR1"))
    assert "nothing for you to stop" in stop(as_person("P-CR1")).content.decode()
    assert (acts(), len(mailoutbox)) == (["stop"], 1)


@pytest.mark.parametrize(("person", "status"), [("P-SAF", 302), ("P-FAR", 404)])
def test_who_is_not_on_the_permit_stops_nothing(as_person, person, status):
    assert (as_person(person).post("/permits/PD-1/stop/").status_code, acts()) == (status, [])
    assert as_person("P-SAF").get("/permits/PD-1/").context["life"]["stop"] == ""
