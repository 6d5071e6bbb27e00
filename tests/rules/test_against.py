"""Plans against the ground: how each service is accounted for, and how far lines lie apart."""

from decimal import Decimal

import pytest
from shapely.geometry import LineString, Point

from locates.permits.rules.frame import framed
from locates.trials.rules.against import Dug, Planned, by_which, compared, difference, to_tell
from tests.rules.cast import DAY, clear, instant, line
from tests.rules.changes import and_enquiry, and_outcome, and_trace, services, together, with_permit, with_trace, without

LIMIT = Decimal("0.5")


def frame(*changes):
    evidence = together(*changes)(clear())
    return framed(evidence, instant(f"{DAY}T09:00", evidence.site.zone))


def shown(*changes, planned=None, holes=()):
    return {one.service.service: one for one in compared(frame(*changes), planned or {}, holes, LIMIT)}


def told(*changes, planned=None, holes=(), utilities=("water", "electricity")):
    found = frame(*changes)
    every = compared(found, planned or {}, holes, LIMIT)
    beside = {name: (one, utility) for (name, one), utility in zip((planned or {}).items(), utilities, strict=False)}
    return list(to_tell(found, every, beside, holes, LIMIT))


NOT_FOUND = (without("traces", "T-1"), and_outcome("SV-1", "not_found", "searched twice"))
HOWS = [
    ((), "SV-2", "traced", ""),
    ((with_trace("T-2", technique="exposed", quality_level="A"),), "SV-2", "exposed", ""),
    ((without("traces", "T-1"), and_outcome("SV-1", "outside_dig", "the owner on the telephone")), "SV-1", "outside the dig", "the owner on the telephone"),
    (NOT_FOUND, "SV-1", "not found", "searched twice"),
    ((*NOT_FOUND, with_permit(method="hand")), "SV-1", "not found", "searched twice"),
    ((with_trace("T-2", technique="passive_power", quality_level="C"),), "SV-2", "in doubt", "passive power cannot vouch for what conducts"),
    ((without("traces", "T-1"),), "SV-1", "unaccounted", ""),
]


@pytest.mark.parametrize(("changes", "service", "word", "says"), HOWS)
def test_each_service_is_accounted_for_as_the_gate_reckons(changes, service, word, says):
    found = shown(*changes)[service]
    assert found.how == word
    assert says in found.says


def test_every_service_to_account_for_stands_there():
    assert set(shown()) == {"SV-1", "SV-2"}


def test_a_hole_on_its_trace_is_told_beside_it():
    found = shown(holes=[Dug("H-1", "T-2", Point(3, 1), "electricity"), Dug("H-2", "T-1", Point(7, 1), "water")])["SV-2"]
    assert found.says == "exposed in trial hole H-1"
    assert [by_which(one) for one in found.traces] == ["by induction"]


# by hand: lines along each other, askew, past an end, across, round a corner
LINES = [
    ([line((0, 0.3), (10, 0.3))], line((-1, 0), (11, 0)), ("0.3", "0.3", "10")),
    ([line((0, 0), (10, 1))], line((-1, 0), (11, 0)), ("1", "0.5", "10.05")),
    ([line((0, 0.3), (20, 0.3))], line((-1, 0), (10, 0)), ("0.3", "0.3", "10")),
    ([line((0, 0.2), (5, 0.2)), line((5, 0.4), (10, 0.4))], line((-1, 0), (11, 0)), ("0.4", "0.3", "10")),
    ([line((5, -2), (5, 2))], line((0, 0), (10, 0)), ("2", "1", "4")),
    ([line((0, 1), (9, 1), (9, 10))], line((0, 0), (10, 0), (10, 10)), ("1", "1", "18")),
    ([line((1, 1), (1, 1.05))], line((0, 0), (10, 0)), ("1.05", "1.025", "0.05")),
]


@pytest.mark.parametrize(("traced", "planned", "wanted"), LINES)
def test_how_far_lines_lie_apart_where_they_run_beside_each_other(traced, planned, wanted):
    found = difference(traced, planned)
    assert [float(one) for one in (found.largest_m, found.mean_m, found.beside_m)] == pytest.approx([float(one) for one in wanted], abs=0.06)
    assert found.mark.length == pytest.approx(float(found.largest_m), abs=0.001)


def test_lines_that_nowhere_run_beside_each_other_are_so_far_apart_as_they_come_near():
    found = difference([line((12, 4), (20, 4))], line((0, 0), (9, 0)))
    assert (found.largest_m, found.beside_m) == (Decimal(5), 0)
    assert found.says == "nowhere beside each other; 5 m apart at the nearest"
    assert found.mark == LineString([(12, 4), (9, 0)])


@pytest.mark.parametrize(("x", "accuracy", "beyond"), [("3.5", None, False), ("3.501", None, True), ("3.9", "1", False), ("3.2", "0.1", True)])
def test_beyond_is_what_is_more_than_the_owner_or_else_the_firm_allows(x, accuracy, beyond):
    plan = {"SV-2": Planned(line((float(x), -20), (float(x), 20)), None if accuracy is None else Decimal(accuracy))}
    assert shown(planned=plan)["SV-2"].beyond == beyond
    assert [one.service for one in told(planned=plan)] == (["SV-2"] if beyond else [])


def test_what_is_told_of_a_service_that_lies_elsewhere_names_its_owner_and_both():
    (one,) = told(planned={"SV-2": Planned(line((4, -20), (4, 20)))})
    assert (one.owner, one.trace, one.service) == ("Birch Power", "T-2", "SV-2")
    assert one.says == "SV-2 electricity: traced as T-2, 1 m apart at most, 1 m on the mean, over 18 m; 0.5 m may be"


@pytest.mark.parametrize(("drawn", "apart"), [({"SV-9"}, "1"), ({"SV-2", "SV-9"}, "2"), ({"SV-1"}, None)])
def test_a_line_of_a_later_answer_s_same_service_serves_where_it_has_none_of_its_own(drawn, apart):
    """The later answer came after the locate, and so is no matter of the gate's then."""
    later = and_enquiry("E-9", "Birch Power", answered_at="2027-04-01T10:00", services=services("E-9", "SV-9", same_as=("SV-2",), utility="electricity"))
    lines = {"SV-9": Planned(line((4, -20), (4, 20))), "SV-2": Planned(line((5, -20), (5, 20))), "SV-1": Planned(line((7, -20), (7, 20)))}
    found = shown(later, planned={name: lines[name] for name in drawn})["SV-2"]
    assert (None if found.difference is None else found.difference.largest_m) == (None if apart is None else Decimal(apart))


def test_without_a_planned_line_nothing_is_said_of_where_it_lies():
    found = shown()["SV-2"]
    assert (found.difference, found.beyond, told()) == (None, False, [])


def test_a_trace_of_no_service_is_told_with_the_hole_that_exposes_it():
    stray = and_trace("T-9", "clamp", line((1, -9), (1, 9)), utility="gas", services=())
    (one,) = told(stray, holes=[Dug("H-3", "T-9", Point(1, 0), "gas")])
    assert (one.trace, one.owner) == ("T-9", "")
    assert one.says == "T-9 gas: traced by clamp, exposed in trial hole H-3, and shown on no plan"


@pytest.mark.parametrize(("x", "utility", "listed"), [(5, "water", False), (5.5, "unknown", False), (5.6, "water", True), (5, "gas", True)])
def test_what_a_hole_shows_is_told_unless_a_plan_has_such_a_service_there(x, utility, listed):
    plan = {"SV-1": Planned(line((5, -20), (5, 20)), LIMIT)}
    found = told(without("traces", "T-1"), planned=plan, holes=[Dug("H-4", None, Point(x, 1), utility)])
    assert [one.hole for one in found] == (["H-4"] if listed else [])
