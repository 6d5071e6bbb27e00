"""The scheme that quality levels are of: named wherever a level is shown, as it was in force when the locate began, and judging nothing."""

from datetime import timedelta
from io import BytesIO

import pytest
from pypdf import PdfReader

from locates.permits.facts import gather_one
from locates.permits.rules.gate import assess
from records.firm.models import Rule, RuleSet, Site
from records.rules.verdict import as_data
from tests import cast
from tests.elsewhere import OF
from tests.journeys.conftest import as_person, hands, scene
from tests.register import loaded, places, register, row

__all__ = ["as_person", "hands", "scene"]
PLACES = ("/permits/PD-1/", "/permits/PD-1/paper.pdf", "/records/traces/", "/records/traces.csv", "/records/traces/T-1/", "/records/locates/L-1/")


def said(answered):
    content = b"".join(answered)
    text = " ".join(page.extract_text() for page in PdfReader(BytesIO(content)).pages) if content.startswith(b"%PDF") else content.decode()
    return " ".join(text.split())


def name(scheme, days_before_the_locate=1):
    RuleSet.objects.get_or_create(rule_set="house", defaults=OF)
    Site.objects.update(rule_set="house")
    day = (cast.AT - timedelta(hours=25)).date() - timedelta(days=days_before_the_locate)
    Rule.objects.create(rule_set_id="house", effective_from=day, key="quality_scheme", value=scheme, **OF)


@pytest.mark.parametrize("place", PLACES)
def test_every_place_that_shows_a_level_names_its_scheme(scene, as_person, place):
    client = as_person("P-OPE")
    assert "own scheme" in said(client.get(place)).replace("&#x27;", "'")
    name("as_5488")
    assert "B by AS 5488.1" in said(client.get(place))
    assert "own scheme" not in said(client.get(place))


def test_the_paper_says_what_its_letters_promise(scene, as_person):
    name("pas_128")
    found = said(as_person("P-OPE").get("/permits/PD-1/paper.pdf"))
    assert "Quality level by PAS 128" in found
    assert "Quality levels are those of PAS 128:2022, United Kingdom: B detected, by one of four kinds" in found


def test_a_trace_s_own_page_says_what_its_level_promises(scene, as_person):
    name("pas_128")
    assert "across at 0.8 m: B1 ±0.15 m, B2 ±0.32 m, B3 ±0.5 m, by PAS 128:2022, United Kingdom. The hand-dig zone here is widened for it by 0.3 m" in said(
        as_person("P-OPE").get("/records/traces/T-1/")
    )


def test_a_scheme_named_after_the_locate_began_does_not_change_what_its_letters_meant(scene, as_person):
    name("as_5488", days_before_the_locate=-2)
    assert "own scheme" in said(as_person("P-OPE").get("/records/traces/T-1/")).replace("&#x27;", "'")
    assert "AS 5488.1" not in said(as_person("P-OPE").get("/permits/PD-1/"))


def test_the_gate_judges_nothing_by_it(scene):
    def judged():
        found = as_data(assess(gather_one("PD-1"), cast.AT))
        return {
            key: [one["code"] for one in value] if isinstance(value, list) and value and isinstance(value[0], dict) else value for key, value in found.items()
        }

    before = judged()
    name("arrete_2012")
    assert judged() == before


@pytest.mark.parametrize(("key", "value", "fits"), [("quality_scheme", "pas_128", True), ("quality_scheme", "yes", False), ("hand_dig_m", "pas_128", False)])
def test_a_rule_takes_the_words_of_its_own_key_alone(db, tmp_path, key, value, fits):
    tables = register()
    tables["rules"].append({"rule_set": "house", "effective_from": "2026-02-01", "key": key, "value": value, "source": "the firm's own"})
    assert places(loaded(tmp_path, tables)) == ([] if fits else [("rules.csv", 4, "value")])
    assert row(tables, "sites", "S1")["rule_set"] == "house"
