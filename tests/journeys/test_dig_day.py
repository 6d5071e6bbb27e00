"""A day at the dig by touch on a phone 360 pixels wide: the look-over in two taps, with a line and without; and a stop that shows on the paper's own page."""

from datetime import timedelta

import pytest

from locates.life.models import Step
from locates.lookovers.models import DiaryRow
from locates.papers.actions import issue_paper
from locates.papers.rules import mark_of
from locates.permits.actions import preview, sign
from records.firm.models import Person
from tests import cast
from tests.journeys.browsing import looks, page_of
from tests.journeys.phones import offline, online, taken, until
from tests.journeys.test_by_touch import Thumb

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
SMALL = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}
SENT = "Outbox.all().then((some) => !some.length)"
ALL_WELL = "All as it should be"


@pytest.fixture
def signed(scene, hands, settings, tmp_path):
    """PD-1 as both have signed it, an hour later; the clock's hands."""
    settings.FILES_FOLDER = str(tmp_path)
    for meaning, person in (("issue", "P-ISS"), ("accept", "P-REC")):
        sign("PD-1", person, meaning, cast.AT, preview("PD-1", cast.AT).seen)
    hands.at += timedelta(hours=1)
    return hands


def verdict(page):
    return page.locator("h2.verdict").inner_text().strip()


@pytest.mark.parametrize("begins", ["/", "/permits/PD-1/"])
def test_a_look_over_takes_two_taps(signed, phone, begins):
    page = phone("P-REC", **SMALL)
    page.goto(begins)
    thumb = Thumb(page)
    thumb.tap(page.get_by_role("link", name="Look it over").first)
    page.get_by_role("heading", name="Look it over").wait_for()
    assert [*looks(page)] == []
    thumb.sends(ALL_WELL, "The look-over is recorded: all as it should be.")
    assert (thumb.taps, DiaryRow.objects.get().kind, verdict(page)) == (2, "look_over", "In force")
    assert page.get_by_text("nobody digs before it").count() == 0


def test_without_a_line_it_is_kept_on_the_phone_and_sent_once(signed, phone):
    page = phone("P-REC", **SMALL)
    taken(page)
    offline(page)
    page.goto("/permits/PD-1/look-over/")
    page.get_by_role("button", name=ALL_WELL).tap()
    page.get_by_text("Kept on this phone. It is sent as soon as there is a line.").wait_for()
    assert page.locator(".waiting .name").all_inner_texts() == ["Look-over of permit PD-1: all as it should be"]
    assert not DiaryRow.objects.exists()
    online(page)
    until(page, SENT)
    page.reload()
    assert DiaryRow.objects.get().person_id == "P-REC"


def test_what_is_not_so_is_recorded_by_touch_and_stops_the_work(signed, phone):
    page = phone("P-CR1", **SMALL)
    page.goto("/permits/PD-1/look-over/")
    thumb = Thumb(page)
    thumb.tap(page.get_by_text("Something is not so"))
    thumb.tap(page.get_by_label("The marks cannot all be read"))
    thumb.type(page.get_by_label("What you see"), "Sand over the north end.")
    thumb.type(page.get_by_label("What you did about it"), "Sent everyone off.")
    thumb.sends("Record it and stop the work", "Recorded, and the work is stopped.")
    assert (verdict(page), Step.objects.get().act) == ("Suspended", "halt")


def test_suspended_at_the_dig_the_papers_own_page_says_so_to_anyone_until_the_work_is_resumed(signed, phone, browser, live_server):
    paper = issue_paper("PD-1", Person.objects.get(person="P-REC"), f"{live_server.url}/", signed.at)
    strange = []
    with page_of(browser, live_server, strange, **SMALL) as public:
        public.goto(f"/p/{paper.key}/{mark_of(paper.told)}/")
        assert verdict(public) == "Holds now"
        page = phone("P-REC", **SMALL)
        page.goto("/permits/PD-1/steps/suspend/")
        thumb = Thumb(page)
        thumb.type(page.get_by_label("Why"), "A cable that no plan shows.")
        thumb.type(page.get_by_label("How the work is left"), "Open to 0.6 m, fenced and covered.")
        thumb.type(page.get_by_label("Your password"), cast.PASSWORD)
        thumb.sends("I declare this. Suspend it", "Done: Marek Tane suspended it.")
        public.reload()
        assert (verdict(public), public.get_by_text("Since 4 Mar 2027 09:30").count()) == ("Suspended", 1)
        assert public.get_by_text("cable").count() == 0
        signed.at += timedelta(minutes=30)
        issuer = phone("P-ISS", **SMALL)
        issuer.goto("/permits/PD-1/steps/resume/")
        thumb = Thumb(issuer)
        thumb.type(issuer.get_by_label("Why"), "Traced, and outside the dig.")
        thumb.type(issuer.get_by_label("Your password"), cast.PASSWORD)
        thumb.sends("I declare this. Resume it", "Done: Ines Harrow resumed it.")
        assert issuer.get_by_text("nobody digs before it").count() > 0
        public.reload()
        assert verdict(public) == "Holds now"
        assert [*looks(public)] == []
    assert strange == []
