"""A whole locate by touch alone on a phone 360 pixels wide, from start to signed, in fewer than forty taps for a dig with two services."""

from datetime import timedelta

import pytest

from locates.permits.actions import preview
from locates.permits.models import Permit
from locates.surveys.models import Locate, PlanService
from tests import cast

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
FEWER_THAN = 40


class Thumb:
    """Touches, and counts."""

    def __init__(self, page):
        self.page, self.taps = page, 0

    def tap(self, one):
        one.scroll_into_view_if_needed()
        one.tap()
        self.taps += 1

    def button(self, name, within=None):
        self.tap((within or self.page).get_by_role("button", name=name, exact=True))

    def sends(self, name, words, within=None):
        """Touch the button; the page that comes then says these words. (What is touched too early would be touched on the page that goes.)"""
        self.page.evaluate("document.documentElement.dataset.goes = 'yes'")
        self.button(name, within)
        self.page.locator("html:not([data-goes])").get_by_text(words).first.wait_for()

    def type(self, field, text):
        """A tap to come into the field; the keys are none."""
        self.tap(field)
        field.fill(text)

    def draw(self, form, *spots):
        """A line on the sketch of the form."""
        self.tap(form.get_by_text("Draw the line", exact=True))
        ground = form.locator(".sketch-ground")
        form.locator(".ol-viewport").wait_for()
        self.button("Draw", form)
        for across, down in spots:
            ground.scroll_into_view_if_needed()
            box = ground.bounding_box()
            self.page.touchscreen.tap(box["x"] + across * box["width"], box["y"] + down * box["height"])
            self.taps += 1


def traced(thumb, page, service, places, depth, raised):
    """One service traced on the sketch, with its depth read twice."""
    thumb.tap(page.locator(f"#service-{service} summary").first)
    form = page.locator(f"#service-{service} form[data-piece=trace]")

    thumb.draw(form, *places)
    thumb.type(form.get_by_label("Depth read, metres"), depth)
    thumb.type(form.get_by_label("Depth read then, metres"), raised)
    thumb.sends("Record the line", "The line is recorded.", form)


def test_a_locate_of_two_services_by_touch(phone, hands):
    PlanService.objects.create(service="V-2", enquiry_id="E-1", utility="telecom", conductive=True, recorded_at=cast.RECORDED)
    page = phone("P-OPE", has_touch=True, viewport={"width": 360, "height": 740})
    page.goto("/field/begin/S-1/?dig=PD-1")
    thumb = Thumb(page)
    thumb.sends("Begin now", "is begun.")
    thumb.sends("I have looked at all of them", "The plans that were looked at are recorded.")
    for instrument in ("I-R1", "I-T1"):
        thumb.sends(f"{instrument} passed", f"{instrument} passed its check before use.")
    for technique in ("passive_power", "passive_radio"):
        thumb.sends("Swept as told", f"Swept by {technique.replace('_', ' ')}: recorded.", page.locator(f"#fold-{technique}"))
    traced(thumb, page, "V-1", ((0.2, 0.3), (0.2, 0.8)), "0.8", "1.3")
    traced(thumb, page, "V-2", ((0.7, 0.3), (0.7, 0.8)), "0.6", "1.1")
    thumb.tap(page.get_by_label("paint"))
    thumb.sends("Record the marks", "The marks are recorded.")
    hands.at = cast.AT + timedelta(hours=1)
    thumb.type(page.get_by_label("Your password"), cast.PASSWORD)
    thumb.sends("Finish and sign as Olu Hale", "is finished, and no longer changes.")
    assert thumb.taps + 2 < FEWER_THAN  # and two to open the locate's page and its site
    locate = Locate.objects.exclude(pk="L-1").get()
    assert locate.traces.count() == 2
    Permit.objects.update(locate=locate)
    assert preview("PD-1", hands.at).verdict.blocks == ()
