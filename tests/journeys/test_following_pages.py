"""Preparing a permit that follows another, and how pages tell of the two; the old one's paper says that it is replaced."""

from datetime import timedelta
from html import unescape

import pytest

from locates.permits.models import Following, Permit
from records.ledger.models import Entry
from tests import cast
from tests.journeys.browsing import DESK, faults, page_of
from tests.journeys.preparing import PAGE, post
from tests.papers.conftest import own_folder, printed
from tests.papers.conftest import signed as sign_both
from tests.papers.test_looking_up import address, text

__all__ = ["own_folder"]

pytestmark = pytest.mark.usefixtures("scene")
WHY = {"follows": "PD-1", "follows_why": "The pipe lies deeper.", "follows_changed": "The depth."}


@pytest.fixture
def signed(scene):
    sign_both()


def told(client, where):
    return unescape(client.get(where).content.decode())


def test_it_begins_as_the_old_one_in_a_window_of_its_own_and_says_what_is_different(as_person, signed):
    client = as_person("P-ISS")
    assert "Prepare a new permit that follows this one" in told(client, "/permits/PD-1/")
    opened = client.get(PAGE, {"follows": "PD-1"})
    assert opened.context["offer"].besides.follow.initial["follows"] == "PD-1"
    assert [one.what for one in opened.context["side"] if one.differs] == ["Time"]
    assert opened.context["form"].initial["permit"] != "PD-1"
    looked = post(client, "look", depth_m="1.6", **WHY)
    assert {"Depth", "Time"} <= {one.what for one in looked.context["side"] if one.differs}
    assert "follows.still_open" in [one.code for one in looked.context["blocks"]]


def test_it_is_saved_with_the_permit_and_told_of_on_both_pages_and_in_the_list(as_person, signed):
    client = as_person("P-ISS")
    assert post(client, "save", **WHY).status_code == 302
    row = Following.objects.get(permit="D-77")
    assert (row.follows_id, row.why, row.changed) == ("PD-1", "The pipe lies deeper.", "The depth.")
    assert Entry.objects.get(act="following.recorded").subject_id == "D-77"
    assert 'Follows permit <a href="/permits/PD-1/">PD-1</a>' in told(client, "/permits/D-77/")
    assert 'Followed by permit <a href="/permits/D-77/">D-77</a> <span class="quietly">(prepared' in told(client, "/permits/PD-1/")
    listed = told(client, "/permits/")
    assert 'Follows permit <a href="/permits/PD-1/">' in listed and 'Followed by permit <a href="/permits/D-77/">' in listed


def test_whoever_may_not_see_the_other_is_told_its_number_alone(as_person, signed):
    post(as_person("P-ISS"), "save", crew=["P-CR2"], **WHY)
    assert "Followed by permit <strong>D-77</strong>" in told(as_person("P-CR1"), "/permits/PD-1/")


@pytest.mark.parametrize("name", ["follows_why", "follows_changed"])
def test_what_is_owed_with_it_is_asked_for_at_its_field(as_person, signed, name):
    answered = post(as_person("P-ISS"), "save", **WHY | {name: ""})
    assert name in answered.context["offer"].besides.follow.errors
    assert not Permit.objects.filter(pk="D-77").exists()


def test_a_permit_that_nobody_signed_cannot_be_chosen(as_person):
    answered = post(as_person("P-ISS"), "save", **WHY | {"follows": "PD-9"})
    assert "follows" in answered.context["offer"].besides.follow.errors
    assert not Permit.objects.filter(pk="D-77").exists()


def test_another_like_it_follows_nothing(as_person, signed):
    client = as_person("P-ISS")
    post(client, "save", **WHY)
    assert not client.get(PAGE, {"like": "D-77"}).context["offer"].besides.follow.wanted


def test_changed_it_goes_on_following_and_what_is_told_of_it_can_be_mended(as_person, signed):
    client = as_person("P-ISS")
    post(client, "save", **WHY)
    where = "/permits/D-77/change/"
    seen = client.get(where).context["seen"]
    assert post(client, "save", where, seen=seen, **WHY | {"follows_why": "It lies deeper still."}).status_code == 302
    assert Following.objects.get().why == "It lies deeper still."
    post(client, "save", where, seen=client.get(where).context["seen"], **WHY | {"follows": ""})
    assert Following.objects.get().follows_id == "PD-1"


def test_a_stranger_cannot_begin_from_a_permit_that_is_out_of_sight(as_person, signed):
    assert as_person("P-SAF").get(PAGE, {"follows": "PD-1"}).status_code == 200
    assert as_person("P-ISS").get(PAGE, {"follows": "PD-9"}).status_code == 404


def test_the_old_ones_paper_is_replaced_once_the_new_one_is_issued(as_person, signed, hands):
    paper = printed()
    client = as_person("P-ISS")
    post(client, "save", **WHY)
    hands.at += timedelta(hours=1)
    give = {"password": cast.PASSWORD, "why": "deeper", "left": "fenced and covered"}
    where = "/permits/PD-1/steps/end_scope/"
    client.post(where, give | {"seen": client.get(where).context["seen"]})
    assert "Permit PD-1 Ended" in text(address(paper))
    where = "/permits/D-77/sign/"
    assert client.post(where, {"password": cast.PASSWORD, "seen": client.get(where).context["seen"]}).status_code == 302
    found = text(address(paper))
    assert "Permit PD-1 Replaced Since 4 Mar 2027 09:30" in found
    assert "D-77" not in found


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("options", [{}, {"viewport": DESK}])
def test_its_pages_in_a_browser(browser, live_server, signed, as_person, options):
    post(as_person("P-ISS"), "save", depth_m="1.6", **WHY)
    wrong = []
    with page_of(browser, live_server, wrong, "P-ISS", **options) as page:
        for where in ("/permits/", "/permits/PD-1/", "/permits/D-77/", "/permits/D-77/change/", "/prepare/?follows=PD-1"):
            wrong += [(where, *what) for what in faults(page, page.goto(where))]
    assert wrong == []
