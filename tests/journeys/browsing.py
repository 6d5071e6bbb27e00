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
OUTLINE = """() => {
  const page = document.documentElement;
  return { wide: page.scrollWidth, room: page.clientWidth, heads: document.querySelectorAll("h1").length, title: document.title, lang: page.lang };
}"""
# one call for every light, from which only names come back: most of a look was the talk between the two
FOUND = """async (asked) => {
  const told = [];
  for (const [light, runOnly] of asked) {
    if (light) document.documentElement.dataset.light = light;
    const { passes, violations, inapplicable, incomplete } = await axe.run({ runOnly, resultTypes: ["violations"] });
    const tried = [passes, violations, inapplicable, incomplete].flat().map((one) => one.id);
    told.push([light, tried, violations.map((one) => [one.id, one.nodes[0].html.slice(0, 200)])]);
  }
  return told;
}"""
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
    outline = page.evaluate(OUTLINE)
    if outline["wide"] > outline["room"]:
        yield "sideways", outline["wide"]
    if outline["heads"] != 1 or outline["title"].startswith("·") or outline["lang"] != "en-GB":
        yield "outline", outline["title"]
    yield from _found(page, LIGHTS)


def violations(page, asked=RULES):
    """What the rules find on the page as it is, in which axe-core is at hand already."""
    return [one[1:] for one in _found(page, {"": asked})]


def _found(page, asked):
    for light, tried, found in page.evaluate(FOUND, list(asked.items())):
        # that nothing is found says something only of rules that were tried; target sizes are off unless they are asked for
        assert set(tried) >= TRIED[asked[light]["type"]]
        yield from ((light, *one) for one in found)


assert set(LIGHTS) == set(OFFERED) - {""}
