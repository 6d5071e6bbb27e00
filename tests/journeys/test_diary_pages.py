"""A dig's diary on its pages: two taps for a look-over, what stops the work, what is told where, and what a phone sends later."""

import json
import re
from datetime import timedelta
from uuid import uuid4

import pytest
from django.core import mail

from locates.instruments.models import Check
from locates.life.models import Step
from locates.lookovers.models import DiaryRow
from locates.lookovers.rules.words import POINTS
from locates.permits.actions import preview, sign
from locates.trials.models import TrialHole
from records.firm.models import Rule
from tests import cast
from tests.locates.printing import words
from tests.lookovers.conftest import MARKS, SWEPT, wrote

LATER = cast.AT + timedelta(hours=1)
OWED = "No look-over yet today: nobody digs before it."
SOUND = {"do": "sound", "seen": "0", "shown": " ".join(POINTS)}
WRONG = {"do": "wrong", "wrong": ["marks"], "note": "Sand over the north end.", "action": "Sent everyone off."}
SWEEP = {"techniques": SWEPT["techniques"], "receiver": "I-R1", "place": "North end", "depth_m": "0.3"}
HOLE = {"trace": "T-1", "utility": "electricity", "depth_m": "0.84", "width_m": "", "x": "105", "y": "101", "note": ""}


@pytest.fixture(autouse=True)
def signed(scene, hands):
    """PD-1 as both have signed it, an hour later; the clock's hands."""
    for meaning, person in (("issue", "P-ISS"), ("accept", "P-REC")):
        sign("PD-1", person, meaning, cast.AT, preview("PD-1", cast.AT).seen)
    hands.at = LATER
    return hands


def page(what, permit="PD-1"):
    return f"/permits/{permit}/{what}/"


def post(client, what, **given):
    shown = client.get(page(what)).context
    return client.post(page(what), {"seen": shown["form"]["seen"].value(), "shown": shown.get("shown", ""), **given}, follow=True)


def said(client, address="/permits/PD-1/"):
    return client.get(address).content.decode()


def rows():
    return [(one.kind, one.sound) for one in DiaryRow.objects.order_by("number")]


def test_every_page_of_the_day_says_that_no_look_over_was_made_and_leads_whom_it_falls_to(as_person):
    for person, leads in (("P-REC", True), ("P-CR1", True), ("P-ISS", True), ("P-SAF", False)):
        for address in ("/permits/PD-1/", "/permits/", "/permits/PD-1/diary/", *(() if person == "P-SAF" else ("/",))):
            shown = said(as_person(person), address)
            assert (OWED in shown, 'href="/permits/PD-1/look-over/"' in shown) == (True, leads), (person, address)


def test_a_look_over_is_one_page_and_one_button(as_person):
    shown = post(as_person("P-REC"), "look-over", do="sound").content.decode()
    assert rows() == [("look_over", True)]
    assert ("The look-over is recorded: all as it should be." in shown, OWED in shown) == (True, False)
    assert OWED not in said(as_person("P-REC"), "/")


def test_the_next_day_it_is_owed_again_and_after_rain(as_person, signed):
    crew = as_person("P-CR1")
    post(crew, "look-over", do="sound")
    signed.at += timedelta(minutes=5)
    shown = crew.post(page("happened"), {"seen": 1, "occasion": "rain"}, follow=True).content.decode()
    assert "It has rained, and nobody has looked the ground over since: nobody digs before it." in shown
    post(crew, "look-over", do="sound")
    signed.at = LATER + timedelta(hours=24)
    assert OWED in said(as_person("P-CR1"))


def test_what_is_not_so_stops_the_work_and_tells_of_it(as_person):
    shown = post(as_person("P-CR1"), "look-over", **WRONG).content.decode()
    assert ("Recorded, and the work is stopped." in shown, "Suspended</h2>" in shown, OWED in shown) == (True, True, False)
    assert Step.objects.get().why == "At the look-over: the marks cannot all be read. Sand over the north end."
    assert sorted(one.to[0] for one in mail.outbox) == sorted(one.to[0] for one in mail.outbox if "PD-1 was stopped" in one.subject)
    assert "the marks cannot all be read" in said(as_person("P-ISS"), "/")


@pytest.mark.parametrize("lacking", ["wrong", "note", "action"])
def test_what_is_not_so_is_told_whole_or_nothing_is_recorded(as_person, lacking):
    answer = post(as_person("P-CR1"), "look-over", **{name: value for name, value in WRONG.items() if name != lacking})
    assert (answer.status_code, rows(), Step.objects.count()) == (422, [], 0)
    assert lacking in answer.context["form"].errors


def test_something_that_happened_is_told(as_person):
    client = as_person("P-REC")
    assert post(client, "happened", occasion="change").status_code == 422
    post(client, "happened", occasion="change", note="a lorry drove over the marks")
    assert "a lorry drove over the marks" in said(client, "/permits/PD-1/diary/")


# sweeps and exposures


def test_a_sweep_is_told_with_what_it_is_worth_and_when_the_next_is_due(as_person):
    client = as_person("P-OPE")
    assert "Sweep again at 0.3 m deep, and each 0.3 m after." in said(client)
    post(client, "sweep", **SWEEP, found="nothing")
    assert "It does not count:</span> I-R1 had not been checked before use" in said(client)
    Check.objects.create(check_id="B-9", instrument_id="I-R1", kind="before_use", checked_at=cast.AT, person_id="P-OPE", result="pass", recorded_at=LATER)
    shown = said(client)
    assert ("It does not count" in shown, "Sweep again at 0.6 m deep, and each 0.3 m after." in shown) == (False, True)
    assert "Nothing new came up." in shown
    assert "clear" not in said(client, "/permits/PD-1/diary/").split("<main")[1].split("</main")[0]


def test_how_often_is_a_number_of_the_firms(as_person):
    row = {"rule_set_id": "default", "effective_from": cast.RECORDED.date(), "source": "the firm", "recorded_at": cast.RECORDED}
    Rule.objects.create(key="resweep_depth_m", value="0.5", **row)
    assert "Sweep again at 0.5 m deep, and each 0.5 m after." in said(as_person("P-OPE"))


@pytest.mark.parametrize(
    ("given", "field"), [({"found": ""}, "found"), ({"found": "something"}, "note"), ({"found": "nothing", "techniques": []}, "techniques")]
)
def test_a_sweep_is_asked_what_came_of_it_and_by_which_modes(as_person, given, field):
    answer = post(as_person("P-OPE"), "sweep", **SWEEP | given)
    assert (answer.status_code, field in answer.context["form"].errors, rows()) == (422, True, [])


def test_what_is_found_beyond_the_plan_leads_straight_to_the_stop(as_person):
    post(as_person("P-OPE"), "sweep", **SWEEP, found="something", note="a strong line")
    assert (rows(), Step.objects.get().act) == ([("sweep", False)], "stop")


def test_an_exposure_is_shown_beside_the_reading_of_its_trace(as_person):
    client = as_person("P-CR1")
    assert client.get(page("expose") + "?trace=T-1").context["form"]["utility"].value() == "electricity"
    post(client, "expose", **HOLE)
    assert (TrialHole.objects.get().person_id, Step.objects.count()) == ("P-CR1", 0)
    shown = said(client)
    assert "electricity exposed on 4 Mar 2027 09:30 UTC+13:00 at 0.84 m; the locate read 0.8 m to its centre" in shown


def test_what_no_trace_shows_stops_the_work(as_person):
    shown = post(as_person("P-CR1"), "expose", **HOLE | {"trace": "on no plan", "utility": "gas"}).content.decode()
    assert ("Recorded, and the work is stopped." in shown, Step.objects.get().act) == (True, "stop")


@pytest.mark.parametrize("x", ["99999999", "1e999999999999999", "-1E+900000000", "NaN"])
def test_a_place_that_cannot_be_is_said_at_its_field(as_person, x):
    answer = post(as_person("P-CR1"), "expose", **HOLE | {"x": x})
    assert (answer.status_code, "x" in answer.context["form"].errors, TrialHole.objects.count()) == (422, True, 0)


def test_rain_is_recorded_by_what_its_page_hands_in_though_nothing_was_recorded_before(as_person):
    client, button = as_person("P-CR1"), re.compile(r'<form method="post" data-piece="happened".*?</form>', re.DOTALL)
    handed = dict(re.findall(r'name="(seen|occasion)" value="([^"]*)"', button.search(said(client, page("happened")))[0]))
    assert handed == {"seen": "0", "occasion": "rain"}
    shown = client.post(page("happened"), handed, follow=True).content.decode()
    assert ("Recorded. Nobody digs before the ground is looked over again." in shown, rows()) == (True, [("event", True)])


def test_what_cannot_be_recorded_of_an_event_is_said_with_its_reason(as_person):
    shown = as_person("P-CR1").post(page("happened"), {"seen": "", "occasion": "rain"}).content.decode()
    assert "Nothing was recorded. Seen: This field is required." in " ".join(shown.split())


# twice, later, and by others


def test_tapped_twice_it_is_recorded_once(as_person):
    client = as_person("P-REC")
    for _ in range(2):
        shown = client.post(page("look-over"), SOUND, follow=True).content.decode()
    assert ("That was handed in twice. It was recorded once" in shown, rows()) == (True, [("look_over", True)])


def sent(client, what, fields, key, recorded=None, at=LATER):
    told = {"Accept": "application/json", "Idempotency-Key": key, "Sent-At": at.isoformat(), "Recorded-At": (recorded or at).isoformat()}
    return client.post(page(what), fields, headers=told)


def test_a_phone_sends_a_look_over_later_and_it_is_written_once_by_when_it_was_made(as_person, signed):
    client, key, other = as_person("P-REC"), str(uuid4()), str(uuid4())
    signed.at = LATER + timedelta(hours=2)
    answers = [sent(client, "look-over", SOUND, one, LATER, signed.at) for one in (key, key, other)]
    assert [json.loads(one.content)["done"] for one in answers] == [True] * 3
    # two look-overs that one kept page made are two
    assert list(DiaryRow.objects.order_by("number").values_list("happened_at", "recorded_at")) == [(LATER, signed.at)] * 2


def test_one_that_comes_when_all_is_over_is_kept_on_the_phone_with_the_reason(as_person, signed):
    signed.at = cast.AT + timedelta(hours=40)
    answer = sent(as_person("P-REC"), "look-over", SOUND, str(uuid4()), at=signed.at)
    assert (answer.status_code, "only while it runs" in answer.content.decode(), rows()) == (422, True, [])


@pytest.mark.parametrize("what", ["look-over", "sweep", "expose", "happened"])
def test_who_is_not_on_the_permit_is_led_back_to_it_or_finds_nothing(as_person, what):
    assert as_person("P-FAR").get(page(what)).status_code == 404
    answer = as_person("P-SAF").get(page(what), follow=True)
    assert (answer.redirect_chain[-1][0], "Only those on permit PD-1 write in its diary" in answer.content.decode()) == ("/permits/PD-1/", True)
    assert (
        "Only those on permit PD-1"
        in as_person("P-SAF").post(page(what), SOUND | {"occasion": "rain"} | SWEEP | HOLE | {"found": "nothing"}, follow=True).content.decode()
    )
    assert rows() == []


# what is read


def test_the_diary_says_for_whom_where_what_and_who_with_what_was_done(as_person):
    wrote("look_over", "P-CR1", **MARKS | {"further": "Mark out again."})
    shown = said(as_person("P-SAF"), "/permits/PD-1/diary/")
    told = ("Marek Tane, Field &amp; Furrow, who holds permit PD-1", "Quay yard", "Trench for a water pipe", "4 Mar 2027", "09:30", "Jo Brandt, crew")
    assert [one for one in (*told, "Sand over the north end.", "Sent everyone off.", "Mark out again.", "the work was stopped by it") if one not in shown] == []


def test_the_same_stands_on_paper(as_person):
    wrote("look_over", "P-CR1", **MARKS | {"further": "Mark out again."})
    read = words(as_person("P-SAF").get("/permits/PD-1/diary.pdf").content)
    told = (
        "Diary of permit PD-1",
        "Field & Furrow",
        "Quay yard",
        "4 Mar 2027",
        "09:30",
        "Jo Brandt, crew",
        "Sand over the north end.",
        "Still to do: Mark out again.",
    )
    assert [one for one in told if one not in read] == []


def test_the_list_of_all_diaries_finds_and_narrows_and_goes_into_a_file(as_person):
    wrote("look_over", **MARKS)
    wrote("event", "P-CR1", occasion="change", note="a lorry drove over it")
    client = as_person("P-SAF")
    found = {query: len(client.get(f"/diaries/?{query}").context["lines"]) for query in ("", "search=lorry", "kind=look_over", "show=wrong", "site=S-1")}
    assert found == {"": 2, "search=lorry": 1, "kind=look_over": 1, "show=wrong": 1, "site=S-1": 2}
    assert [len(client.get(f"/diaries/?{day}").context["lines"]) for day in ("first=2027-03-05", "last=2027-03-03", "first=2027-03-04&last=2027-03-04")] == [
        0,
        0,
        2,
    ]
    assert [len(client.get(f"/diaries/?{day}").context["lines"]) for day in ("first=0001-01-01", "last=9999-12-31")] == [2, 2]
    file = b"".join(client.get("/diaries.csv?search=lorry")).decode()
    assert ("a lorry drove over it" in file, file.count("\n")) == (True, 2)


def test_the_list_is_for_supervisors_of_their_sites_and_for_the_office(as_person):
    wrote("look_over")
    seen = {who: as_person(who).get("/diaries/").status_code for who in ("P-SAF", "P-ISS", "P-CR1", "P-OPE")}
    assert seen == {"P-SAF": 200, "P-ISS": 200, "P-CR1": 404, "P-OPE": 404}


def test_the_safety_managers_first_page_names_the_permits_that_are_dug_by_without_one(as_person):
    client = as_person("P-SAF")
    assert client.get("/").context["unlooked"] == ["PD-1"]
    assert "In force with no look-over since one was owed" in said(client, "/")
    wrote("look_over", at=LATER)
    assert client.get("/").context["unlooked"] == []


def test_a_phone_takes_the_look_over_along_for_who_may_make_it(as_person):
    taken = {who: as_person(who).get("/phone/take.json").json()["pages"] for who in ("P-CR1", "P-FAR")}
    assert {who: "/permits/PD-1/look-over/" in pages for who, pages in taken.items()} == {"P-CR1": True, "P-FAR": False}
