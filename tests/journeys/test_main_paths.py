"""The operator's and the safety manager's main paths in a real browser, on a phone and at a desk. (The issuer's and the receiver's: test_in_a_browser.)"""

import pytest

from locates.instruments.models import Check
from records.firm.models import Person
from tests import cast
from tests.elsewhere import elsewhere
from training.models import Award

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
WIDTHS = pytest.mark.parametrize("width", [360, 1280])


@pytest.fixture
def signed_in(browser, live_server, scene):
    """A page of a fresh browser at this width with somebody signed in."""
    elsewhere()
    opened = []

    def page_of(person, width, **options):
        context = browser.new_context(viewport={"width": width, "height": 800}, base_url=live_server.url, **options)
        opened.append(context)
        page = context.new_page()
        page.goto("/")
        page.get_by_label("Your identifier").fill(person)
        page.get_by_label("Password").fill(cast.PASSWORD)
        page.get_by_role("button", name="Sign in").click()
        return page

    yield page_of
    for context in opened:
        context.close()


def go(page, words):
    """By the masthead, folded or not."""
    page.wait_for_load_state()  # until the sheets are there, everything is in sight
    if page.get_by_text("Menu", exact=True).is_visible():
        page.get_by_text("Menu", exact=True).click()
    page.locator("header a", has_text=words).locator("visible=true").click()


@WIDTHS
@pytest.mark.parametrize("javascript", [True, False], ids=["with JavaScript", "without"])
def test_an_operator_reads_their_dates_checks_an_instrument_and_gets_a_calendar(signed_in, width, javascript):
    page = signed_in("P-OPE", width, java_script_enabled=javascript)
    assert "1 May 2029" in page.locator(".own-date").first.inner_text()
    page.locator(".own-tool", has_text="I-R1").get_by_role("link", name="Check before use").click()
    page.get_by_role("button", name="It passed").click()
    page.locator(".told.success").wait_for()
    assert Check.objects.filter(instrument="I-R1", person="P-OPE", checked_at=cast.AT, result="pass").count() == 1
    go(page, "My dates")
    page.get_by_role("button", name="Make an address").click()
    feed = page.locator(".feed").inner_text()
    assert feed.endswith(".ics") and "BEGIN:VEVENT" in page.request.get(feed).text()


@WIDTHS
def test_a_safety_manager_goes_from_a_figure_to_the_record_and_mends_it(signed_in, width):
    Award.objects.filter(pk="A-CR1").update(withdrawn_on=cast.AT.date().replace(day=1), withdrawn_because="exam void")
    Person.objects.filter(pk="P-CR2").update(roles=())
    page = signed_in("P-SAF", width)
    page.locator(".exposure .figure").first.click()
    page.get_by_role("link", name="A-CR1").click()
    assert "exam void" in page.locator("main").inner_text()
    page.get_by_role("link", name="Enter another like it").click()
    page.get_by_role("button", name="Record it", exact=True).click()
    go(page, "Cover")
    assert "Jo Brandt" in page.locator(".matrix").inner_text()
    go(page, "History")
    assert "Hana Petros" in page.locator(".ledger-table").inner_text()
