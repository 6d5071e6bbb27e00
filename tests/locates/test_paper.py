"""The permit on paper, read back with another library: its three kinds, what it says, and what it never says."""

import re

import pytest

from locates.permits.paper import AS_SIGNED, NOTICE, permit_pdf
from locates.permits.rules.gate import assess
from locates.permits.rules.signing import DECLARATIONS
from locates.permits.sheet import digest, with_later
from locates.rules.depth import NO_PROOF
from tests.locates.printing import ACCEPTED, ISSUED, pages, printed, sheet_of, words
from tests.rules.cast import clear, instant, line
from tests.rules.changes import and_trace, with_award, with_enquiry, with_permit, with_trace, without, without_locate

NEVER = re.compile(r"\b(safe|safely|clear of|all clear|is clear|no services? (are|is) present)\b", re.IGNORECASE)
PLACE = "Signature Date and time"
LAPSED = with_award("C-1", expires_on="2026-12-31")


def test_every_page_bears_the_number_its_place_among_the_pages_and_the_state():
    found = pages(permit_pdf(sheet_of()))
    assert len(found) > 2
    for number, page in enumerate(found, start=1):
        assert f"Permit to dig D-1 page {number} of {len(found)} NOT YET SIGNED: no work on this paper" in page


def test_every_page_bears_the_notice_and_the_sheet_s_digest():
    found = pages(permit_pdf(sheet_of()))
    assert all(NOTICE in page and digest(sheet_of()) in page for page in found)


def test_an_unsigned_permit_has_places_to_sign_and_forbids_work():
    found = printed()
    assert "NOT YET SIGNED: no work on this paper" in found
    assert found.count(PLACE) == 4
    assert all(f"Not yet signed. To be declared: {declaration}" in found for declaration in DECLARATIONS.values())


def test_issue_and_acceptance_stand_together_where_there_is_room():
    assert [("9 Issue" in page, "10 Acceptance" in page) for page in pages(permit_pdf(sheet_of())) if "9 Issue" in page] == [(True, True)]


@pytest.mark.parametrize("lines", range(1, 41, 2))
def test_no_item_s_heading_stands_at_the_foot_of_a_page_without_its_first_row(lines):
    pushed_down = with_enquiry(
        "E-1", reference_no="; ".join(["AW/2027/77 of the owner's northern desk, sheet two, as sent again to the site's office"] * lines)
    )
    (page,) = [page for page in pages(permit_pdf(sheet_of(pushed_down))) if "5 Work and its limits" in page]
    assert "5 Work and its limits Work " in page


def test_an_issued_permit_shows_its_issue_and_waits_for_acceptance():
    found = printed(signatures=[ISSUED])
    assert "NOT YET ACCEPTED: no work on this paper" in found
    assert "Signed by Ivo Larch (I-1) At 4 Mar 2027 09:10 UTC+13:00 Meaning Issue" in found


def test_a_signed_permit_prints_name_instant_meaning_declaration_and_digest():
    signed = sheet_of(signatures=[ISSUED, ACCEPTED])
    found = words(permit_pdf(signed))
    assert f"Signed by Rena Sorrel (R-1) At 4 Mar 2027 09:20 UTC+13:00 Meaning Acceptance Declared {DECLARATIONS['accept']}" in found
    assert f"the sheet with SHA-256 {'ab' * 32}" in found
    assert f"the sheet with SHA-256 {digest(signed)}" in found


def test_a_signed_permit_says_from_when_to_when_across_the_top():
    found = pages(permit_pdf(sheet_of(signatures=[ISSUED, ACCEPTED])))
    assert all("SIGNED, from 4 Mar 2027 07:00 UTC+13:00 to 6 Mar 2027 17:00 UTC+13:00" in page for page in found)


def test_a_blocked_permit_says_not_to_dig_on_every_page():
    found = pages(permit_pdf(sheet_of(LAPSED)))
    assert all(page.count("NOT TO DIG") == 1 for page in found)


def test_a_blocked_permit_lists_why_and_what_to_do():
    blocked = sheet_of(LAPSED, without_locate())
    found = words(permit_pdf(blocked))
    assert len(blocked["blocks"]) > 1
    assert all(one["says"] in found and one["remedy"] in found for one in blocked["blocks"])


@pytest.mark.parametrize("signatures", [(), (ISSUED,), (ISSUED, ACCEPTED)])
def test_a_blocked_permit_has_no_place_to_sign(signatures):
    found = printed(LAPSED, signatures=signatures)
    assert PLACE not in found
    assert "To be declared" not in found


def test_a_signed_permit_that_no_longer_holds_says_so_across_the_top():
    later = with_later(sheet_of(signatures=[ISSUED, ACCEPTED]), assess(clear(), instant("2027-04-03T09:00", clear().site.zone)))
    found = pages(permit_pdf(later))
    assert all("NOT TO DIG: no longer good since it was signed" in page for page in found)
    assert "Signed by Rena Sorrel" in " ".join(found)
    assert AS_SIGNED in found[0]
    assert "Taken over: name and signature" not in " ".join(found)


def test_its_signatures_still_name_the_sheet_that_was_signed():
    signed = sheet_of(signatures=[ISSUED, ACCEPTED])
    later = with_later(signed, assess(clear(), instant("2027-04-03T09:00", clear().site.zone)))
    assert f"the sheet with SHA-256 {digest(signed)}" in words(permit_pdf(later))


@pytest.mark.parametrize("changes", [(), (LAPSED,), (without_locate(),)], ids=["clear", "lapsed", "no locate"])
@pytest.mark.parametrize("signatures", [(), (ISSUED,), (ISSUED, ACCEPTED)], ids=["unsigned", "issued", "signed"])
def test_it_never_says_that_the_ground_holds_nothing(changes, signatures):
    assert NEVER.findall(printed(*changes, signatures=signatures)) == []


def test_each_piece_of_evidence_stands_there_with_its_last_good_day():
    found = printed()
    assert "Plans: Alder Water E-1, answered 24 Feb 2027 10:00 UTC+13:00 24 Feb 2027 10:00 UTC+13:00 good through 24 Mar 2027" in found
    assert "Cass Yarrow: digging (crew) A-C-1 30 Jun 2025 good through 30 Jun 2028" in found


def test_the_time_bars_name_what_ends_first():
    expiring = with_award("C-1", expires_on="2027-03-07")
    assert "thick line: good through 7 Mar 2027: then ends Cass Yarrow: digging (crew)" in printed(expiring)


def test_hand_dig_areas_and_volumes_stand_there_each_and_together():
    sheet = sheet_of()
    near = {one["subject"]: one for one in sheet["conditions"]}
    found = words(permit_pdf(sheet))
    assert f"E1 electricity {near['trace:T-2']['distance_m']} {near['trace:T-2']['area_m2']} {near['trace:T-2']['volume_m3']}" in found
    assert f"All together {sheet['hand_zone']['area_m2']} {sheet['hand_zone']['volume_m3']}" in found


def test_a_passive_depth_is_nowhere_on_the_paper():
    passive = and_trace("T-9", "passive_power", line((1, -9), (1, 9)), depth_m="0.777")
    assert "0.777" not in printed(passive)


def test_a_contradicted_depth_is_nowhere_but_the_words_are():
    found = printed(with_trace("T-2", depth_m="1.234", raised_depth_m="2.9"))
    assert "1.234" not in found
    assert "depth not to be relied on" in found


def test_all_cautions_are_printed():
    sheet = sheet_of(with_trace("T-2", raised_by_m=None, raised_depth_m=None), with_award("C-1", expires_on="2027-03-20"))
    found = words(permit_pdf(sheet))
    assert len(sheet["cautions"]) >= 3
    assert all(one["says"] in found and one["remedy"] in found for one in sheet["cautions"])


def test_the_plan_states_its_scale_and_names_every_line():
    found = printed()
    assert "scale 1:100 at full size" in found
    assert "E1 electricity, quality level B by the firm's own scheme, 1 m to its centre, indicated; agrees" in found


def test_the_paper_says_of_depths_in_full_that_a_passed_check_proves_nothing():
    assert NO_PROOF in printed()
    assert NO_PROOF not in printed(without("traces"))


def test_markup_in_a_record_prints_as_it_is_written():
    nasty = "<b>bold</b> <img src='file:///etc/passwd'/> &amp; <a href='x'>"
    assert nasty in printed(with_permit(work=nasty))
