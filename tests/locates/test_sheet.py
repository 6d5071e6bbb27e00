"""The frozen copy: what it holds, how depths are said in it, and its digest."""

import json
from hashlib import sha256

import pytest

from locates.permits.rules.gate import assess
from locates.permits.sheet import areas, digest, with_later
from records.ledger.chain import canonical
from tests.locates.printing import ACCEPTED, ISSUED, sheet_of
from tests.rules.cast import clear, instant, line
from tests.rules.changes import and_trace, with_award, with_permit, with_trace, without_locate


def depth(*changes, trace="T-2"):
    return next(one["depth"] for one in sheet_of(*changes)["traces"] if one["trace"] == trace)


def kinds(value):
    """The kinds of plain values within."""
    inner = value.values() if isinstance(value, dict) else value if isinstance(value, list | tuple) else None
    return {type(value)} if inner is None else set().union(*map(kinds, inner))


def test_a_sheet_is_plain_data_without_a_float():
    assert kinds(sheet_of()) == {str, bool, int}
    assert json.loads(canonical(sheet_of())) == json.loads(json.dumps(sheet_of()))


def test_the_digest_is_that_of_the_canonical_text():
    assert digest(sheet_of()) == sha256(canonical(sheet_of()).encode()).hexdigest()


@pytest.mark.parametrize(
    "change",
    [with_permit(work="another"), with_permit(depth_m="1.51"), with_award("C-1", expires_on="2027-12-01"), with_trace("T-2", depth_m="1.01")],
    ids=["work", "depth", "award", "trace"],
)
def test_whatever_changes_in_what_is_printed_changes_the_digest(change):
    assert digest(sheet_of(change)) != digest(sheet_of())


def test_the_same_records_at_the_same_instant_give_the_same_sheet():
    assert canonical(sheet_of()) == canonical(sheet_of())


@pytest.mark.parametrize(("signatures", "kind"), [((), "unsigned"), ((ISSUED,), "issued"), ((ISSUED, ACCEPTED), "signed")])
def test_the_kind_of_paper_follows_the_signatures(signatures, kind):
    assert sheet_of(signatures=signatures)["kind"] == kind


@pytest.mark.parametrize("signatures", [(), (ISSUED,), (ISSUED, ACCEPTED)])
def test_a_blocked_permit_is_blocked_whatever_was_signed(signatures):
    assert sheet_of(without_locate(), signatures=signatures)["kind"] == "blocked"


def test_instants_bear_the_site_s_offset_of_their_own_day():
    wintry = sheet_of(with_permit(valid_from="2027-04-03T07:00", valid_to="2027-04-05T17:00"))
    assert wintry["window"] == ["2027-04-03T07:00:00+13:00", "2027-04-05T17:00:00+12:00"]


def test_a_signature_s_instant_is_told_in_the_site_s_time():
    assert [one["at"] for one in sheet_of(signatures=[ISSUED])["signatures"]] == ["2027-03-04T09:10:00+13:00"]


def test_an_end_between_two_days_shows_the_last_good_day():
    ends = {bar["subject"]: (bar["ends"], bar["through"]) for bar in sheet_of()["standing"]}
    assert ends["enquiry:E-1"] == ("2027-03-25T00:00:00+13:00", "2027-03-24")


def test_an_end_within_a_day_shows_no_last_day():
    found = sheet_of()
    assert (found["good_until"], found["good_through"]) == ("2027-03-11T07:00:00+13:00", "")


def test_a_checked_depth_is_said_to_be_indicated():
    assert depth() == "1 m to its centre, indicated; agrees when raised, which is no proof"


def test_an_unchecked_depth_says_so():
    assert depth(with_trace("T-2", raised_by_m=None, raised_depth_m=None)) == "1 m to its centre, indicated, NOT checked by a raised reading"


def test_where_the_width_is_known_the_cover_stands_beside_the_depth():
    assert depth(with_trace("T-2", width_m="0.1")).startswith("1 m to its centre, 0.95 m of cover, indicated")


def test_a_depth_that_its_check_contradicts_gives_no_number():
    assert depth(with_trace("T-2", raised_depth_m="1.8")) == "depth not to be relied on"


def test_a_depth_from_a_passive_technique_gives_no_number():
    passive = and_trace("T-9", "passive_power", line((1, -9), (1, 9)), depth_m="0.77")
    assert depth(passive, trace="T-9") == "depth not known: a passive technique gives none"


def test_a_deep_induction_reading_says_that_it_is_not_trusted():
    deep = with_trace("T-2", depth_m="2.4", raised_depth_m="2.9")
    assert depth(deep) == "depth not to be relied on: read by induction, deeper than it is trusted"


def test_an_exposed_service_s_depth_was_seen():
    exposed = and_trace("T-9", "exposed", line((1, -1), (1, 1)), depth_m="0.6")
    assert depth(exposed, trace="T-9") == "0.6 m to its centre, seen when exposed"


def test_shapes_are_kept_to_the_millimetre_with_their_holes():
    ring = clear().permit.outline.buffer(1, join_style="mitre").difference(clear().permit.outline)
    assert areas(ring)[0][1].split(",")[0].count(".") == 2
    assert len(areas(ring)[0]) == 2


def test_no_coordinate_is_minus_nought():
    assert "-0.000" not in canonical(sheet_of())


def test_later_facts_stand_beside_a_signed_sheet_and_leave_it_as_it_is():
    signed = sheet_of(signatures=[ISSUED, ACCEPTED])
    later = with_later(signed, assess(clear(), instant("2027-04-03T09:00", clear().site.zone)))
    assert {key: value for key, value in later.items() if key != "later"} == signed
    assert "locate.lapsed" in [one["code"] for one in later["later"]["blocks"]]
