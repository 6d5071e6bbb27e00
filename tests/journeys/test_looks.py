"""The light that somebody chooses, the masthead, and the print of a page."""

import pytest

from records.looks import COOKIE
from tests.journeys.browsing import page_of

LIGHT, DARK, SUN = ("rgb(252, 249, 240)", "light"), ("rgb(21, 26, 34)", "dark"), ("rgb(255, 255, 255)", "light")
SEEN = "() => [getComputedStyle(document.body).backgroundColor, getComputedStyle(document.documentElement).colorScheme]"
browsed = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_what_is_no_light_is_not_kept(client, db):
    assert client.post("/light/", {"light": "neon"}).cookies[COOKIE].value == ""
    client.cookies[COOKIE] = 'dark" onload="'
    assert b"data-light" not in client.get("/set-up/").content


def test_choosing_a_light_leads_back_to_the_page_but_never_away_from_the_site(client, db):
    assert client.post("/light/", {"light": "dark"}, HTTP_REFERER="http://testserver/permits/?page=2").headers["Location"].endswith("/permits/?page=2")
    assert client.post("/light/", {"light": "dark"}, HTTP_REFERER="http://elsewhere.example/").headers["Location"] == "/"


def test_a_light_is_chosen_by_handing_in_only(client, db):
    assert client.get("/light/?light=dark").status_code == 405


@pytest.mark.parametrize("device", ["light", "dark"])
@pytest.mark.parametrize("javascript", [True, False], ids=["with JavaScript", "without"])
class TestInABrowser:
    pytestmark = browsed

    def test_a_chosen_light_outdoes_the_device_and_stays(self, browser, live_server, scene, device, javascript):
        wrong = []
        with page_of(browser, live_server, wrong, "P-ISS", color_scheme=device, java_script_enabled=javascript) as page:
            seen = []
            for light in ("as my device", "dark", "sunlight", "light", "as my device"):
                page.goto("/")
                page.get_by_role("button", name=light, exact=True).click()
                page.goto("/permits/")
                seen.append(tuple(page.evaluate(SEEN)))
        own = (DARK if device == "dark" else LIGHT)[0], device
        assert seen == [own, DARK, SUN, LIGHT, own]
        assert wrong == []


@pytest.fixture
def page(browser, live_server, scene):
    wrong = []
    with page_of(browser, live_server, wrong, "P-SAF", viewport={"width": 360, "height": 800}) as page:
        yield page
    assert wrong == []


class TestTheMasthead:
    pytestmark = browsed

    def test_on_a_phone_it_leaves_the_page_its_room(self, page):
        page.goto("/")
        assert page.locator(".masthead").bounding_box()["height"] <= 56

    def test_its_ways_unfold_without_a_mouse(self, page):
        page.goto("/permits/")
        page.locator(".folded-ways summary").focus()
        page.keyboard.press("Enter")
        page.get_by_role("link", name="Records").click()
        page.wait_for_url("**/records/")

    @pytest.mark.parametrize(("address", "words", "current"), [("/permits/", "Permits", "page"), ("/permits/PD-1/", "Permits", "true"), ("/", "Today", "page")])
    def test_it_marks_where_the_page_belongs(self, page, address, words, current):
        page.goto(address)
        marked = page.locator(".all-ways [aria-current]")
        assert (marked.all_text_contents(), marked.get_attribute("aria-current")) == ([words], current)


class TestThePrint:
    pytestmark = browsed

    @pytest.mark.parametrize("address", ["/", "/permits/PD-1/", "/records/awards/", "/cover/", "/mine/"])
    def test_a_page_prints_black_on_white_without_what_can_only_be_pressed(self, page, address):
        page.goto(address)
        page.evaluate("document.documentElement.dataset.light = 'dark'")
        page.emulate_media(media="print")
        inks = "() => ['h1', 'main a', 'main p'].map((one) => getComputedStyle(document.querySelector(one)).color)"
        assert page.evaluate(SEEN) == list(SUN)
        assert set(page.evaluate(inks)) <= {"rgb(0, 0, 0)", "rgb(51, 51, 51)"}
        assert page.locator("nav, .acts, .sieve, .lights, .folded-ways, button").locator("visible=true").count() == 0
