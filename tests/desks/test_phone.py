"""What a person's phone may take along and keep, and what it may not."""

import json

import pytest
from django.contrib.staticfiles import finders

from tests.elsewhere import elsewhere
from tests.journeys.locating import SHEET, begun

GUIDE = f"/field/{SHEET}/"


@pytest.fixture
def stage(scene):
    elsewhere()


@pytest.mark.parametrize(
    ("person", "theirs"),
    [
        ("P-OPE", ["/field/", "/field/begin/S-1/", GUIDE, f"{GUIDE}sketch.json", "/permits/PD-1/"]),
        ("P-CR1", ["/permits/PD-1/"]),
        ("P-FAR", ["/field/", "/field/begin/S-9/", "/field/sheet-there/", "/field/sheet-there/sketch.json", "/permits/PD-9/"]),
    ],
)
def test_one_takes_along_ones_own(stage, as_person, person, theirs):
    begun(as_person("P-OPE"))
    client = as_person(person)
    pages = client.get("/phone/take.json").json()["pages"]
    assert pages == ["/", "/phone/", "/mine/", *theirs]
    assert {address: client.get(address).headers.get("Keep-For") for address in pages} == dict.fromkeys(pages, person)


@pytest.mark.parametrize(
    ("person", "address"),
    [
        ("P-SAF", "/permits/PD-1/"),
        ("P-SAF", GUIDE),
        ("P-SAF", f"{GUIDE}sketch.json"),
        ("P-ISS", "/people/P-OPE/dates/"),
        ("P-ISS", "/permits/PD-1/sign/"),
        ("P-OPE", "/permits/"),
        ("P-OPE", "/account/"),
        ("P-SAF", "/history/"),
    ],
)
def test_other_peoples_pages_and_signing_may_not_be_kept(stage, as_person, person, address):
    begun(as_person("P-OPE"))
    answered = as_person(person).get(address)
    assert (answered.status_code, answered.headers.get("Keep-For")) == (200, None)


def test_a_secret_that_is_shown_once_is_not_kept(stage, as_person):
    client = as_person("P-OPE")
    client.post("/mine/calendar/")
    assert [client.get("/mine/").headers.get("Keep-For") for _ in range(2)] == [None, "P-OPE"]


def test_a_locate_that_is_over_is_not_taken_along(stage, as_person, hands):
    client = as_person("P-FAR")
    before = client.get("/phone/take.json").json()["pages"]
    hands.at = hands.at.replace(year=2028)
    client = as_person("P-FAR")
    assert set(before) - set(client.get("/phone/take.json").json()["pages"]) >= {"/permits/PD-9/"}
    assert client.get("/permits/PD-9/").headers.get("Keep-For") is None


def test_the_worker_is_asked_for_anew_each_time_and_names_what_pages_are_made_of(client, db):
    answered = client.get("/sw.js")
    told = dict(line.removeprefix("const ").removesuffix(";").split(" = ", 1) for line in answered.content.decode().splitlines() if line.startswith("const "))
    shell = json.loads(told["SHELL"])
    assert answered.headers["Cache-Control"] == "no-cache" and answered.headers["Content-Type"].startswith("text/javascript")
    assert {"/static/site.css", "/static/outbox.js", "/static/vendor/bootstrap/bootstrap.min.css", "/static/sketch/board.js"} <= set(shell)
    assert [one for one in shell if finders.find(one.removeprefix("/static/")) is None] == []


def test_the_page_for_what_is_not_kept_tells_of_nobody(as_person, scene):
    assert "Hale" not in as_person("P-CR1").get("/no-line/").content.decode()


def test_the_mark_stands_on_a_home_screen(client, db):
    with open(finders.find("spadework.webmanifest")) as file:
        told = json.load(file)
    assert (told["name"], told["start_url"], told["display"]) == ("Spadework", "/", "standalone")
    assert [one["src"] for one in told["icons"] if finders.find(one["src"]) is None] == []
