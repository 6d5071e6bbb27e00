"""Each service of the plans: vouched for by a trace, outside the dig by word, not found, or not accounted for."""

import pytest
from shapely.geometry import box

from tests.rules.cast import OUTLINE, line
from tests.rules.changes import (
    and_enquiry,
    and_outcome,
    and_sweep,
    and_trace,
    services,
    together,
    with_enquiry,
    with_permit,
    with_rule,
    with_sweep,
    with_trace,
    without,
)
from tests.rules.table import Row, block, caution, found, judged, said, wanted

not_found = block("service.not_found", "service:SV-2")
wrong = block("service.wrong_technique", "service:SV-2")
wrong_water = block("service.wrong_technique", "service:SV-1")
unaccounted = block("service.unaccounted", "service:SV-2")
treat_as_live = caution("treat_as_live", "service:SV-2")

FAR = box(500, 500, 510, 510)
UNNAMED = with_trace("T-2", services=())
UNFOUND = together(UNNAMED, and_outcome("SV-2", "not_found"))
BY_HAND = with_permit(method="hand")
MISSING = ("service.unaccounted",)


def later(name, *same_as, **changes):
    """One more answer of the power company that shows one service, on the day after the first."""
    shown = services(name, f"SV-{name[2:]}", same_as=same_as, utility="electricity", conductive=True)
    return and_enquiry(name, "Birch Power", **{"answered_at": "2027-02-25T10:00", "services": shown, **changes})


def traced(technique, **changes):
    return with_trace("T-2", technique=technique, **changes)


def reaching(y):
    """The power trace, coming from outside down to there; the needed ground ends at 5."""
    return {"line": line((3, y), (3, 9))}


ROWS = [
    unaccounted.fails(UNNAMED),
    unaccounted.passes(),
    unaccounted.fails(with_trace("T-2", services=("SV-1",))),
    unaccounted.fails(with_trace("T-2", services=("SV-20",))),
    unaccounted.passes(UNNAMED, and_outcome("SV-2", "outside_dig")),
    unaccounted.fails(UNNAMED, and_outcome("SV-1", "outside_dig")),
    unaccounted.passes(UNNAMED, and_trace("T-9", "clamp", line((0, 2), (1, 2)), services=("SV-2",))),
    unaccounted.passes(UNNAMED, with_enquiry("E-2", good_through="2027-03-03"), also=("plans.lapsed",)),
    unaccounted.passes(UNNAMED, with_enquiry("E-2", area=FAR), also=("plans.other_ground", "plans.after_locate")),
    unaccounted.fails(UNNAMED, with_enquiry("E-2", area=box(11, 0, 20, 4)), also=("plans.other_ground",)),
    unaccounted.passes(UNNAMED, with_enquiry("E-2", area=box(11.001, 0, 20, 4)), also=("plans.other_ground", "plans.after_locate")),
    unaccounted.passes(UNNAMED, and_enquiry("E-3", "Birch Power", answered_at="2027-02-25T10:00", nothing_shown=True, replaces=("E-2",))),
    unaccounted.fails(UNNAMED, and_enquiry("E-3", "Birch Power", answered_at="2027-02-25T10:00", nothing_shown=True)),
    # the same service on other plans, in either direction, followed through
    unaccounted.fails(later("E-3"), subject="service:SV-3"),
    unaccounted.fails(later("E-3", "SV-99"), subject="service:SV-3"),
    unaccounted.passes(later("E-3", "SV-2"), subject="service:SV-3"),
    unaccounted.passes(later("E-3", "SV-2", replaces=("E-2",)), subject="service:SV-3"),
    unaccounted.passes(later("E-3", "SV-2"), with_trace("T-2", services=("SV-3",))),
    unaccounted.passes(later("E-3", "SV-2"), later("E-4", "SV-3"), subject="service:SV-4"),
    unaccounted.passes(later("E-3", "SV-2"), later("E-4", "SV-2"), with_trace("T-2", services=("SV-3",)), subject="service:SV-4"),
    unaccounted.passes(UNNAMED, later("E-3", "SV-2"), and_outcome("SV-3", "outside_dig")),
    unaccounted.passes(later("E-3", "SV-2", sent_on="2027-03-04"), with_trace("T-2", services=("SV-3",))),
    unaccounted.fails(later("E-3", "SV-2", sent_on="2027-03-05"), with_trace("T-2", services=("SV-3",))),
    unaccounted.passes(later("E-3", "SV-2", answered_at="2027-03-04T09:00"), with_trace("T-2", services=("SV-3",))),
    unaccounted.fails(later("E-3", "SV-2", answered_at="2027-03-04T09:00:01"), with_trace("T-2", services=("SV-3",))),
    not_found.fails(UNFOUND),
    not_found.fails(UNFOUND, with_permit(method="bore"), also=("clearance.bore_unexposed",)),
    not_found.passes(UNFOUND, BY_HAND),
    not_found.passes(UNFOUND, with_permit(method="vacuum")),
    not_found.passes(and_outcome("SV-2", "not_found")),
    not_found.fails(traced("passive_power"), and_outcome("SV-2", "not_found")),
    not_found.passes(traced("passive_power"), also=("service.wrong_technique",)),
    not_found.fails(later("E-3", "SV-2", replaces=("E-2",)), UNFOUND, subject="service:SV-3"),
    not_found.passes(later("E-3", "SV-2"), UNNAMED, and_outcome("SV-3", "not_found"), and_outcome("SV-2", "outside_dig")),
    treat_as_live.fails(UNFOUND, BY_HAND),
    treat_as_live.fails(UNFOUND, with_permit(method="vacuum")),
    treat_as_live.passes(UNFOUND, also=("service.not_found",)),
    treat_as_live.passes(BY_HAND, and_outcome("SV-2", "not_found")),
    treat_as_live.passes(BY_HAND, UNNAMED, and_outcome("SV-2", "outside_dig")),
    # the technique: what conducts
    wrong.fails(traced("passive_power")),
    wrong.fails(traced("passive_radio")),
    wrong.fails(traced("sonde")),
    wrong.passes(traced("induction")),
    wrong.passes(traced("direct_connection", depth_m=None)),
    wrong.passes(traced("clamp", depth_m=None)),
    wrong.passes(traced("exposed", depth_m=None)),
    # and what does not
    *(wrong_water.fails(with_trace("T-1", technique=technique)) for technique in ("passive_power", "passive_radio", "induction", "direct_connection", "clamp")),
    wrong_water.passes(with_trace("T-1", technique="sonde")),
    wrong_water.passes(with_trace("T-1", technique="exposed")),
    # the place: half a metre of it in the needed ground
    wrong.passes(traced("direct_connection", **reaching(4.5))),
    wrong.fails(traced("direct_connection", **reaching(4.500001))),
    wrong.passes(traced("direct_connection", **reaching(4.5000004))),
    wrong.fails(traced("direct_connection", **reaching(4.5)), with_rule("sweep_margin_m", "0.999")),
    wrong.passes(traced("exposed", **reaching(5))),
    wrong.fails(traced("exposed", **reaching(5.000001))),
    wrong_water.passes(with_trace("T-1", line=line((7, 4.5), (7, 9)))),
    wrong_water.fails(with_trace("T-1", line=line((7, 4.500001), (7, 9)))),
    # outside the dig by word, unless a trace that names it comes to the needed ground
    wrong.fails(traced("direct_connection", **reaching(5)), and_outcome("SV-2", "outside_dig")),
    wrong.passes(traced("direct_connection", **reaching(5.000001)), and_outcome("SV-2", "outside_dig")),
    wrong.fails(traced("direct_connection", **reaching(5.000001))),
    # the depth
    wrong.passes(traced("induction", depth_m="2.0", raised_depth_m="2.5")),
    wrong.fails(traced("induction", depth_m="2.001")),
    wrong.fails(traced("induction", depth_m=None)),
    wrong.passes(with_rule("induction_max_depth_m", "1")),
    wrong.fails(with_rule("induction_max_depth_m", "0.999")),
    wrong.passes(traced("direct_connection", depth_m="9")),
    # the sweep: begun far enough from the transmitter, and over the line but for half a metre or a tenth
    wrong.passes(with_sweep("W-induction", transmitter_offset_m="3.75")),
    wrong.fails(with_sweep("W-induction", transmitter_offset_m="3.749")),
    wrong.passes(with_sweep("W-induction", transmitter_offset_m="3.749"), with_rule("transmitter_min_offset_m", "3.749")),
    wrong.fails(with_sweep("W-induction", transmitter_offset_m=None)),
    wrong.fails(with_sweep("W-induction", transmitter_offset_m=None), with_rule("transmitter_min_offset_m", "0")),
    wrong.fails(without("sweeps", "W-induction")),
    wrong.passes(with_sweep("W-induction", area=box(-2, -0.5, 12, 6))),
    wrong.fails(with_sweep("W-induction", area=box(-2, -0.499999, 12, 6))),
    wrong.passes(with_trace("T-2", **reaching(4)), with_sweep("W-induction", area=box(-2, -2, 12, 4.9))),
    wrong.fails(with_trace("T-2", **reaching(4)), with_sweep("W-induction", area=box(-2, -2, 12, 4.899999))),
    wrong.fails(with_sweep("W-induction", area=box(-2, 1, 12, 6))),
    wrong.passes(with_sweep("W-induction", area=box(-2, 1, 12, 6)), and_sweep("W-more", "induction", area=box(-2, -2, 12, 1), transmitter_offset_m="4")),
    wrong.fails(with_sweep("W-induction", area=box(-2, 1, 12, 6)), and_sweep("W-more", "induction", area=box(-2, -2, 12, 1), transmitter_offset_m="3")),
    wrong.passes(traced("passive_power"), and_trace("T-9", "clamp", line((0, 2), (1, 2)), services=("SV-2",))),
]


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_each_service_of_the_plans_is_accounted_for(row: Row) -> None:
    assert found(row) == wanted(row)


# each change leaves all that is said before it as wrong as it was
REASONS = [
    ({"technique": "passive_power", "depth_m": None, **reaching(6)}, "passive power cannot vouch for what conducts"),
    ({"technique": "sonde", "depth_m": "9", **reaching(6)}, "sonde cannot vouch for what conducts"),
    ({"depth_m": None, **reaching(4.6)}, "less than 0.5 m of it lies in the needed ground"),
    ({"technique": "exposed", **reaching(6)}, "exposed outside the needed ground"),
    ({"depth_m": None}, "without a depth"),
    ({"depth_m": "2.5"}, "by induction and read deeper than 2.0 m"),
    ({"depth_m": "2"}, "do not cover its line"),
]


@pytest.mark.parametrize(("changes", "told"), REASONS)
def test_the_first_reason_that_fails_is_told(changes: dict, told: str) -> None:
    verdict = judged(with_sweep("W-induction", area=OUTLINE, transmitter_offset_m="1"), with_trace("T-2", **changes))
    says = said(verdict)[("service.wrong_technique", "service:SV-2")].says
    assert says.startswith("Trace T-2 does not vouch for the electricity service SV-2: ")
    assert told in says


def test_what_does_not_conduct_is_told_so() -> None:
    one = said(judged(with_trace("T-1", technique="induction")))[("service.wrong_technique", "service:SV-1")]
    assert "induction cannot vouch for what does not conduct" in one.says


def test_the_first_trace_by_name_is_told() -> None:
    verdict = judged(traced("sonde"), and_trace("T-10", "passive_radio", line((3, 0), (3, 3)), services=("SV-2",)))
    assert said(verdict)[("service.wrong_technique", "service:SV-2")].says.startswith("Trace T-10 ")


def test_a_service_to_be_taken_as_live_has_no_numbers() -> None:
    one = said(judged(UNFOUND, BY_HAND))[("treat_as_live", "service:SV-2")]
    assert (one.distance_m, one.area_m2, one.volume_m3) == (None, None, None)
