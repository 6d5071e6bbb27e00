"""The thirteen items that published guidance asks of a permit to work, found by reading the PDF's text with a library that did not write it.

Source: HSE (Great Britain), guidance on permit-to-work systems, "Essentials of the permit-to-work form"; the same list is in HSG250 (2005), in an appendix
whose number is from memory. Items 1 to 11 were seen on two secondary pages, all thirteen on a third.
"""

import re
from io import BytesIO

import pytest
from pypdf import PdfReader

from locates.permits.paper import permit_pdf
from tests.locates.printing import ACCEPTED, ISSUED, sheet_of
from tests.rules.changes import without_locate

# the item as the guidance names it, the section of ours that holds it, and what must stand in that section of the clear permit
ITEMS = [
    ("permit title", "Title", "Permit to dig by machine"),
    ("permit number, with references to other permits", "Number and related permits", "Permit D-1 Locate L-1"),
    ("job location", "Location", "Orchard Lane (S-1)"),
    ("plant or equipment identification", "Plant and equipment", "serial number SN-RX-1"),
    ("description of work and its limitations", "Work and its limits", "Trench for a drain"),
    ("hazards, those of the work included", "Hazards", "Brought in by the work (machine)"),
    ("precautions necessary", "Precautions", "Dig by hand near"),
    ("protective equipment", "Protective equipment", "eye protection"),
    ("authorisation: signature, time and duration", "Issue", "Issuer Ivo Larch (I-1)"),
    ("acceptance: signature", "Acceptance", "Receiver Rena Sorrel (R-1)"),
    ("extension or shift handover procedures", "Extension or shift handover", "new permit is judged and signed"),
    ("hand-back: work done or made as it was", "Hand-back", "the work is done or stopped"),
    ("cancellation: the issuer confirms", "Cancellation", "the hand-back is accepted"),
]
LIMITS = ["not deeper than 1.5 m", "by machine only", "from 4 Mar 2027 07:00 UTC+13:00 to 6 Mar 2027 17:00 UTC+13:00"]


def sections(printed):
    """The text under each numbered title, by title, in the order of the paper."""
    text = " ".join(page.extract_text() for page in PdfReader(BytesIO(printed)).pages)
    titles = [title for _, title, _ in ITEMS]
    starts = [re.search(rf"\n\s*{number}\s+{re.escape(title)}\s*\n", text).start() for number, title in enumerate(titles, start=1)]
    assert starts == sorted(starts)
    return {title: re.sub(r"\s+", " ", text[start:end]) for title, start, end in zip(titles, starts, [*starts[1:], len(text)], strict=True)}


@pytest.mark.parametrize(("asked", "title", "held"), ITEMS, ids=[asked for asked, _, _ in ITEMS])
def test_the_paper_holds_the_item(asked, title, held):
    assert held in sections(permit_pdf(sheet_of()))[title]


@pytest.mark.parametrize("limit", LIMITS)
def test_the_work_has_its_limits_beside_it(limit):
    assert limit in sections(permit_pdf(sheet_of()))["Work and its limits"]


@pytest.mark.parametrize("title", ["Issue", "Acceptance", "Extension or shift handover", "Hand-back", "Cancellation"])
def test_what_is_signed_has_a_place_to_sign(title):
    assert re.search(r"[Ss]ignature", sections(permit_pdf(sheet_of()))[title])


def test_a_signed_permit_holds_all_thirteen_as_well():
    assert len(sections(permit_pdf(sheet_of(signatures=[ISSUED, ACCEPTED])))) == 13


def test_a_blocked_permit_holds_all_thirteen_and_no_place_to_sign():
    found = sections(permit_pdf(sheet_of(without_locate())))
    assert len(found) == 13
    assert all("there is no place to sign" in found[title] for title in list(found)[8:])
