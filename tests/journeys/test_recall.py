"""A day on which an instrument proves bad, in a browser: the calibration is entered, what rests on it is suspended and decided on, and nothing is left."""

import pytest

from locates.life.models import Step
from locates.recall.models import Decision
from tests.journeys.browsing import DESK, page_of
from tests.recall.doing import signed

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def manager(browser, live_server, scene):
    signed()
    wrong = []
    with page_of(browser, live_server, wrong, "P-SAF", viewport=DESK) as page:
        yield page
    assert wrong == []


def test_from_the_certificate_to_the_last_decision(manager):
    manager.goto("/enter/calibrations/?instrument=I-R1")
    manager.get_by_label("Identifier").fill("K-BAD")
    manager.locator("[name=as_found][value=out_of_tolerance]").check()
    manager.locator("[name=as_left][value=in_tolerance]").check()
    for _ in range(2):  # what it would do to open permits is said before it is written
        manager.locator("main form button[type=submit]").first.click()
    assert manager.url.endswith("/records/calibrations/K-BAD/")

    manager.goto("/")
    assert "1 live permit" in manager.inner_text("main")
    manager.get_by_role("link", name="2 undecided").click()
    manager.get_by_role("link", name="Receiver I-R1").click()
    assert manager.locator(".resting .name").all_inner_texts() == ["Permit PD-1", "Locate L-1"]
    assert "Live" in manager.locator(".resting .word").first.inner_text()

    manager.get_by_role("button", name="Suspend the live permit").click()
    assert "Suspended: PD-1. Their people are told." in manager.inner_text("main")
    manager.get_by_label("Decide of permit PD-1").check()
    manager.get_by_label("Decide of locate L-1").check()
    manager.get_by_label("To be located again").check()
    manager.get_by_label("Why").fill("Olu searches it again tomorrow with another receiver.")
    manager.get_by_role("button", name="Decide", exact=True).click()
    assert "Decided of 2: To be located again." in manager.inner_text("body")
    assert "none of them undecided" in manager.inner_text("main")

    manager.goto("/")
    manager.get_by_role("link", name="all decided").click()
    assert "0 live permits, 0 undecided" in manager.inner_text("main")
    manager.goto("/permits/PD-1/")
    assert "Olu searches it again tomorrow with another receiver." in manager.inner_text("main")
    assert [(one.act, one.person_id) for one in Step.objects.all()] == [("forbid", "P-SAF")]
    assert Decision.objects.count() == 2
