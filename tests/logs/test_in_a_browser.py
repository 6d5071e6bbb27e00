"""A log brought in with a real browser, each step looked at in every light, and the pages that show it."""

import pytest

from tests.journeys.browsing import DESK, faults, looks, page_of
from tests.logs.walked import EVERYWHERE, rows, text

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
CHOSEN = {
    "Column of the time": "1: when",
    "How times are written": "day first, as 04/03/2027 16:05:30 for 4 March",
    "Column of the mode": "2: what",
    "Column of the reading": "3: strength",
    "Positions": "metres of the site's own grid, x and y",
    "Column of x, or longitude": "4: east",
    "Column of y, or latitude": "5: north",
}
MEANT = {"“P50” means": "passive power", "“R” means": "passive radio", "“IND” means": "induction"}


def choose(page, answers):
    for label, words in answers.items():
        page.get_by_label(label, exact=False).select_option(label=words)


@pytest.mark.parametrize("viewport", [{"width": 320, "height": 800}, DESK])
def test_a_log_is_mapped_and_kept_and_shown(browser, live_server, scene, tmp_path, viewport):
    file, wrong = tmp_path / "walk.csv", []
    file.write_text(text(rows(("P50", "IND")), rows(("R",), EVERYWHERE[:100])))
    with page_of(browser, live_server, wrong, "P-OPE", viewport=viewport) as page:
        wrong += faults(page, page.goto("/records/locates/L-1/"))
        page.get_by_role("link", name="Add a receiver’s log").click()
        page.get_by_label("The log").set_input_files(file)
        page.get_by_role("button", name="Go on").click()
        wrong += looks(page)
        page.get_by_label("Decimals are written with a").select_option("yes")
        page.get_by_role("button", name="Read it so").click()
        choose(page, CHOSEN)
        page.get_by_role("button", name="Go on").click()
        assert "Which column is what?" in page.inner_text("h1")
        wrong += looks(page)
        page.get_by_label("By which clock").select_option("site")
        page.get_by_role("button", name="Go on").click()
        wrong += looks(page)
        choose(page, MEANT)
        page.get_by_label("A name for this layout").fill("yard receiver")
        page.get_by_role("button", name="Keep it").click()
        wrong += looks(page)
        assert "1 difference" in page.inner_text("main")
        assert page.locator("figure svg").count() == 3
        wrong += [one for address in ("/logs/", "/layouts/", "/layouts/LY-1/", "/records/locates/L-1/") for one in faults(page, page.goto(address))]
    assert wrong == []


def test_what_is_wrong_with_a_file_is_shown_where_it_is_read(browser, live_server, scene, tmp_path):
    file, wrong = tmp_path / "walk.csv", []
    file.write_text(text(["05/13/2027 07:30:00;P50;1;95;95"]))
    with page_of(browser, live_server, wrong, "P-OPE") as page:
        page.goto("/logs/add/L-1/")
        page.get_by_label("The log").set_input_files(file)
        page.get_by_role("button", name="Go on").click()
        choose(page, CHOSEN)
        page.get_by_label("By which clock").select_option("site")
        page.get_by_role("button", name="Go on").click()
        wrong += looks(page)
        assert "Row 2, column 1: when" in page.inner_text("main")
        assert page.get_by_role("button", name="Keep it").count() == 0
        page.get_by_role("link", name="Say otherwise how it is written").click()
        page.get_by_label("How times are written").select_option("month_first")
        page.get_by_role("button", name="Go on").click()
        assert "13 May 2027 07:30" in page.inner_text("main")
    assert wrong == []
