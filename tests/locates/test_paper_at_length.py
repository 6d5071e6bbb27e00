"""Papers of every size: long texts, many people, many findings and many traces fill pages and overflow none; the same sheet gives the same bytes."""

import subprocess
import sys
from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader
from shapely import affinity
from shapely.geometry import LineString, Point, box

from locates.permits.paper import permit_pdf, plan_svg
from locates.permits.rules.evidence import Trace
from records.paper.frames import FOOT, HEIGHT, MARGIN, WIDTH
from records.rules.words import UTILITIES
from tests.locates.printing import pages, sheet_of, words
from tests.rules.cast import clear
from tests.rules.changes import with_enquiry, with_locate, with_permit, with_rule, with_site

CREW = clear().permit.crew[0]
MANY = tuple(replace(CREW, person=f"C-{number}", name=f"Helper {number:03d}", awards=CREW.awards if number % 3 else ()) for number in range(200))
TRACES = tuple(
    Trace(f"T-{number:02d}", UTILITIES[number % 10], "clamp", LineString([(number * 0.3 - 1, -9), (number * 0.3 + 1, 9)]), "B", Decimal("0.3"))
    for number in range(40)
)
LAPSING = with_permit(crew=tuple(replace(one, name="N" * 200, awards=(replace(CREW.awards[0], expires_on=date(2027, 3, 20)),)) for one in MANY))
LARGE = {
    "one word": (with_permit(work="x" * 2000),),
    "one word from right to left": (with_permit(work="م" * 2000),),
    "no spaces": (with_permit(work="山田" * 1000),),
    "many lines": (with_permit(work="line\n" * 399),),
    "names": (with_enquiry("E-1", service_owner="Q" * 2000, reference_no="R" * 2000), with_site(name="S" * 2000)),
    "crew that ends together": (LAPSING, with_rule("permit_max_hours", "744"), with_rule("plan_valid_days", "366")),
    "crew": (with_permit(crew=MANY),),
    "traces": (with_locate(traces=TRACES),),
}
PRINTED_TWICE = """
import hashlib, sys
from tests.locates.printing import sheet_of
from tests.locates.test_paper_at_length import LARGE
from tests.rules.changes import with_permit
from locates.permits.paper import bars_svg, permit_pdf, plan_svg
changes = (with_permit(work="नीलिमा محمد 山田 김"),) + LARGE["traces"]
if sys.argv[1] == "after others":
    permit_pdf(sheet_of(with_permit(work="क्षत्रिय عبد الله 龍 이")))
sheet = sheet_of(*changes)
print(hashlib.sha256(permit_pdf(sheet) + plan_svg(sheet).encode() + bars_svg(sheet).encode()).hexdigest())
"""


def printed_in_a_process(seed, history):
    done = subprocess.run(
        [sys.executable, "-c", PRINTED_TWICE, history],
        cwd=Path(__file__).parents[2],
        env={"PYTHONHASHSEED": seed},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


@cache
def paper(size):
    return permit_pdf(sheet_of(*LARGE[size]))


def placed(page):
    """Where its words begin, in points from the lower left corner."""
    found = []
    page.extract_text(visitor_text=lambda text, cm, tm, *_: found.append((text, tm[4] + cm[4], tm[5] + cm[5])) if text.strip() else None)
    return found


@pytest.mark.parametrize("size", LARGE)
def test_nothing_is_set_outside_the_margins(size):
    for page in PdfReader(BytesIO(paper(size))).pages:
        body = [(x, y) for _, x, y in placed(page) if FOOT <= y <= FOOT + HEIGHT]
        assert all(MARGIN - 1 <= x <= MARGIN + WIDTH for x, _ in body)


@pytest.mark.parametrize(("size", "piece", "times"), [("one word", "x", 2000), ("no spaces", "山", 1000), ("many lines", "line ", 399)])
def test_a_long_text_is_printed_whole(size, piece, times):
    assert words(paper(size)).count(piece) >= times


def test_two_hundred_people_and_their_findings_are_all_printed():
    sheet = sheet_of(*LARGE["crew"])
    found = words(paper("crew"))
    assert len(sheet["blocks"]) > 60
    assert [one.name for one in MANY if found.count(one.name) < 3] == []


def test_of_many_things_that_end_together_the_bars_name_a_few_and_count_the_rest():
    sheet = sheet_of(LAPSING, with_rule("permit_max_hours", "744"), with_rule("plan_valid_days", "366"), with_rule("locate_valid_days", "366"))
    assert len(sheet["limited_by"]) == 200
    assert "and 194 more" in words(permit_pdf(sheet))


def test_forty_traces_are_all_in_the_key():
    found = words(paper("traces"))
    assert [one.trace for one in TRACES if f"(trace {one.trace}, clamp)" not in found] == []


def test_a_table_s_head_stands_again_on_each_of_its_pages():
    found = pages(paper("crew"))
    assert sum("What Record From Good until" in page for page in found) > 3


@pytest.mark.parametrize(
    "outline",
    [
        box(500_000.1, 180_000.1, 500_000.15, 180_000.2),
        affinity.rotate(box(-4e6, 9e6, -4e6 + 300, 9e6 + 0.4), 33),
        box(0, 0, 5000, 3000),
        Point(0, 0).buffer(20).difference(Point(0, 0).buffer(15)),
    ],
    ids=["tiny", "long and far off", "huge", "a ring"],
)
def test_any_outline_is_drawn_to_scale(outline):
    sheet = sheet_of(with_permit(outline=outline))
    assert "scale 1:" in words(permit_pdf(sheet))
    assert "nan" not in plan_svg(sheet)


@pytest.mark.parametrize("at", ["2026-03-04T09:00", "2027-03-04T09:00", "2029-03-04T09:00"])
def test_a_permit_can_be_printed_long_before_and_long_after_its_time(at):
    assert permit_pdf(sheet_of(at=at)).startswith(b"%PDF")


def test_a_window_that_ends_before_it_begins_can_be_printed():
    assert "NOT TO DIG" in words(permit_pdf(sheet_of(with_permit(valid_to="2027-03-03T09:00"))))


def test_the_same_sheet_gives_the_same_bytes_in_any_process_after_any_other_papers():
    assert printed_in_a_process("1", "first") == printed_in_a_process("2", "after others")


def test_every_font_in_the_file_is_embedded_in_part():
    fonts = {}
    for page in PdfReader(BytesIO(permit_pdf(sheet_of(with_permit(work="नीलिमा 山田"))))).pages:
        fonts |= {name: font.get_object() for name, font in page["/Resources"]["/Font"].items()}
    used = [font for font in fonts.values() if font["/BaseFont"] != "/Helvetica"]
    assert all("/FontFile2" in font["/FontDescriptor"].get_object() for font in used)
    assert len(used) >= 4
    assert len(permit_pdf(sheet_of(with_permit(work="नीलिमा 山田")))) < 150_000
