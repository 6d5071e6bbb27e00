"""The steps of a locate under way: what each lacks by the gate's own judgement, what is not the operator's to mend, and which comes next."""

from dataclasses import replace
from decimal import Decimal

import pytest
from shapely.geometry import Polygon, box

from locates.fieldwork.rules import offers, steps, underway
from locates.fieldwork.rules.tally import across, along, tally
from locates.permits.rules.frame import framed
from tests.rules import cast
from tests.rules.changes import and_outcome, with_enquiry, with_locate, with_sweep, with_trace, without

AT = cast.clear().locate.finished_at
POWER = ("W-passive_power-0", "W-passive_power-90")
EVERYONES = frozenset(one.enquiry for one in cast.clear().enquiries)


def sheet(**other):
    permit = cast.clear().permit
    plain = {"outline": permit.outline, "depth_m": permit.depth_m, "method": permit.method, "plans_seen": EVERYONES, "marks": ("paint",), "photographs": 1}
    return underway.Sheet(**plain | other)


def as_under_way(evidence, told):
    """The evidence with the permit that stands in, while the locate is not finished."""
    operator = evidence.locate.operator
    begun = replace(evidence.locate, finished_at=None)
    return replace(evidence, permit=underway.stand_in(told, operator, AT), locate=begun)


def found(change=lambda one: one, **other):
    told = sheet(**other)
    return {step.name: step for step in steps.steps(as_under_way(change(cast.clear()), told), told, AT)}


def test_a_whole_locate_lacks_nothing_and_is_ready_to_sign():
    every = found()
    assert {name: step.missing for name, step in every.items() if step.missing} == {}
    assert steps.current(every.values()) == steps.SIGN
    assert list(every) == list(steps.NAMES)
    assert every["sign"].word == "done"


@pytest.mark.parametrize(
    ("change", "step", "says"),
    [
        (without("sweeps", *POWER), "passive_power", "not swept by passive power"),
        (with_sweep("W-passive_power-90", bearing_deg=Decimal(10)), "passive_power", "two directions"),
        (with_sweep("W-passive_radio-0", area=box(0, 0, 1, 1)), "passive_radio", "passive radio"),
        (with_locate(transmitter=None), "kit", "transmitter"),
        (without("traces", "T-2"), "services", "named by no trace"),
    ],
)
def test_what_the_gate_would_block_stands_at_its_step(change, step, says):
    every = found(change)
    assert any(says in one for one in every[step].missing), every[step]
    assert every[step].word == "open"


def test_the_first_step_that_lacks_something_comes_next():
    assert steps.current(found(without("sweeps", "W-passive_radio-0", "W-passive_radio-90")).values()) == steps.RADIO


@pytest.mark.parametrize(
    ("other", "step", "says"),
    [
        ({"outline": None}, "dig", "The outline of the dig is not told yet."),
        ({"outline": None}, "passive_radio", "The ground to sweep is known once the outline is told."),
        ({"depth_m": None}, "dig", "The depth of the dig is not told yet."),
        ({"method": None}, "dig", "The method of the dig is not told yet."),
        ({"plans_seen": frozenset()}, "plans", "were not looked at yet."),
        ({"marks": ()}, "marks", "Nothing says how what was traced is marked"),
    ],
)
def test_what_the_sheet_lacks_stands_at_its_step(other, step, says):
    assert any(says in one for one in found(**other)[step].missing)


def test_an_owner_who_did_not_answer_is_not_the_operators_to_mend():
    name = min(EVERYONES)
    every = found(with_enquiry(name, answered_at=None, services=()))
    assert every["plans"].missing == () and any(name in one or "answered" in one for one in every["plans"].beyond)


def test_passive_sweeps_alone_are_never_enough():
    def passive_only(evidence):
        kept = tuple(one for one in evidence.locate.sweeps if one.technique.startswith("passive"))
        return replace(evidence, locate=replace(evidence.locate, sweeps=kept, traces=()))

    def and_nothing_to_trace(evidence):
        bare = passive_only(evidence)
        return replace(bare, enquiries=tuple(replace(one, services=(), nothing_shown=True) for one in bare.enquiries))

    assert found(passive_only)["active"].missing == () and found(passive_only)["services"].missing  # tracing comes next
    assert any("passive sweeps alone are never enough" in one for one in found(and_nothing_to_trace)["active"].missing)


def test_a_step_in_which_nothing_need_be_recorded_says_so():
    every = found(photographs=0)
    assert (every["photographs"].word, every["photographs"].missing, every["photographs"].done) == ("nothing yet", (), False)


def test_a_depth_that_disagrees_is_minded_and_keeps_nothing_back():
    every = found(with_trace("T-2", depth_m=Decimal("1.0"), raised_by_m=Decimal("0.3"), raised_depth_m=Decimal("2.0")))
    assert every["traces"].mind and not every["traces"].missing


def frame(change=lambda one: one, **other):
    return framed(as_under_way(change(cast.clear()), sheet(**other)), AT)


def service(conductive):
    return next(one for evidence in [cast.clear()] for enquiry in evidence.enquiries for one in enquiry.services if one.conductive == conductive)


def test_a_conductor_is_offered_direct_connection_first_and_exposing_last():
    offered = offers.offers(frame(), service(True))
    assert [one.technique for one in offered] == ["direct_connection", "clamp", "induction", "exposed"]
    assert offered[0].against == () and any("clean bare metal" in one for one in offered[0].points)
    assert offers.best(offered).technique == "direct_connection"


def test_what_does_not_conduct_is_offered_a_sonde():
    plastic = replace(service(True), conductive=False)
    assert [one.technique for one in offers.offers(frame(), plastic)] == ["sonde", "exposed"]


def test_a_technique_without_its_instrument_or_its_award_is_offered_with_what_stands_against_it():
    bare = frame(with_locate(transmitter=None, clamp=None, sonde=None))
    by = {one.technique: one.against for one in offers.offers(bare, service(True))}
    assert by["direct_connection"] == ("no transmitter is picked for this locate",)
    assert by["clamp"] == ("no transmitter is picked for this locate", "no clamp is picked for this locate")
    assert offers.best(offers.offers(bare, service(True))).technique == "exposed"
    untrained = frame(lambda one: replace(one, locate=replace(one.locate, operator=replace(one.locate.operator, awards=()))))
    assert any("no award for induction" in one for one in {one.technique: one for one in offers.offers(untrained, service(True))}["induction"].against)


def test_inductions_points_tell_the_numbers_in_force():
    told = " ".join(offers.points(frame(), "induction"))
    assert "to 2.0 m" in told and "3.75 m or more" in told


def test_the_tally_tells_what_is_not_swept_to_the_hundredth():
    swept = tally(frame())
    assert all(one.enough for one in swept.ground)
    nothing = tally(frame(without("sweeps", *POWER)))
    power = next(one for one in nothing.ground if one.technique == "passive_power")
    assert power.unswept_m2 == round(power.unswept_m2, 6) > 0
    assert f"{nothing.needed_m2} m² of the needed ground is not swept" in power.says
    one_way = next(one for one in tally(frame(with_sweep("W-passive_power-90", bearing_deg=Decimal(10)))).ground if one.technique == "passive_power")
    assert (one_way.unswept_m2, one_way.enough) == (0, False) and "one direction only" in one_way.says


def test_a_draft_counts_in_the_tally_and_nothing_else_changes():
    bare = as_under_way(without("sweeps", *POWER)(cast.clear()), sheet())
    area = bare.permit.outline.buffer(5)
    drawn = underway.with_sweep(underway.with_sweep(bare, "passive_power", area, Decimal(0)), "passive_power", area, Decimal(90))
    assert {one.technique: one.enough for one in tally(framed(drawn, AT)).ground} == {"passive_power": True, "passive_radio": True}
    assert {one.technique: one.enough for one in tally(framed(bare, AT)).ground} == {"passive_power": False, "passive_radio": True}


def test_an_outcome_shows_in_the_services():
    every = found(lambda one: and_outcome("SV-2", "not_found")(without("traces", "T-2")(one)), method="hand")
    assert not any(service(True).service in one for one in every["services"].missing)


@pytest.mark.parametrize(
    ("corners", "bearing"),
    [
        ([(0, 0), (10, 0), (10, 2), (0, 2)], 90),
        ([(0, 0), (2, 0), (2, 10), (0, 10)], 0),
        ([(0, 0), (7, 7), (6, 8), (-1, 1)], 45),
        ([(0, 0), (7, -7), (8, -6), (1, 1)], 135),
    ],
)
def test_one_walks_along_the_dig_first_and_then_across_it(corners, bearing):
    assert along(Polygon(corners)) == bearing
    assert across(bearing) == (bearing + 90) % 180


def test_what_is_picked_is_checked_before_the_search_though_nothing_has_needed_it_yet():
    def unchecked(evidence):
        clamp = replace(evidence.locate.clamp, checks=())
        return replace(evidence, locate=replace(evidence.locate, clamp=clamp))

    assert found()["kit"].missing == ()
    assert found(unchecked)["kit"].missing == ("The clamp CL-1 is picked, and was not checked before use yet.",)


def test_nothing_is_said_of_ground_before_there_is_an_outline():
    def of_other_ground(evidence):
        return replace(evidence, enquiries=tuple(replace(one, area=box(500, 500, 600, 600)) for one in evidence.enquiries))

    assert any("do not cover" in one for one in found(of_other_ground)["plans"].beyond)
    assert found(of_other_ground, outline=None)["plans"].beyond == ()


def test_an_active_step_in_which_nothing_was_done_is_not_done():
    bare = found(lambda one: replace(one, locate=replace(one.locate, traces=(), sweeps=())))
    assert (bare["active"].word, found()["active"].word) == ("nothing yet", "done")
