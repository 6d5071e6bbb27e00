"""No page, list, file or paper tells a depth as a number that is not to be relied on: every address is walked, and looked through for it."""

import re
from decimal import Decimal
from io import BytesIO

import pytest
from pypdf import PdfReader

from locates.rules.depth import NO_PROOF
from locates.surveys.models import Outcome, Sweep, Trace
from records.firm.models import Rule
from tests.elsewhere import OF, elsewhere, hole, near
from tests.journeys.test_walk_of_roles import walk

# depths that stand nowhere else: from a passive technique, contradicted when raised (with what was read then), too deep for induction
UNTOLD = {
    "T-PASS": ("passive_power", "C", "0.777", None, None),
    "T-OFF": ("direct_connection", "B", "1.313", "0.317", "2.929"),
    "T-DEEP": ("induction", "B", "4.414", "0.371", "4.785"),
}
TOLD = {"T-FIT": ("direct_connection", "B", "1.919", "0.3", "2.219")}
NEEDLES = ("0.777", "1.313", "0.317", "2.929", "4.414", "0.371", "4.785")
# what is typed and put right stands in the form as it was read; the history keeps what was read, for who answers for the records
TYPED = re.compile(r"^/(correct/traces|enter|history)")


def trace(name, locate, technique, level, *metres, x=107):
    deep, by, raised = (None if one is None else Decimal(one) for one in metres)
    line = f"LINESTRING({x} 96,{x} 106)"
    depths = {"depth_m": deep, "raised_by_m": by, "raised_depth_m": raised, "width_m": Decimal("0.1")}
    return Trace.objects.create(trace=name, locate_id=locate, utility="water", technique=technique, line=line, quality_level=level, **depths, **OF)


@pytest.fixture
def stage(scene):
    """The clear permit's locate, with doubtful depths among its traces, and each of them exposed afterwards."""
    elsewhere()
    Sweep.objects.filter(locate="L-1").update(area="POLYGON((90 90,120 90,120 112,90 112,90 90))")
    for place, (name, found) in enumerate((UNTOLD | TOLD).items()):
        trace(name, "L-1", *found, x=102 + 2 * place)
        hole(f"H-{name}", "L-1", "P-OPE", trace_id=name, x=102 + 2 * place, y=100)
    return {"outcome here": near().pk, "outcome there": Outcome.objects.get(locate="L-9").pk, "rule": Rule.objects.get().pk}


def said(answered):
    """All that an answer says: the words of a paper, else its text."""
    content = b"".join(answered)
    if content.startswith(b"%PDF"):
        return " ".join(page.extract_text() for page in PdfReader(BytesIO(content)).pages)
    return content.decode()


def told(client, paths):
    """Where a number stands that should not."""
    looked, found = 0, []
    for path in paths:
        answered = client.get(path)
        if answered.status_code == 200:
            looked += 1
            words = said(answered)
            found += [(path, needle) for needle in NEEDLES if needle in words]
    assert looked
    return found


@pytest.mark.parametrize("person", ["P-SAF", "P-ISS", "P-OPE"])
def test_no_address_tells_a_depth_that_is_not_to_be_relied_on(stage, as_person, person):
    paths = [path for path, _, _ in walk(stage) if not TYPED.match(path) and path != "/sign-out/"]
    leaves = [f"/records/traces/{name}/" for name in UNTOLD]
    lists = ["/records/traces/?locate=L-1", "/records/traces.csv?locate=L-1&sort=depth_m", "/records/locates/L-1/", "/records/holes/?locate=L-1"]
    assert told(as_person(person), [*paths, *leaves, *lists, "/prepare/?site=S-1&locate=L-1&like=PD-1"]) == []


def test_where_it_may_be_told_it_is_with_what_it_is_worth(stage, as_person):
    client = as_person("P-OPE")
    words = "1.919 m to its centre, 1.869 m of cover, indicated; agrees when raised, which is no proof"
    leaf = said(client.get("/records/traces/T-FIT/"))
    assert words in leaf
    assert NO_PROOF in leaf
    for path in ("/records/traces/", "/records/traces.csv", "/permits/PD-1/", "/permits/PD-1/paper.pdf"):
        assert "1.919 m to its" in said(client.get(path)), path
    assert NO_PROOF in said(client.get("/records/traces/"))
    assert NO_PROOF in said(client.get("/permits/PD-1/"))


def test_the_reasons_say_so_in_words(stage, as_person):
    found = said(as_person("P-OPE").get("/permits/PD-1/"))
    assert "read 1.299 m off when the receiver was raised: depth not to be relied on" in found
    assert "was read by induction to lie deeper than 2.0 m, where induction is not trusted: depth not to be relied on" in found
    assert "bears a depth, and a passive technique gives none" in found


def test_a_trace_s_own_history_leaves_the_number_to_the_history(stage, as_person):
    row = {"trace": "T-NEW", "locate": "L-2", "utility": "water", "technique": "passive_radio", "quality_level": "D", "line": "1 1\n9 1", "depth_m": "0.777"}
    assert as_person("P-OPE").post("/enter/traces/", row).status_code == 302
    leaf = said(as_person("P-OPE").get("/records/traces/T-NEW/"))
    assert "0.777" not in leaf
    assert "depth m: as it was read" in " ".join(leaf.split())
    assert "0.777" in said(as_person("P-SAF").get("/history/1/"))


def test_the_numbers_in_force_decide_it(stage, as_person):
    client = as_person("P-OPE")
    assert "depth not to be relied on" in said(client.get("/records/traces/T-OFF/"))
    Trace.objects.filter(pk="T-OFF").update(raised_depth_m="1.63")
    assert "1.313 m to its centre" in said(client.get("/records/traces/T-OFF/"))
