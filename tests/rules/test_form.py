"""The thirteen items of the paper in words: what each says of the permit, and where it leaves room for a hand."""

from dataclasses import replace
from decimal import Decimal

import pytest
from shapely.geometry import Point

from locates.permits.rules.evidence import PlanService
from locates.permits.rules.form import HAZARDS, WORN, items, tags
from locates.permits.rules.gate import assess
from records.rules.words import METHODS
from tests.rules.cast import DAY, clear, instant, line
from tests.rules.changes import and_enquiry, and_outcome, and_trace, services, together, with_enquiry, with_permit, with_rule, without, without_locate


def formed(*changes):
    """The items by title."""
    evidence = together(*changes)(clear())
    traces = [
        {"tag": tag, **{key: getattr(one, key) for key in ("trace", "utility", "technique", "quality_level", "services")}, "depth": "", "width_m": ""}
        for one, tag in tags(evidence.locate.traces if evidence.locate else ())
    ]
    return {one["title"]: one for one in items(evidence, assess(evidence, instant(f"{DAY}T09:00", evidence.site.zone)), traces)}


def on_plans(*changes):
    return formed(*changes)["Hazards"]["says"][0]


def test_there_are_thirteen():
    assert len(formed()) == 13


def test_tags_count_each_letter_for_itself():
    more = and_trace("T-3", "clamp", line((5, -9), (5, 9)), utility="electricity")
    unknown = and_trace("T-4", "clamp", line((6, -9), (6, 9)), utility="unknown")
    evidence = together(more, unknown)(clear())
    assert [tag for _, tag in tags(evidence.locate.traces)] == ["W1", "E1", "E2", "U1"]


def test_a_service_of_the_plans_is_named_by_the_tag_of_its_trace():
    assert on_plans() == "On the owners' plans that are in date: SV-1 water (W1); SV-2 electricity (E1)."


def test_a_service_without_a_trace_is_said_not_to_be_traced():
    assert "SV-2 electricity (not traced)" in on_plans(without("traces", "T-2"))


def test_a_service_with_an_outcome_says_it():
    assert "SV-2 electricity (outside dig)" in on_plans(without("traces", "T-2"), and_outcome("SV-2", "outside_dig"))


def test_a_service_that_is_the_same_as_a_traced_one_bears_its_tag():
    shown = (PlanService("SV-9", "E-9", "water", False, ("SV-1",)),)
    later = and_enquiry("E-9", "Alder Water", answered_at="2027-02-25T10:00", services=shown)
    assert "SV-9 water (W1)" in on_plans(later)


def test_a_service_of_other_ground_is_no_hazard_of_this_dig():
    far = with_enquiry("E-1", area=Point(500, 500).buffer(5), services=services("E-1", "SV-7"))
    assert "SV-7" not in on_plans(far)


def test_the_plans_stand_owner_by_owner_with_their_references():
    asked = with_enquiry("E-1", reference_no="AW/77")
    assert ["Plans of Alder Water", "E-1 AW/77"] in formed(asked)["Number and related permits"]["rows"]


def test_an_outline_of_many_corners_refers_to_the_plan():
    (_, where) = formed(with_permit(outline=Point(5, 2).buffer(2)))["Location"]["rows"][1]
    assert where.endswith("as on the plan (metres east and north in the site's grid)")


def test_a_clear_permit_says_how_long_its_evidence_is_good():
    assert ["Evidence good", "until 11 Mar 2027 07:00 UTC+13:00"] in formed()["Work and its limits"]["rows"]


def test_a_blocked_permit_says_that_its_evidence_is_not():
    assert ["Evidence good", "NOT GOOD: see why there must be no digging"] in formed(without_locate())["Work and its limits"]["rows"]


@pytest.mark.parametrize("title", ["Issue", "Acceptance", "Extension or shift handover", "Hand-back", "Cancellation"])
def test_only_a_clear_permit_leaves_room_for_a_hand(title):
    assert formed()[title]["blanks"] != []
    assert formed(without_locate())[title]["blanks"] == []


@pytest.mark.parametrize("method", METHODS)
def test_each_method_brings_its_own_hazards_and_equipment(method):
    found = formed(with_permit(method=method))
    assert HAZARDS[method] in found["Hazards"]["says"][1]
    assert WORN[method] in found["Protective equipment"]["says"][0]


def test_a_service_taken_as_live_stands_among_the_precautions():
    by_hand = (with_permit(method="hand"), without("traces", "T-1"), and_outcome("SV-1", "not_found"))
    assert any("SV-1" in one for one in formed(*by_hand)["Precautions"]["says_after"])


def test_nothing_near_is_said_too():
    far = (without("traces", "T-1", "T-2"), and_trace("T-5", "clamp", line((500, 0), (500, 9))))
    assert formed(*far)["Precautions"]["rows"] == [["no traced line comes near the outline", "", "", ""]]


def test_where_nothing_was_traced_no_line_is_said_to_be_far():
    assert formed(without_locate())["Precautions"]["rows"] == [["nothing was traced, which proves nothing", "", "", ""]]


def test_plans_that_are_out_of_date_are_not_told_as_plans_of_empty_ground():
    assert on_plans(with_enquiry("E-1", answered_at=None), with_enquiry("E-2", answered_at=None)) == (
        "On the owners' plans that are in date: no service is entered for this ground."
    )


def test_a_machine_may_be_helped_by_hand_where_it_must():
    found = formed(with_permit(method="machine"))["Work and its limits"]["rows"]
    assert found[1][1].endswith("by machine only, but by hand or vacuum within the hand-dig zones")


def numbers(*changes):
    return dict(formed(*changes)["Work and its limits"]["rows"])["Numbers in force"]


def test_a_site_that_sets_no_number_says_so():
    assert numbers() == "rule set example: all by default"


def test_a_number_in_force_stands_with_its_day_and_its_source_and_a_later_one_does_not():
    told = numbers(with_rule("hand_dig_m", "0.6", "2026-01-01"), with_rule("hand_dig_m", "0.7", "2028-01-01"))
    assert "hand digging within this distance of the service's edge: 0.6, from 1 Jan 2026 (" in told
    assert "0.7" not in told


def test_the_paper_tells_how_the_ground_was_walked():
    evidence = clear()
    first = next(one for one in evidence.locate.sweeps if one.technique == "passive_power")
    swept = replace(first, bearing_deg=Decimal("120.000"), spacing_m=Decimal("0.500"), transmitter_offset_m=None)
    rows = dict(formed(lambda all_: replace(all_, locate=replace(all_.locate, sweeps=(swept,))))["Plant and equipment"]["rows"])
    assert {key: told for key, told in rows.items() if key.startswith("Swept")} == {"Swept by passive power": f"{first.sweep}, bearing 120°, lines 0.5 m apart"}


def test_a_sweep_tells_how_far_from_the_transmitter_it_began():
    evidence = clear()
    swept = replace(evidence.locate.sweeps[0], technique="induction", bearing_deg=None, spacing_m=None, transmitter_offset_m=Decimal("3.75"))
    rows = dict(formed(lambda all_: replace(all_, locate=replace(all_.locate, sweeps=(swept,))))["Plant and equipment"]["rows"])
    assert rows["Swept by induction"] == f"{swept.sweep}, begun 3.75 m from the transmitter"
