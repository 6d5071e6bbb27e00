"""Looking at a page in a real browser: what it complains of, what it asks elsewhere for, and what accessibility rules find in each light."""

from contextlib import contextmanager

from django.conf import settings
from django.test import Client

from records.firm.models import Person
from records.looks import LIGHTS as OFFERED
from tests.house.source import ROOT

AXE = (ROOT / "tests/vendor/axe-core/axe.min.js").read_text()
RULES = {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
# a light changes colours alone: what else the rules ask is looked at once. In the sun, text has the stronger contrast of level AAA
CONTRAST = {"type": "rule", "values": ["color-contrast"]}
STRONGER = {"type": "rule", "values": ["color-contrast-enhanced"]}
TRIED = {"tag": {"target-size", "color-contrast", "label"}, "rule": set()}
LIGHTS = {"light": RULES, "dark": CONTRAST, "sunlight": STRONGER}
NARROW, DESK = {"width": 320, "height": 800}, {"width": 1280, "height": 900}
# how pages look has nothing to do with the worker, which would fetch all that pages are made of for every fresh browser
NO_WORKER = "delete Navigator.prototype.serviceWorker"
REFUSED = "Failed to load resource"  # so the console tells of an answer that is a refusal


@contextmanager
def page_of(browser, server, wrong, person="", script=NO_WORKER, **options):
    """A page of a fresh browser, with this person signed in; what it complains of, or asks elsewhere for, is put with what is `wrong`."""
    context = browser.new_context(**{"viewport": NARROW, "base_url": server.url, "reduced_motion": "reduce"} | options)
    if person:
        context.add_cookies([_session(person, server)])
    context.add_init_script(f"{AXE};{script}")
    page = context.new_page()
    page.on("console", lambda said: wrong.append((page.url, said.text)) if said.type in ("error", "warning") and REFUSED not in said.text else None)
    page.on("pageerror", lambda error: wrong.append((page.url, str(error))))
    page.on("request", lambda asked: None if asked.url.startswith((server.url, "data:", "blob:", "chrome")) else wrong.append((page.url, asked.url)))
    page.on("response", lambda got: wrong.append((page.url, got.url, got.status)) if got.status >= 400 and not got.request.is_navigation_request() else None)
    yield page
    context.close()


def _session(person, server):
    client = Client()
    client.force_login(Person.objects.get(person=person))
    return {"name": settings.SESSION_COOKIE_NAME, "value": client.cookies[settings.SESSION_COOKIE_NAME].value, "url": server.url}


def faults(page, answered, status=200):
    """What is wrong with the page that is open: its answer, its policy, its outline, its width, and in each light what the rules find."""
    policy = answered.headers.get("content-security-policy", "")
    if answered.status != status:
        yield "status", answered.status
    if not policy.startswith("default-src 'self'; ") or "unsafe" in policy:
        yield "policy", policy
    yield from looks(page)


def looks(page):
    """What is wrong with how the page looks."""
    if page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth"):
        yield "sideways", page.evaluate("document.documentElement.scrollWidth")
    if page.locator("h1").count() != 1 or page.title().startswith("·") or page.locator("html").get_attribute("lang") != "en-GB":
        yield "outline", page.title()
    for light, asked in LIGHTS.items():
        page.evaluate("light => { document.documentElement.dataset.light = light }", light)
        yield from ((light, *one) for one in violations(page, asked))


def violations(page, asked=RULES):
    """What the rules find on the page, in which axe-core is at hand already."""
    told = page.evaluate("asked => axe.run({runOnly: asked, resultTypes: ['violations']})", asked)
    # that nothing is found says something only of rules that were tried; target sizes are off unless they are asked for
    assert {one["id"] for part in ("passes", "violations", "inapplicable", "incomplete") for one in told[part]} >= TRIED[asked["type"]]
    return [(one["id"], one["nodes"][0]["html"][:200]) for one in told["violations"]]


assert set(LIGHTS) == set(OFFERED) - {""}
