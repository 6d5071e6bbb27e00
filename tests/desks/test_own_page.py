"""One's own page: what was practised, where and how long ago, and the certificates behind each award."""

from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from locates.desks.practice import practice, practised
from locates.surveys.models import Locate, Sweep, Trace
from records.files.actions import keep, strike
from records.firm.models import Person
from records.ledger.actions import errand
from records.ledger.chain import Actor
from tests import cast
from tests.elsewhere import elsewhere

pytestmark = pytest.mark.django_db
OF = {"recorded_at": cast.RECORDED}
ZONE, TODAY = ZoneInfo(cast.ZONE), date(2027, 3, 4)
BY = Actor("P-SAF", "Hana Petros")


def locate(name, days, *techniques, site="S-1", traced=()):
    """A locate begun so many days ago, swept and traced by the techniques."""
    begun = cast.AT - timedelta(days=days)
    Locate.objects.create(locate=name, site_id=site, operator_id="P-OPE", receiver_id="I-R1", started_at=begun, finished_at=begun + timedelta(hours=1), **OF)
    for at, technique in enumerate(techniques):
        Sweep.objects.create(sweep=f"{name}-{at}", locate_id=name, technique=technique, area=cast.AROUND, **OF)
    for at, technique in enumerate(traced):
        line = {"line": "LINESTRING (0 0, 9 0)", "utility": "water", "quality_level": "A" if technique == "exposed" else "B"}
        Trace.objects.create(trace=f"{name}-{at}", locate_id=name, technique=technique, **line, **OF)


@pytest.fixture
def told(scene):
    """Practice in words, as it stands when it is asked for."""

    def says(may=()):
        person = Person.objects.get(pk="P-OPE")
        return practised(person, practice(person, ZONE, cast.AT), may, TODAY, ZONE)

    return says


def test_each_technique_tells_in_how_many_locates_and_how_long_ago(told):
    locate("L-A", 40, "clamp", "clamp", "passive_power")
    locate("L-B", 10, "clamp")
    rows = {one.name: (one.count, one.ago) for one in told().techniques}
    assert rows == {
        "Passive power": (2, "yesterday"),
        "Passive radio": (1, "yesterday"),
        "Induction": (1, "yesterday"),
        "Clamp": (2, "10 days ago"),
    }


def test_a_trace_is_practice_too_and_a_locate_counts_once(told):
    locate("L-A", 10, "sonde", traced=("sonde", "clamp", "exposed"))
    rows = {one.name: one.count for one in told().techniques}
    assert (rows["Sonde"], rows["Clamp"], "Exposed" in rows) == (1, 1, False)


def test_a_technique_in_date_that_was_not_practised_is_told(told):
    (row,) = [one for one in told(may=["sonde", "dig"]).techniques if not one.count]
    assert (row.name, row.ago) == ("Sonde", "not in the last twelve months")


def test_each_site_tells_it_too_the_latest_first(told):
    elsewhere()
    locate("L-A", 400, "clamp")
    locate("L-B", 20, "clamp", site="S-9")
    locate("L-C", 30, "clamp", site="S-9")
    assert [(one.name, one.count, one.ago) for one in told().sites] == [("Quay yard", 1, "yesterday"), ("Far moor", 2, "20 days ago")]


def test_the_figure_of_a_site_opens_those_locates_and_no_others(as_person, told):
    elsewhere()
    locate("L-A", 400, "clamp")
    locate("L-B", 20, "clamp", site="S-9")
    (row,) = [one for one in told().sites if one.name == "Quay yard"]
    listed = as_person("P-OPE").get(row.leads).content.decode()
    assert [name in listed for name in ("/locates/L-1/", "/locates/L-A/", "/locates/L-B/")] == [True, False, False]


def test_without_a_locate_it_says_so(told):
    Locate.objects.filter(operator="P-OPE").update(operator="P-FAR")
    found = told(may=["clamp"])
    assert (found.says, found.techniques, found.sites) == ("No locate in the last twelve months.", [], [])


@pytest.fixture
def certificate(scene, tmp_path, settings):
    settings.FILES_FOLDER = str(tmp_path)
    with errand(BY, cast.AT) as underway:
        return keep(underway, "award", "A-OPE", "A-OPE", "certificate", SimpleUploadedFile("card of Hale.pdf", b"%PDF-1.7\n%%EOF\n"))


def test_the_certificate_s_own_file_opens_from_its_award(as_person, certificate):
    client, where = as_person("P-OPE"), reverse("file", args=[certificate.key])
    page = client.get("/mine/").content.decode()
    assert f'href="{where}"' in page
    assert "card of Hale.pdf" in page
    assert client.get(where).status_code == 200


def test_a_file_that_was_struck_is_not_shown(as_person, certificate):
    strike(certificate.key, "of somebody else", BY, cast.AT)
    assert "card of Hale.pdf" not in as_person("P-OPE").get("/mine/").content.decode()
