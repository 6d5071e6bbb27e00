"""What is typed on a phone and not handed in yet is there again after leaving the page, for its own person alone."""

import pytest

from tests.journeys.locating import SHEET, begun
from tests.journeys.phones import until

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
GUIDE, NOTE = f"/field/{SHEET}/", "both kerbs, as far as the gate"
DRAFTS = "Object.keys(localStorage).filter((one) => one.startsWith('draft:')).length"


@pytest.fixture
def page(phone, as_person):
    begun(as_person("P-OPE"))
    opened = phone("P-OPE")
    opened.goto(GUIDE)
    opened.locator("#fold-marks > summary").click()
    opened.get_by_label("paint").check()
    opened.locator("#fold-marks").get_by_label("Note").fill(NOTE)
    opened.goto("/mine/")
    opened.goto(GUIDE)
    return opened


def test_it_is_back_in_its_open_step_and_can_be_forgotten(page):
    marks = page.locator("#fold-marks")
    assert (marks.get_by_label("Note").input_value(), marks.get_by_label("paint").is_checked()) == (NOTE, True)
    assert marks.get_by_text("What you typed here and did not hand in is back.").is_visible()
    marks.get_by_role("button", name="Forget it").click()
    assert (marks.get_by_label("Note").input_value(), marks.get_by_label("paint").is_checked()) == ("", False)
    assert page.evaluate(DRAFTS) == 0


def test_once_it_is_handed_in_nothing_of_it_stays(page):
    page.get_by_role("button", name="Record the marks").click()
    page.get_by_text("The marks are recorded.").wait_for()
    until(page, f"{DRAFTS} === 0")
    assert page.get_by_text("did not hand in is back").count() == 0


def test_signing_out_takes_it_along(page):
    assert page.evaluate(DRAFTS) == 1
    page.locator(".folded-ways summary").click()
    page.locator(".folded-ways").get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/sign-in/")
    assert page.evaluate(DRAFTS) == 0
