"""The pages of letters and of what is told ahead, in a real browser, with something on them."""

import pytest

from locates.watch.actions import tell_ahead
from records.letters.actions import deliver
from tests import cast
from tests.journeys.browsing import DESK, faults, page_of
from tests.watch.conftest import award, firm

__all__ = ["firm"]
pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.mark.parametrize("options", [{}, {"viewport": DESK}])
def test_nothing_is_wrong_with_them(browser, live_server, firm, options):
    award("A-1", "P-CR1", 14)
    tell_ahead(cast.AT)
    deliver(cast.AT, limit=1)
    wrong = []
    with page_of(browser, live_server, wrong, "P-SAF", **options) as page:
        for address in ("/letters/?state=lost", "/letters/", "/told-ahead/", "/account/told-ahead/", "/account/"):
            wrong += [(address, *what) for what in faults(page, page.goto(address))]
            if address == "/letters/":
                page.locator("li details").first.evaluate("one => one.open = true")
                assert "Digging (A-1)" in page.locator("blockquote").first.inner_text()
    assert wrong == []
