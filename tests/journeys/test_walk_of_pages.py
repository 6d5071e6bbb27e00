"""Every page in a real browser, in every light: accessibility rules, no sideways scroll at 320 px, nothing asked elsewhere, no complaint, the strict policy."""

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from locates.desks.actions import new_key
from locates.permits.actions import preview, sign
from records.books.catalogue import books
from records.firm.models import Person, Rule
from tests import cast
from tests.elsewhere import elsewhere, near
from tests.house.source import ROOT
from tests.journeys.test_walk_of_roles import ADDRESSES, HERE, SLUGS, THINGS

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
AXE = (ROOT / "tests/vendor/axe-core/axe.min.js").read_text()
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
LIGHTS = ("light", "dark", "sunlight")
NARROW = {"width": 320, "height": 800}
# what is no page: files, what takes only a POST, what leads on
NO_PAGES = {
    *("favicon", "light", "sign_out", "feed", "feed_made", "feed_ended", "end_visit", "sign_somebody_out", "end_somebodys_factor", "file", "of_kind"),
    *("competence", "competence_of", "permits_csv", "history_csv", "kit_due_csv", "cover_csv", "cover_pdf", "ahead_csv", "ahead_pdf", "permit_pdf"),
    *("signed_pdf", "book_csv", "code", "choose_password", "second_factor_off", "strike", "set_up"),
}
DOORS = {"sign_in", "forgotten"}
OF_BOOKS = {"book", "leaf", "enter", "many", "correct", "add_file", "end"}
ALSO = ("/prepare/?site=S-1&locate=L-1", "/prepare/?like=PD-1", "/permits/?verdict=blocked", "/cover/?gaps=yes&sort=gaps", "/records/awards/?search=nothing")


def bare(name):
    """The address of a page that is about one record or none."""
    if name in ("signed",):
        return reverse(name, args=["PD-5", "issue"])
    needs = ADDRESSES[name]
    kind = needs[1] if needs else ""
    args = {"entry": [1], "check": ["I-R1"]}.get(name, [THINGS[kind][HERE].key] if kind else [])
    return reverse(name, args=args)


def of_books(stage):
    for kind, slug in SLUGS.items():
        book, key = books()[slug], stage.get(THINGS[kind][HERE].key, THINGS[kind][HERE].key)
        yield from (reverse("book", args=[slug]), reverse("enter", args=[slug]), reverse("leaf", args=[slug, key]), reverse("correct", args=[slug, key]))
        if book.many:
            yield reverse("many", args=[slug])
        if book.files:
            yield reverse("add_file", args=[slug, key])
        yield from (reverse("end", args=[slug, key, end.column]) for end in book.ends if kind != "enquiry")


@pytest.fixture
def stage(scene):
    elsewhere()
    keys = {"outcome here": near().pk, "rule": Rule.objects.get().pk}
    cast.permit("PD-5")
    sign("PD-5", "P-ISS", "issue", cast.AT, preview("PD-5", cast.AT).seen)
    new_key(Person.objects.get(person="P-OPE"), cast.AT)
    return keys


def cookie(client, server):
    return {"name": settings.SESSION_COOKIE_NAME, "value": client.cookies[settings.SESSION_COOKIE_NAME].value, "url": server.url}


@pytest.fixture
def looked_at(browser, live_server, stage):
    """What is wrong with the pages at these addresses, as one person sees them."""

    def look(person, addresses):
        context, wrong = browser.new_context(viewport=NARROW, base_url=live_server.url), []
        if person:
            client = Client()
            client.force_login(Person.objects.get(person=person))
            context.add_cookies([cookie(client, live_server)])
        page = context.new_page()
        page.on("console", lambda said: wrong.append((page.url, said.text)) if said.type in ("error", "warning") else None)
        page.on("pageerror", lambda error: wrong.append((page.url, str(error))))
        page.on("request", lambda asked: None if asked.url.startswith((live_server.url, "data:", "blob:", "chrome")) else wrong.append(asked.url))
        for address in addresses:
            wrong += [(address, *what) for what in faults(page, page.goto(address))]
        context.close()
        return wrong

    return look


def faults(page, answered):
    """What is wrong with one page: its answer, its width, its outline, and in each light what the rules find."""
    if answered.status != 200:
        yield "status", answered.status
        return
    policy = answered.headers.get("content-security-policy", "")
    if "default-src 'self'" not in policy or "unsafe" in policy:
        yield "policy", policy
    if page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth"):
        yield "sideways", page.evaluate("document.documentElement.scrollWidth")
    if page.locator("h1").count() != 1 or not page.title() or not page.locator("html").get_attribute("lang"):
        yield "outline", page.title()
    page.evaluate(AXE)
    for light in LIGHTS:
        page.evaluate("light => { document.documentElement.dataset.light = light }", light)
        # the light changes colours alone: what else the rules ask is looked at once
        asked = {"type": "tag", "values": RULES} if light == LIGHTS[0] else {"type": "rule", "values": ["color-contrast"]}
        found = page.evaluate("asked => axe.run({runOnly: asked})", asked)
        yield from ((light, one["id"], one["nodes"][0]["html"][:200]) for one in found["violations"])


def test_no_page_is_forgotten():
    assert {name for name, needs in ADDRESSES.items() if needs is None} <= OF_BOOKS | NO_PAGES | {"signed"}


def test_the_pages_of_everyone(looked_at):
    names = set(ADDRESSES) - NO_PAGES - DOORS - OF_BOOKS - {"sign"}
    assert looked_at("P-SAF", [*sorted(bare(name) for name in names), *ALSO]) == []


def test_the_books(looked_at, stage):
    assert looked_at("P-SAF", of_books(stage)) == []


def test_the_pages_of_issuer_and_operator(looked_at):
    assert looked_at("P-ISS", ["/", "/permits/PD-1/sign/", "/account/", "/records/"]) == []
    assert looked_at("P-OPE", ["/", "/mine/", "/check/I-R1/"]) == []


def test_the_doors(looked_at):
    assert looked_at("", [bare(name) for name in DOORS]) == []
