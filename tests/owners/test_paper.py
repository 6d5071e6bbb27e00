"""What owners are asked for and agreed to stands on the pages and on the paper, in the owner's own words; without it the paper is as it was."""

import io
from datetime import date, timedelta

import pypdf
import pytest

from locates.owners.models import OwnerAgreement, OwnerNeed
from locates.permits.actions import preview, sign
from locates.permits.paper import permit_pdf
from locates.permits.printing import sheet_to_print
from records.firm.models import RuleSet, Site
from tests import cast
from tests.elsewhere import agreement

pytestmark = pytest.mark.django_db
OF = {"recorded_at": cast.RECORDED}
WORDS = "No plant over the cable; ring the control room before the first cut."
SECTION = "Conditions of the owners"


def need(name, needed, **other):
    plain = {"within_m": 3, "utility": "electricity", "blocks": True, "source": "the owner’s general conditions, sheet 4"}
    return OwnerNeed.objects.create(rule_set_id="ours", effective_from=date(2027, 1, 1), need=name, needed=needed, **plain | OF | other)


@pytest.fixture
def needed(scene):
    RuleSet.objects.create(rule_set="ours", **OF)
    Site.objects.filter(pk="S-1").update(rule_set="ours")
    return [need("cables", "consult"), need("watch", "attend", blocks=False)]


@pytest.fixture
def agreed(needed):
    told = {"reference_no": "NP 31", "conditions": WORDS, "agreed_with": "Ro Hart"}
    return agreement("AG-1", site_id="S-1", service_owner="Northline Power", service_id="V-1", **told)


def sheet():
    return preview("PD-1", cast.AT).sheet


def printed(told):
    pages = pypdf.PdfReader(io.BytesIO(permit_pdf(told))).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_the_paper_says_what_is_needed_with_whom_it_was_agreed_and_in_which_words(agreed):
    text = printed(sheet())
    section = text[text.index(SECTION) : text.index("8 Protective equipment")]
    for words in (
        "Northline Power must be consulted",
        "E1: within 3 m of trace T-1 (electricity)",
        "cables: the owner’s general conditions, sheet 4",
        "Northline Power should stand by",
        "NOT ANSWERED: nothing is on record",
        "AG-1, owner's reference NP 31",
        "agreed with Ro Hart",
        "through 12 Mar 2027",
        WORDS,
    ):
        assert words in section
    assert "Keep to what the owners of services agreed to" in text[: text.index(SECTION)]
    assert text.count(WORDS) == 1


def test_a_blocked_paper_says_that_nothing_is_on_record(needed):
    text = printed(sheet())
    assert "NOT TO DIG" in text
    assert "NOT ANSWERED: nothing is on record" in text[text.index(SECTION) :]


def test_without_a_need_or_an_agreement_the_sheet_has_no_word_of_it(scene):
    told = sheet()
    assert "owners" not in told
    assert SECTION not in printed(told)


def test_what_was_agreed_without_a_need_is_printed_too(scene):
    agreement("AG-1", site_id="S-1", service_owner="Northline Power", conditions=WORDS)
    text = printed(sheet())
    assert WORDS in text[text.index(SECTION) :]
    assert "What is needed" not in text


def test_a_signed_sheet_keeps_the_words_though_the_agreement_is_taken_back(agreed):
    for person, meaning in (("P-ISS", "issue"), ("P-REC", "accept")):
        sign("PD-1", person, meaning, cast.AT, preview("PD-1", cast.AT).seen)
    OwnerAgreement.objects.update(withdrawn_on=date(2027, 3, 5), withdrawn_because="a feeder is out")
    later = preview("PD-1", cast.AT + timedelta(hours=20))
    assert [one.code for one in later.verdict.blocks if one.code.startswith("owner.")] == ["owner.not_consulted"]
    text = printed(sheet_to_print("PD-1", cast.AT + timedelta(hours=20)))
    assert "AG-1 was taken back on 5 Mar 2027" in text
    assert WORDS in text[text.index(SECTION) :]


def page(client, address="/permits/PD-1/"):
    return " ".join(client.get(address).content.decode().split())


def test_the_permit_s_page_tells_what_is_needed_and_leads_to_the_form(needed, as_person):
    told = page(as_person("P-ISS"))
    assert "The owner must be consulted within 3 m of trace T-1 (electricity)" in told
    assert "/enter/owner-agreements/?site=S-1&amp;service_owner=Northline+Power&amp;service=V-1&amp;agreed=consult" in told
    assert "Northline Power: to be consulted" in told


def test_the_page_tells_what_was_agreed_and_until_when_it_stands(agreed, as_person):
    told = page(as_person("P-CR1"))
    assert WORDS.rstrip(".") in told
    assert "Agreement of Northline Power" in told
    assert "good through 12 Mar 2027" in told


def test_a_permit_being_prepared_is_told_of_it_at_once(needed, as_person):
    assert "must be consulted within 3 m" in page(as_person("P-ISS"), "/prepare/?like=PD-1")
