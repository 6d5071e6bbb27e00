"""The guided locate where there is no line: begun, recorded and read on the phone alone, and sent once there is one."""

import re
from datetime import timedelta

import pytest

from locates.fieldwork.models import FieldSheet
from locates.surveys.models import Locate, Sweep
from records.ledger.models import Entry
from tests import cast
from tests.journeys.browsing import looks
from tests.journeys.locating import SHEET, begun, whole
from tests.journeys.phones import offline, online, taken, until
from tests.journeys.test_underlay import laid

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
SENT = "Outbox.all().then((some) => !some.length)"
GUIDE = f"/field/{SHEET}/"


def opened(page, step):
    fold = page.locator(f"#fold-{step}")
    if fold.get_attribute("open") is None:
        fold.locator("summary").first.click()
    return fold


def test_a_locate_is_begun_and_recorded_without_a_line_and_arrives_once(phone):
    page = phone()
    taken(page)
    offline(page)
    page.goto("/field/begin/S-1/")
    page.get_by_label("Receiver").select_option("I-R1")
    page.get_by_role("button", name="Begin now").click()
    page.wait_for_url(re.compile(r"/field/[0-9a-f-]{36}/$"))
    assert page.locator("h1").inner_text() == "A locate begun on this phone"
    fold = opened(page, "plans")
    fold.get_by_role("button", name="I have looked at all of them").click()
    fold.get_by_text("Kept on this phone.").wait_for()
    here, context = page.url, page.context
    page.close()
    page = context.new_page()
    page.goto(here)
    assert "this locate was begun on this phone at" in page.locator(".told.kept").inner_text()
    assert page.locator(".waiting .name").all_inner_texts() == ["Begin the locate", "The plans looked at"]
    assert [*looks(page)] == []
    fold = opened(page, "marks")
    fold.get_by_label("paint").check()
    fold.get_by_role("button", name="Record the marks").click()
    fold.get_by_text("Kept on this phone.").wait_for()
    assert not FieldSheet.objects.exists()
    online(page)
    until(page, SENT)
    sheet = FieldSheet.objects.get()
    assert (here.split("/")[-2], sheet.locate.operator_id, sheet.marks) == (sheet.pk, "P-OPE", ("paint",))
    assert sorted(sheet.plans_seen.values_list("pk", flat=True)) == ["E-1", "E-2"]
    assert Locate.objects.count() == 2
    page.goto(here)
    assert page.locator("h1").inner_text() == f"Locate {sheet.locate_id}"


def test_a_locate_under_way_is_gone_on_with_without_a_line(phone, as_person, settings, tmp_path):
    settings.FILES_FOLDER = str(tmp_path)
    client = as_person("P-OPE")
    begun(client)
    laid(client)
    page = phone()
    taken(page)
    offline(page)
    page.goto(GUIDE)
    for technique in ("passive_power", "passive_radio"):
        fold = opened(page, technique)
        fold.get_by_role("button", name="Swept as told").click()
        fold.get_by_text("Kept on this phone.").wait_for()
    assert page.evaluate(f"fetch('{GUIDE}sketch.json').then((answer) => answer.json()).then((told) => told.type)") == "FeatureCollection"
    picture = f"fetch('{GUIDE}sketch.json').then((answer) => answer.json()).then((told) => fetch(told.underlay.src)).then((answer) => answer.status)"
    assert page.evaluate(picture) == 200
    online(page)
    until(page, SENT)
    assert sorted(Sweep.objects.exclude(locate="L-1").values_list("technique", "bearing_deg")) == [
        ("passive_power", 0),
        ("passive_power", 90),
        ("passive_radio", 0),
        ("passive_radio", 90),
    ]


def test_what_is_wrong_with_a_piece_is_said_at_its_field(phone, as_person):
    begun(as_person("P-OPE"))
    page = phone()
    page.goto(GUIDE)
    fold = opened(page, "dig")
    fold.get_by_text("Change it").click()
    fold.get_by_label("Outline").fill("1 1\n2 2")
    fold.get_by_role("button", name="Record the dig").click()
    page.locator("#fold-dig [data-fault]").wait_for()
    assert page.locator("#fold-dig [name=outline]").get_attribute("aria-invalid") == "true"


def test_finishing_needs_the_line_and_that_nothing_waits(phone, as_person, hands):
    whole(as_person("P-OPE"))
    hands.at = cast.AT + timedelta(hours=1)
    page = phone()
    page.goto(GUIDE)
    offline(page)
    finish = opened(page, "sign")
    finish.get_by_label("Your password").fill(cast.PASSWORD)
    finish.get_by_role("button", name="Finish and sign").click()
    finish.get_by_text("This needs the line, and there is none").wait_for()
    page.route("**/marks/", lambda route: route.abort())
    fold = opened(page, "marks")
    fold.get_by_role("button", name="Record the marks").click()
    fold.get_by_text("Kept on this phone.").wait_for()
    online(page)
    finish.get_by_role("button", name="Finish and sign").click()
    finish.get_by_text("1 piece of work is not yet sent").wait_for()
    assert not Entry.objects.filter(act="locate.finished").exists()
    page.unroute("**/marks/")
    page.get_by_role("button", name="Send now").click()
    until(page, SENT)
    finish.get_by_role("button", name="Finish and sign").click()
    page.wait_for_url("**/records/locates/*/")
    assert Entry.objects.filter(act="locate.finished").exists()
