"""What every answer tells the browser."""

import pytest
from django.urls import reverse

from locates.desks.actions import new_key
from records.firm.models import Person
from tests import cast

pytestmark = pytest.mark.usefixtures("scene")
PAGES = [
    "/",
    "/permits.csv",
    "/permits/PD-1/",
    "/permits/PD-1/paper.pdf",
    "/permits/PD-1/sign/",
    "/password/",
    "/records/",
    "/history/",
    "/permits/",
    "/permits/none/",
    *("/history.csv", "/permits/PD-1/signed/issue/paper.pdf", "/no/such/page/"),
    *(reverse(name) for name in ("kit_due_csv", "cover_csv", "cover_pdf", "ahead_csv", "ahead_pdf", "competence")),
    *(reverse("book_csv", args=[slug]) for slug in ("people", "awards", "locates")),
]


def policy(answered):
    return dict(one.strip().split(" ", 1) for one in answered.headers["Content-Security-Policy"].split(";"))


@pytest.mark.parametrize("address", [*PAGES, "/sign-in/"])
def test_the_browser_may_run_and_load_nothing_but_the_sites_own(as_person, client, address):
    answered = (client if address == "/sign-in/" else as_person("P-SAF")).get(address)
    said = policy(answered)
    assert (said["default-src"], said["img-src"], said["object-src"], said["base-uri"]) == ("'self'", "'self' data:", "'none'", "'none'")
    assert (said["frame-ancestors"], said["form-action"]) == ("'none'", "'self'")
    assert "unsafe" not in answered.headers["Content-Security-Policy"] and "script-src" not in said


@pytest.mark.parametrize("address", PAGES)
def test_no_copy_of_a_signed_in_page_is_kept(as_person, address):
    assert "no-store" in as_person("P-ISS").get(address).headers["Cache-Control"]


def test_anyone_gets_the_mark_that_browsers_ask_for(client):
    assert client.get("/favicon.ico").headers["Location"] == "/static/mark.svg"


def test_nor_of_the_page_with_a_password_in_it(client):
    answers = [client.get("/sign-in/"), client.post("/sign-in/", {"username": "P-ISS", "password": "x"}), client.get("/")]
    assert all("no-store" in one.headers.get("Cache-Control", "") for one in answers[:2])
    assert answers[2].status_code == 302


def test_signing_in_gives_the_session_another_key(client):
    client.get("/sign-in/")
    session = client.session
    session["kept"] = "yes"
    session.save()
    before = client.cookies["sessionid"].value if "sessionid" in client.cookies else session.session_key
    client.post("/sign-in/", {"username": "P-ISS", "password": cast.PASSWORD})
    assert client.session.session_key != before
    assert client.cookies["sessionid"]["httponly"] and client.cookies["sessionid"]["samesite"] == "Lax"


@pytest.mark.parametrize(("address", "status"), [("/permits/none/", 404), ("/no/such/page/", 404)])
def test_a_page_that_is_not_there_is_told_in_the_same_look(as_person, address, status):
    answered = as_person("P-ISS").get(address)
    assert (answered.status_code, "There is no such page" in answered.content.decode()) == (status, True)


def test_a_request_that_cannot_be_read_is_told_so_under_the_same_policy(client):
    answered = client.get("/", HTTP_HOST="elsewhere.example")
    assert (answered.status_code, "That could not be read" in answered.content.decode()) == (400, True)
    assert policy(answered)["default-src"] == "'self'"


def test_a_fault_of_ours_is_told_in_the_same_look_and_tells_nothing_else(as_person, monkeypatch):
    def broken(*_):
        raise RuntimeError("the innermost secret")

    monkeypatch.setattr("locates.permits.lists.lines", broken)
    client = as_person("P-ISS", raise_request_exception=False)
    answered = client.get("/")
    assert (answered.status_code, "The fault is ours" in answered.content.decode()) == (500, True)
    assert "secret" not in answered.content.decode() and policy(answered)["default-src"] == "'self'"


def test_a_form_from_elsewhere_is_refused_under_the_same_policy(as_person):
    answered = as_person("P-ISS", enforce_csrf_checks=True).post("/password/", {})
    assert (answered.status_code, policy(answered)["default-src"], "no-store" in answered["Cache-Control"]) == (403, "'self'", True)


def test_a_set_up_that_is_over_is_told_so_under_the_same_policy(client, settings):
    answered = client.get("/set-up/")
    assert (answered.status_code, policy(answered)["default-src"]) == (404, "'self'")


def test_a_calendar_is_under_the_same_policy_and_so_is_one_that_is_not_there(client):
    key = new_key(Person.objects.get(person="P-OPE"), cast.AT)
    answers = [client.get(reverse("feed", args=[one])) for one in (key, "none")]
    assert [(one.status_code, policy(one)["default-src"]) for one in answers] == [(200, "'self'"), (404, "'self'")]
    assert answers[0]["Content-Type"].startswith("text/calendar")


@pytest.mark.parametrize("length", [str(41 * 1024 * 1024), "9" * 5000, "-1"])
def test_what_is_too_large_is_refused_before_it_is_read_from_strangers_too(client, length):
    answered = client.post("/sign-in/", {"username": "P-ISS", "password": cast.PASSWORD}, CONTENT_LENGTH=length)
    assert (answered.status_code, policy(answered)["default-src"]) == (413, "'self'")
    assert "sessionid" not in client.cookies
