"""Coming in and going out."""

from datetime import date, timedelta
from urllib.parse import unquote

import pytest
from django.urls import get_resolver, reverse

from records.firm.models import Knock, Person
from tests import cast

pytestmark = pytest.mark.usefixtures("scene")
DOOR = "/sign-in/"
RIGHT = {"username": "P-ISS", "password": cast.PASSWORD}
WRONG = {"username": "P-ISS", "password": "four dry spades"}
WORDS = "do not belong together"

CLOSED = [
    reverse("permits"),
    reverse("permits_csv"),
    reverse("password"),
    reverse("notice"),
    reverse("permit", args=["PD-1"]),
    reverse("permit_pdf", args=["PD-1"]),
    reverse("sign", args=["PD-1"]),
    reverse("signed", args=["PD-1", "issue"]),
    reverse("signed_pdf", args=["PD-1", "issue"]),
]


@pytest.mark.parametrize("address", CLOSED)
def test_a_stranger_is_sent_to_the_door_and_from_there_to_where_they_were_going(client, address):
    assert client.get(address).headers["Location"] == f"{DOOR}?next={address}"
    assert client.post(address).headers["Location"] == f"{DOOR}?next={address}"
    assert client.post(DOOR, RIGHT | {"next": address}).headers["Location"] == address


def test_what_a_stranger_hands_in_is_not_done_and_leads_back_to_where_it_was_handed_in(client):
    came_from = "http://testserver/permits/PD-1/"
    answered = client.post("/permits/PD-1/stop/", headers={"referer": came_from})
    door = answered.headers["Location"]
    assert unquote(door) == f"{DOOR}?next={came_from}"
    assert "what you just did was not done" in client.get(door).content.decode()
    assert client.post(DOOR, RIGHT | {"next": came_from}).headers["Location"] == came_from


@pytest.mark.parametrize("elsewhere", ["https://elsewhere.example/", "//elsewhere.example", "javascript:alert(1)", ""])
def test_the_door_leads_nowhere_but_into_this_site(client, elsewhere):
    assert client.post(DOOR, RIGHT | {"next": elsewhere}).headers["Location"] == "/"


@pytest.mark.parametrize("given", [WRONG, WRONG | {"username": "P-NOBODY"}, WRONG | {"username": "p-iss", "password": cast.PASSWORD}])
def test_a_wrong_password_an_unknown_person_and_other_capitals_are_told_alike(client, given):
    answered = client.post(DOOR, given)
    assert (answered.status_code, WORDS in answered.content.decode()) == (200, True)
    assert given["password"] not in answered.content.decode()


def test_someone_without_a_password_does_not_get_in(client):
    Person.objects.filter(person="P-ISS").update(password="")
    assert WORDS in client.post(DOOR, WRONG | {"password": " "}).content.decode()


@pytest.mark.parametrize(("left_on", "status"), [(date(2027, 3, 2), 200), (date(2027, 3, 3), 302), (None, 302)])
def test_someone_gets_in_through_the_day_on_which_they_leave_counted_in_utc(client, left_on, status):
    Person.objects.filter(person="P-ISS").update(left_on=left_on)
    assert client.post(DOOR, RIGHT).status_code == status


def test_someone_who_has_left_is_told_so_only_with_the_right_password(client):
    Person.objects.filter(person="P-ISS").update(left_on=date(2027, 2, 1))
    assert "left on 1 Feb 2027" in client.post(DOOR, RIGHT).content.decode()
    assert "left on" not in client.post(DOOR, WRONG).content.decode()


@pytest.mark.parametrize("address", ["/", "/permits/PD-1/", "/history/"])
def test_whoever_leaves_is_signed_out_wherever_they_are(as_person, address):
    client = as_person("P-SAF")
    assert client.get(address).status_code == 200
    Person.objects.filter(person="P-SAF").update(left_on=date(2027, 3, 2))
    assert client.get(address).status_code == 302
    assert "_auth_user_id" not in client.session


def routes(patterns, before=""):
    for one in patterns:
        route = f"{before}{one.pattern}"
        yield from routes(one.url_patterns, route) if hasattr(one, "url_patterns") else [(route, getattr(one.callback, "login_required", True))]


def test_every_address_is_shut_to_strangers_but_the_door_and_the_sites_mark():
    every = list(routes(get_resolver().url_patterns))
    assert {route for route, shut in every if not shut} == {
        *("sign-in/", "sign-in/code/", "set-up/", "password/forgotten/", "password/<str:person>/<slug:token>/"),
        *("favicon.ico", "sw.js", "no-line/", "light/", "feed/<str:key>.ics"),
        *("p/<str:key>/", "p/<str:key>/<str:mark>/"),
    }
    assert len(every) > 50


def test_one_goes_out_by_a_post_alone(as_person):
    client = as_person("P-ISS")
    assert (client.get("/sign-out/").status_code, client.get("/").status_code) == (405, 200)
    assert client.post("/sign-out/").headers["Location"] == DOOR
    assert client.get("/").status_code == 302


def test_who_is_in_already_passes_the_door(as_person):
    assert as_person("P-ISS").get(f"{DOOR}?next=/password/").headers["Location"] == "/password/"


def tries(client, given, count, **extra):
    return [client.post(DOOR, given, **extra).status_code for _ in range(count)]


def test_after_five_wrong_tries_even_the_right_password_waits_a_quarter_of_an_hour(client, hands):
    assert tries(client, WRONG, 5) == [200] * 5
    refused = client.post(DOOR, RIGHT)
    assert (refused.status_code, "Too many tries" in refused.content.decode(), 'value="P-ISS"' in refused.content.decode()) == (429, True, True)
    hands.at += timedelta(minutes=15)
    assert client.post(DOOR, RIGHT).status_code == 302


def test_others_and_the_same_person_elsewhere_are_not_held_up(client):
    tries(client, WRONG, 6)
    assert client.post(DOOR, RIGHT, REMOTE_ADDR="198.51.100.7").status_code == 302
    assert client.post(DOOR, RIGHT | {"username": "P-REC"}).status_code == 302


def test_whoever_hammers_at_one_door_shuts_nobody_out_at_another(client):
    assert tries(client, WRONG, 40).count(429) == 35
    assert client.post(DOOR, RIGHT, REMOTE_ADDR="198.51.100.7").status_code == 302


def test_guessing_from_many_addresses_is_slow_too(client):
    assert {tries(client, WRONG, 1, REMOTE_ADDR=f"198.51.100.{one}")[0] for one in range(30)} == {200}
    assert client.post(DOOR, RIGHT, REMOTE_ADDR="198.51.100.99").status_code == 429


def test_the_right_password_wipes_the_slate(client):
    tries(client, WRONG, 4)
    assert client.post(DOOR, RIGHT).status_code == 302
    assert not Knock.objects.exists()


def test_tries_are_kept_for_an_hour_and_say_neither_who_nor_where(client, hands):
    tries(client, WRONG, 2)
    assert not Knock.objects.filter(whose__contains="P-ISS").exists() and not Knock.objects.filter(whence__contains="127").exists()
    hands.at += timedelta(hours=1, seconds=1)
    tries(client, WRONG | {"username": "P-REC"}, 1)
    assert Knock.objects.count() == 1


@pytest.mark.parametrize(("proxied", "status"), [(("HTTP_X_FORWARDED_PROTO", "https"), 302), (None, 429)])
def test_only_behind_our_own_proxy_is_its_word_on_the_address_taken(client, settings, proxied, status):
    settings.SECURE_PROXY_SSL_HEADER = proxied
    tries(client, WRONG, 6, HTTP_X_FORWARDED_FOR="203.0.113.5, 198.51.100.1")
    assert client.post(DOOR, RIGHT, HTTP_X_FORWARDED_FOR="203.0.113.5, 198.51.100.2").status_code == status


def test_every_spelling_of_an_identifier_counts_as_the_same(client):
    spellings = ["P-ISS", " P-ISS", "P-ISS  ", "\uff30-ISS", "\u3000P-ISS"]
    statuses = [client.post("/sign-in/", {"username": one, "password": "four dry spades"}).status_code for one in (*spellings, "P-ISS ")]
    assert statuses == [200, 200, 200, 200, 200, 429]


def test_one_address_cannot_try_everyone_without_end(client):
    statuses = {n: client.post("/sign-in/", {"username": f"P-{n}", "password": "four dry spades"}).status_code for n in range(62)}
    assert (statuses[59], statuses[60]) == (200, 429)
