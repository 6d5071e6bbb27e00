"""Reading where there is no line: what a phone keeps, for whom, and until when."""

import re
from datetime import datetime, timedelta

import pytest
from django.contrib.sessions.models import Session

from locates.desks import first
from records import worker
from tests.journeys.browsing import looks
from tests.journeys.phones import KEPT, offline, online, signs_in, taken, until

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PERMIT = "/permits/PD-1/"


def test_own_permits_and_dates_open_without_a_line_as_they_were(phone):
    page = phone("P-OPE")
    taken(page)
    offline(page)
    for address, words in ((PERMIT, "Permit PD-1"), ("/mine/", "My dates"), ("/", "4 Mar 2027")):
        assert page.goto(address).status == 200
        assert words in page.locator("h1").inner_text()
        assert re.match(r"No line: this is as it was at \d\d:\d\d\.", page.locator(".told.kept").inner_text())


def test_a_page_that_was_visited_is_kept_and_one_that_was_not_says_what_is(phone):
    page = phone("P-OPE")
    page.goto(PERMIT)
    offline(page)
    assert page.goto(PERMIT).status == 200
    answered = page.goto("/records/")
    assert (answered.status, page.locator("h1").inner_text()) == (503, "No line")
    page.locator("[data-kept] a").first.wait_for()
    assert page.locator("[data-kept] a").all_inner_texts() == ["Permit PD-1: May be issued", "My dates"]
    assert [*looks(page)] == []


@pytest.mark.parametrize(("person", "addresses"), [("P-ISS", [f"{PERMIT}sign/", "/account/"]), ("P-SAF", ["/people/P-OPE/dates/", PERMIT])])
def test_signing_and_other_peoples_pages_are_never_kept(phone, person, addresses):
    page = phone(person)
    for address in addresses:
        assert page.goto(address).status == 200
    offline(page)
    assert [page.goto(address).status for address in addresses] == [503] * len(addresses)
    assert page.evaluate(KEPT) == ["/mine/"]


def test_signing_out_drops_all_that_was_kept(phone):
    page = phone("P-OPE")
    taken(page)
    page.locator(".folded-ways summary").click()
    page.locator(".folded-ways").get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/sign-in/")
    assert page.evaluate(KEPT) == []
    offline(page)
    assert page.goto("/mine/").status == 503
    assert "Nothing. Where there is a line" in page.locator("main").inner_text()


def test_another_person_on_the_same_phone_sees_nothing_of_it(phone):
    page = phone("P-OPE")
    taken(page)
    page.context.clear_cookies()
    page.goto("/sign-in/")
    signs_in(page, "P-ISS")
    until(page, f"{KEPT}.then((some) => some.length < 3)")
    offline(page)
    assert page.goto(PERMIT).status == page.goto("/mine/").status == 503
    page.goto("/")
    assert "Hale" not in page.content() and "Ines Harrow" in page.content()


def test_pages_still_open_when_only_the_session_is_over(phone):
    page = phone("P-OPE")
    taken(page)
    Session.objects.all().delete()
    page.goto("/mine/")
    assert page.url.endswith("/sign-in/?next=/mine/")
    offline(page)
    assert page.goto("/mine/").status == 200


def test_what_is_kept_goes_after_seven_days(phone):
    page = phone("P-OPE")
    days = page.evaluate("Kept.DAYS")
    assert days == first.KEPT_DAYS
    page.clock.set_fixed_time(datetime.now() + timedelta(days=days, hours=1))
    page.goto("/account/")
    until(page, f"{KEPT}.then((some) => !some.length)")
    until(page, "caches.open('kept-pages').then((pages) => pages.keys()).then((some) => !some.length)")


def test_a_form_that_the_phone_does_not_keep_says_that_it_needs_the_line(phone):
    page = phone("P-OPE")
    page.goto("/mine/")
    offline(page)
    page.reload()
    page.get_by_role("button", name="Make an address").click()
    assert "This needs the line, and there is none: nothing was done." in page.locator("[data-line-says]").inner_text()
    online(page)
    page.get_by_role("button", name="Make an address").click()
    page.locator(".feed").wait_for()


def test_another_release_replaces_the_worker_and_keeps_the_pages(phone, monkeypatch):
    page = phone("P-OPE")
    monkeypatch.setattr(worker, "release", lambda: "another")
    page.goto("/mine/")
    until(page, "caches.keys().then((names) => names.sort().join() === 'kept-pages,shell-another')")
    offline(page)
    assert page.goto("/mine/").status == 200
