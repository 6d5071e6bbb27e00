"""Recording where there is no line: what is handed in waits on the phone, and arrives once, in order, with the time at which it was done."""

import re
from datetime import timedelta

import pytest
from django.contrib.sessions.models import Session

from records.ledger.models import Entry
from tests import cast
from tests.journeys.browsing import looks, page_of
from tests.journeys.phones import offline, online, signs_in, until

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True), pytest.mark.urls("tests.outbox_site")]
KEY = "0b0e3a52-1d41-4b0e-9d0a-5f4f5f0c7a11"
LOCATE = f"/field/{KEY}/"
OTHER = "/field/1b0e3a52-1d41-4b0e-9d0a-5f4f5f0c7a11/"
SENT = "Outbox.all().then((some) => !some.length)"


def records(page, ground, what="sweep", picture=None):
    form = page.locator(f"#{what}")
    form.get_by_label("Ground").fill(ground)
    if picture:
        form.get_by_label("Photograph").set_input_files(picture)
    form.get_by_role("button", name=f"Record the {what}").click()


def kept(page, ground, what="sweep", **more):
    records(page, ground, what, **more)
    page.locator(f"#{what}").get_by_text("Kept on this phone.").wait_for()


def recorded():
    return list(Entry.objects.order_by("seq").values_list("act", "label"))


def test_with_a_line_a_piece_is_recorded_at_once_and_said_so(phone):
    page = phone()
    page.goto(LOCATE)
    records(page, "ground 17")
    page.get_by_text("The sweep is recorded.").wait_for()
    assert recorded() == [("sweep.created", "ground 17")]
    assert page.evaluate(SENT) and page.locator("[data-unsent]").is_hidden()


def test_what_is_recorded_without_a_line_arrives_once_in_order_after_the_phone_was_closed(phone):
    page = phone()
    page.goto(LOCATE)
    offline(page)
    kept(page, "first", picture={"name": "a.jpg", "mimeType": "image/jpeg", "buffer": b"x" * 70_000})
    kept(page, "second", "trace")
    context = page.context
    page.close()
    page = context.new_page()
    assert page.goto(LOCATE).status == 200
    kept(page, "third")
    assert page.locator("[data-unsent]").inner_text() == "3 not yet sent"
    assert page.locator(".waiting .name").all_inner_texts() == ["Sweep", "Trace", "Sweep"]
    assert page.locator(".waiting dd").all_text_contents() == ["first", "a.jpg", "second", "third"]
    assert re.match(r"On this phone, not yet sent: \d\d:\d\d, \d\d:\d\d\.", page.locator("#sweep + p").inner_text())
    assert recorded() == []
    online(page)
    until(page, SENT)
    assert recorded() == [("sweep.created", "first"), ("trace.created", "second"), ("sweep.created", "third")]
    assert '"pictures":[70000]' in Entry.objects.get(label="first").body
    page.reload()
    assert recorded()[3:] == [] and page.locator("[data-unsent]").is_hidden()


def test_its_time_is_when_it_was_recorded_though_the_phones_clock_is_wrong(phone, hands):
    page = phone()
    page.clock.install()
    page.goto(LOCATE)
    offline(page)
    page.clock.pause_at("2031-01-01T12:00:00Z")
    kept(page, "ground 17")
    page.clock.fast_forward("02:00:00")
    hands.at = cast.AT + timedelta(hours=2)
    online(page)
    until(page, SENT)
    (entry,) = Entry.objects.all()
    assert abs(entry.recorded_at - hands.at) < timedelta(seconds=5)
    assert entry.happened.startswith("2027-03-03T19:") and entry.happened >= "2027-03-03T19:28"


def test_an_answer_that_was_lost_makes_no_second_record(phone):
    page, lost = phone(), []
    page.goto(LOCATE)

    def lose(route):
        route.fetch()
        lost.append(route)
        route.abort()

    page.route("**/sweep/", lose, times=1)
    kept(page, "ground 17")
    assert (len(lost), recorded()) == (1, [("sweep.created", "ground 17")])
    page.get_by_role("button", name="Send now").click()
    until(page, SENT)
    assert recorded() == [("sweep.created", "ground 17")]


def test_a_server_that_fails_at_one_locate_does_not_keep_back_another(phone):
    page = phone()
    page.goto(LOCATE)
    page.route(f"**{LOCATE}sweep/", lambda route: route.fulfill(status=500, body="broken"))
    kept(page, "ground 17")
    page.goto(OTHER)
    records(page, "elsewhere")
    page.get_by_text("The sweep is recorded.").wait_for()
    assert recorded() == [("sweep.created", "elsewhere")]
    page.unroute_all()
    page.reload()
    until(page, SENT)
    assert recorded()[1:] == [("sweep.created", "ground 17")]


def test_two_windows_send_it_once(phone):
    page = phone()
    page.goto(LOCATE)
    offline(page)
    for ground in ("first", "second", "third"):
        kept(page, ground)
    others = [page.context.new_page() for _ in range(2)]
    for one in others:
        one.goto(LOCATE)
    online(page)
    until(page, SENT)
    assert [label for _, label in recorded()] == ["first", "second", "third"]


def test_with_the_session_over_it_is_kept_and_sent_once_the_person_is_back(phone):
    page = phone()
    page.goto(LOCATE)
    Session.objects.all().delete()
    records(page, "ground 17")
    page.get_by_text("Kept on this phone. Sign in again, and it is sent.").wait_for()
    assert recorded() == []
    page.get_by_role("link", name="Sign in, and it is sent.").click()
    before = page.context.cookies()
    signs_in(page, "P-OPE")
    until(page, SENT)
    assert recorded() == [("sweep.created", "ground 17")]
    token = {one["name"]: one["value"] for one in page.context.cookies()}["csrftoken"]
    assert token not in [one["value"] for one in before]


def test_a_token_that_is_gone_is_fetched_anew(phone):
    page = phone()
    page.goto(LOCATE)
    page.context.clear_cookies(name="csrftoken")
    records(page, "ground 17")
    page.get_by_text("The sweep is recorded.").wait_for()
    assert recorded() == [("sweep.created", "ground 17")]


def test_what_is_wrong_is_said_at_the_field_and_holds_back_only_its_own_locate(phone):
    page = phone()
    page.goto(LOCATE)
    offline(page)
    kept(page, "wrong", picture={"name": "a.jpg", "mimeType": "image/jpeg", "buffer": b"x" * 9})
    kept(page, "behind it", "trace")
    page.goto("/phone/")
    online(page)
    page.goto(OTHER)
    records(page, "elsewhere")
    page.get_by_text("The sweep is recorded.").wait_for()
    assert recorded() == [("sweep.created", "elsewhere")]
    page.locator("[data-unsent]").click()
    page.get_by_role("link", name="Mend it").click()
    page.locator("#sweep [aria-invalid=true]").wait_for()  # not on the page that goes
    field = page.locator("#sweep").get_by_label("Ground")
    assert (field.input_value(), field.get_attribute("aria-invalid")) == ("wrong", "true")
    assert "three corners were expected" in page.locator("#sweep").inner_text()
    records(page, "ground 17")
    until(page, SENT)
    assert recorded()[1:] == [("sweep.created", "ground 17"), ("trace.created", "behind it")]
    assert '"pictures":[9]' in Entry.objects.get(label="ground 17").body


@pytest.mark.parametrize(("decision", "left"), [("Send mine all the same", [("sweep.created", "theirs")]), ("Drop it", [])])
def test_where_somebody_was_quicker_both_are_shown_and_the_person_decides(phone, decision, left):
    page = phone()
    page.goto(LOCATE)
    records(page, "theirs")
    page.get_by_text("Yours or theirs").wait_for()
    assert "Somebody else recorded this ground since." in page.locator(".waiting").inner_text()
    assert [page.locator(f"[data-{whose}]").inner_text() for whose in ("mine", "theirs")] == ["Ground\ntheirs", "Ground\nanother"]
    assert [*looks(page)] == []
    page.once("dialog", lambda asked: asked.accept())
    page.get_by_role("button", name=decision).click()
    until(page, SENT)
    assert recorded() == left


def test_signing_out_warns_of_what_is_not_sent_and_drops_it_only_then(phone):
    page, asked = phone(), []
    page.goto(LOCATE)
    records(page, "wrong")
    page.locator("[data-fault]").wait_for()
    for answer in ("dismiss", "accept"):
        page.once("dialog", lambda one, answer=answer: (asked.append(one.message), getattr(one, answer)()))
        if not page.locator(".folded-ways[open]").count():
            page.locator(".folded-ways summary").click()
        page.locator(".folded-ways").get_by_role("button", name="Sign out").click()
        if answer == "dismiss":
            assert page.url.endswith(LOCATE) and not page.evaluate(SENT)
    page.wait_for_url("**/sign-in/")
    assert "1 piece of work is on this phone and not yet sent" in asked[0]
    assert page.evaluate(SENT)


def test_another_person_neither_sees_nor_sends_it_and_is_warned_before_it_goes(phone):
    page, asked = phone(), []
    page.goto(LOCATE)
    offline(page)
    kept(page, "ground 17")
    page.context.clear_cookies()
    online(page)
    until(page, "Outbox.all().then((some) => some[0].state === Outbox.DOOR)")  # what it was answered with brings cookies of its own
    page.goto("/sign-in/")
    page.on("dialog", lambda one: (asked.append(one.message), one.dismiss() if len(asked) == 1 else one.accept()))
    with page.expect_event("dialog"):
        signs_in(page, "P-ISS")
    assert page.url.endswith("/sign-in/")
    assert "P-OPE has not sent yet" in asked[0]
    signs_in(page, "P-ISS")
    page.wait_for_url("**/")
    until(page, SENT)
    assert recorded() == [] and "ground 17" not in page.content()


def test_who_comes_in_past_the_warning_sees_how_much_waits_and_nothing_of_it(phone):
    page = phone()
    page.goto(LOCATE)
    offline(page)
    kept(page, "ground 17")
    Session.objects.all().delete()
    online(page)
    page.goto("/sign-in/")
    page.evaluate("document.querySelector('[name=username]').value = 'P-ISS'")
    page.get_by_label("Password").fill(cast.PASSWORD)
    page.evaluate("document.querySelector('form[data-sign-in]').submit()")
    page.get_by_text("somebody else recorded (P-OPE)").wait_for()
    assert "ground 17" not in page.content() and page.locator("[data-unsent]").is_hidden()
    assert not page.evaluate(SENT) and recorded() == []


def test_without_javascript_the_same_form_posts_as_any_other(browser, live_server, scene):
    with page_of(browser, live_server, [], "P-OPE", java_script_enabled=False) as page:
        page.goto(LOCATE)
        records(page, "ground 17")
        page.get_by_text("The sweep is recorded.").wait_for()
    assert recorded() == [("sweep.created", "ground 17")]
