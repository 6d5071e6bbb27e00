"""One permit's page, its signed record and its paper."""

import json
import re
from collections import Counter
from datetime import date, timedelta
from html import unescape
from io import BytesIO

import pytest
from django.urls import reverse
from pypdf import PdfReader

from locates.instruments.models import Instrument
from locates.permits.actions import preview, sign
from locates.permits.models import Permit, SignOff
from records.firm.models import Person
from tests import cast
from training.models import Award

pytestmark = pytest.mark.usefixtures("scene")
PAGE = "/permits/PD-1/"


def signed(*meanings, at=cast.AT):
    for meaning, person in (("issue", "P-ISS"), ("accept", "P-REC")):
        if meaning in meanings:
            sign("PD-1", person, meaning, at, preview("PD-1", at).seen)


def text(client, address=PAGE):
    return unescape(client.get(address).content.decode())


@pytest.fixture
def told_to(as_person):
    """A page as someone gets it, but for the tokens of its forms, which are other ones each time."""
    return lambda person, address: re.sub(r'value="[A-Za-z0-9]{64}"', "", text(as_person(person), address))


def test_a_clear_permit_says_until_when_and_what_ends_then(as_person):
    said = text(as_person("P-CR1"))
    for one in ("May be issued", ">5 Mar 2027<", "14:30 UTC+13:00, tomorrow", ">11 Mar 2027<", "then ends the longest time that a permit may run"):
        assert one in said


def test_an_end_at_midnight_is_told_as_the_day_before(as_person):
    Award.objects.filter(award="A-REC").update(expires_on=date(2027, 3, 8))
    said = text(as_person("P-CR1"))
    assert ">8 Mar 2027<" in said
    assert "through that day, in 5 days<br>then ends Marek Tane: receiving permits (receiver)" in said


def test_a_blocked_permit_gives_every_reason_since_when_and_what_to_do(as_person):
    Award.objects.filter(award="A-REC").update(withdrawn_on=date(2027, 3, 2), withdrawn_because="sat by someone else")
    Instrument.objects.update(self_test_days=7)
    answered = as_person("P-CR1").get(PAGE)
    said = unescape(answered.content.decode())
    assert [one.code for one in answered.context["blocks"]] == ["instrument.self_test_lapsed", "instrument.self_test_lapsed", "receiver.withdrawn"]
    assert all(one.says in said and one.remedy in said for one in answered.context["verdict"].blocks)
    assert "Since 2 Mar 2027, 2 days ago." in said


@pytest.mark.parametrize(("day", "told"), [(4, "Since 4 Mar 2027, today."), (3, "Since 3 Mar 2027, yesterday."), (1, "Since 1 Mar 2027, 3 days ago.")])
def test_a_reason_that_began_with_a_day_is_told_by_the_day(as_person, day, told):
    Award.objects.filter(award="A-CR1").update(withdrawn_on=date(2027, 3, day), withdrawn_because="exam void")
    assert told in text(as_person("P-CR1"))


def test_a_reason_that_began_at_an_instant_is_told_by_the_instant(as_person, hands):
    hands.at += timedelta(hours=32)
    assert "Since 5 Mar 2027 14:30 UTC+13:00, 2 hours ago." in text(as_person("P-CR1"))


def test_it_says_where_to_dig_by_hand_and_how_much(as_person):
    said = text(as_person("P-CR1"))
    assert "3.40 m²" in said and "4.08 m³" in said
    assert "Dig by hand near trace T-1" in said


@pytest.mark.parametrize("address", [PAGE, "/", "/before-you-dig/", "/password/", "/permits/none/"])
def test_every_page_says_that_no_verdict_proves_the_ground_clear(as_person, address):
    said = " ".join(text(as_person("P-ISS"), address).split())
    assert "never proof that the ground is clear" in said
    assert "take every service as live" in said


def test_the_plan_and_the_time_bars_are_drawn_on_it(as_person):
    answered = as_person("P-CR1").get(PAGE)
    assert [answered.context[one].lstrip()[:4] for one in ("plan", "bars")] == ["<svg", "<svg"]
    assert "style=" not in answered.content.decode()


def test_every_piece_of_evidence_is_in_the_table(as_person):
    shown = as_person("P-CR1").get(PAGE).context
    found = Counter(bar.label for part in ("table", "holding") for _, bars in shown[part] for bar in bars)
    rows = preview("PD-1", cast.AT).sheet["standing"]
    assert len(rows) == 14 and found == Counter(row["label"] for row in rows)
    assert "good through 26 Mar 2027, in 23 days" in " ".join(text(as_person("P-CR1")).split())


@pytest.mark.parametrize(
    ("meanings", "person", "offered"),
    [
        ((), "P-ISS", "Issue this permit"),
        ((), "P-REC", None),
        ((), "P-SAF", None),
        (("issue",), "P-ISS", None),
        (("issue",), "P-REC", "Accept this permit"),
        (("issue", "accept"), "P-REC", None),
    ],
)
def test_only_the_person_whose_turn_it_is_is_offered_to_sign(as_person, meanings, person, offered):
    signed(*meanings)
    said = text(as_person(person))
    assert [one for one in ("Issue this permit", "Accept this permit") if one in said] == ([offered] if offered else [])


@pytest.mark.parametrize(("meanings", "told"), [((), "Ines Harrow</strong>, as its issuer"), (("issue",), "Marek Tane</strong>, as its receiver")])
def test_others_are_told_who_signs_next(as_person, meanings, told):
    signed(*meanings)
    assert f"Next to sign: <strong>{told}" in text(as_person("P-SAF"))


def test_nobody_is_offered_to_sign_a_blocked_permit(as_person):
    Permit.objects.update(locate=None)
    said = text(as_person("P-ISS"))
    assert ("Issue this permit" in said, "Nobody can while the gate refuses" in said) == (False, True)


def test_a_signed_permit_shows_its_signatures_and_the_verdict_they_were_made_upon(as_person):
    signed("issue", "accept")
    said = text(as_person("P-CR1"))
    one = SignOff.objects.get(meaning="issue")
    assert "In force" in said and one.digest in said and one.declaration in said
    assert "upon a verdict without a block, good until 11 Mar 2027 07:30 UTC+13:00" in said


def test_later_facts_show_beside_what_was_signed(as_person):
    signed("issue", "accept")
    Award.objects.filter(award="A-CR1").update(withdrawn_on=date(2027, 3, 4), withdrawn_because="exam void")
    said = text(as_person("P-ISS"))
    assert "Signed, but blocked since" in said and "Not to dig" in said
    assert "upon a verdict without a block, good until 11 Mar 2027" in said


def test_the_answer_says_that_nobody_digs_yet_until_both_have_signed(as_person):
    assert "No digging yet: nobody has signed." in text(as_person("P-CR1"))
    signed("issue")
    assert "No digging yet: it is not accepted." in text(as_person("P-CR1"))
    signed("accept")
    assert "No digging yet" not in text(as_person("P-CR1"))


def test_a_permit_signed_for_later_is_not_yet_in_force(as_person, hands):
    hands.at = cast.AT - timedelta(hours=2)
    signed("issue", "accept", at=hands.at)
    said = text(as_person("P-CR1"))
    assert "Signed, not begun" in said and "No digging yet: its time has not begun." in said


def test_the_signed_record_is_what_was_signed_whatever_came_after(told_to):
    signed("issue")
    before = told_to("P-SAF", f"{PAGE}signed/issue/")
    Person.objects.filter(person="P-REC").update(name="Marek Renamed")
    Award.objects.filter(award="A-ISS").update(withdrawn_on=date(2027, 3, 4), withdrawn_because="exam void")
    assert told_to("P-SAF", f"{PAGE}signed/issue/") == before
    assert "Marek Tane" in before


@pytest.mark.parametrize(("meaning", "status"), [("issue", 200), ("accept", 404), ("cancel", 404)])
def test_there_is_a_record_of_each_signature_that_was_made_and_no_other(as_person, meaning, status):
    signed("issue")
    client = as_person("P-SAF")
    assert [client.get(reverse(name, args=["PD-1", meaning])).status_code for name in ("signed", "signed_pdf")] == [status, status]


def test_the_paper_of_a_permit_is_a_pdf_that_opens_in_the_browser(as_person):
    answered = as_person("P-CR1").get(f"{PAGE}paper.pdf")
    assert (answered.headers["Content-Type"], answered.headers["Content-Disposition"]) == ("application/pdf", 'inline; filename="PD-1.pdf"')
    assert answered.content.startswith(b"%PDF")


def test_the_paper_of_a_signed_permit_is_the_paper_of_what_was_signed_last(as_person, hands):
    signed("issue", "accept")
    papers = [as_person("P-CR1").get(f"{PAGE}{name}").content for name in ("paper.pdf", "signed/accept/paper.pdf", "signed/issue/paper.pdf")]
    assert papers[0] == papers[1] != papers[2]
    hands.at += timedelta(hours=3)
    assert as_person("P-CR1").get(f"{PAGE}paper.pdf").content == papers[0]


def test_the_paper_of_a_signed_permit_says_what_blocks_it_since(as_person):
    signed("issue", "accept")
    Award.objects.filter(award="A-CR1").update(withdrawn_on=date(2027, 3, 4), withdrawn_because="exam void")
    papers = [as_person("P-CR1").get(f"{PAGE}{name}").content for name in ("paper.pdf", "signed/issue/paper.pdf", "signed/accept/paper.pdf")]
    first = [PdfReader(BytesIO(one)).pages[0].extract_text() for one in papers]
    assert all("NOT TO DIG" in one for one in first)


OF_ONE = ["permit", "permit_pdf", "sign", "signed", "signed_pdf"]


def address(name):
    return reverse(name, args=["PD-1", "issue"] if name.startswith("signed") else ["PD-1"])


@pytest.mark.parametrize("name", OF_ONE)
@pytest.mark.parametrize(
    ("person", "sees"),
    [("P-ISS", True), ("P-REC", True), ("P-CR1", True), ("P-CR2", True), ("P-OPE", True), ("P-SAF", True), ("P-FAR", False)],
)
def test_to_whom_it_does_not_concern_a_permit_is_not_there(as_person, name, person, sees):
    signed("issue")
    assert (as_person(person).get(address(name)).status_code != 404) == sees


@pytest.mark.parametrize("name", OF_ONE)
def test_a_permit_that_is_not_there_is_told_as_one_that_does_not_concern(as_person, told_to, name):
    client = as_person("P-FAR")
    assert client.get(address(name)).status_code == client.get(address(name).replace("PD-1", "PD-404")).status_code == 404
    assert told_to("P-FAR", address(name)) == told_to("P-FAR", address(name).replace("PD-1", "PD-404"))


@pytest.mark.parametrize("key", ["%00", "PD-1%00", "pd-1", "PD-1%20", "%2e%2e", "x" * 5000])
def test_an_address_that_names_no_permit_is_not_there(as_person, key):
    assert as_person("P-SAF").get(f"/permits/{key}/").status_code == 404


@pytest.mark.parametrize("name", ["permit", "permit_pdf", "signed", "signed_pdf"])
def test_pages_that_show_are_only_read(as_person, name):
    client = as_person("P-ISS")
    assert {client.post(address(name)).status_code, client.put(address(name)).status_code, client.delete(address(name)).status_code} == {405}


def test_the_sheet_that_a_signature_keeps_carries_the_shown_words(as_person):
    signed("issue")
    sheet = json.loads(SignOff.objects.get().sheet)
    said = text(as_person("P-ISS"), f"{PAGE}signed/issue/")
    assert all(one["label"] in said for one in sheet["standing"])


def test_a_server_whose_clock_is_behind_prints_what_is_signed_as_signed(as_person, monkeypatch):
    signed("issue", "accept")
    monkeypatch.setattr("records.clock.now", lambda: cast.AT - timedelta(minutes=2))
    words = "".join(page.extract_text() for page in PdfReader(BytesIO(as_person("P-SAF").get("/permits/PD-1/paper.pdf").content)).pages)
    assert "NOT YET SIGNED" not in words.upper()
    assert "Ines Harrow" in words
