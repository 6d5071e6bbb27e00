"""A phone in somebody's hand: with the worker at work on it, with a line and without."""

import re
from contextlib import suppress

import pytest
from playwright.sync_api import Error

from tests import cast

READY = "navigator.serviceWorker.controller !== null"
KEPT = "Kept.list().then((some) => some.map((one) => one.address).sort())"


def until(page, expression):
    """Wait until it holds. Asked from outside: the policy lets no script ask itself in a loop."""
    for _ in range(100):
        with suppress(Error):  # another page has come
            if page.evaluate(expression):
                return
        page.wait_for_timeout(50)
    pytest.fail(f"{expression} never held")


def taken(page):
    page.goto("/phone/")
    page.get_by_role("button", name="Take it with you").click()
    page.get_by_text(re.compile(r"^All \d+ are on this phone")).wait_for()


def offline(page):
    page.context.set_offline(True)


def signs_in(page, person):
    page.get_by_label("Your identifier").fill(person)
    page.get_by_label("Password").fill(cast.PASSWORD)
    page.get_by_role("button", name="Sign in").click()


def online(page):
    page.context.set_offline(False)
