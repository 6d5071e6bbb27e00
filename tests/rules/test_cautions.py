"""Cautions on plans, traces and sweeps. They stop nothing."""

import pytest
from shapely.geometry import box

from records.rules.words import UTILITIES
from tests.rules.cast import line
from tests.rules.changes import (
    Change,
    and_enquiry,
    and_outcome,
    and_sweep,
    and_trace,
    services,
    with_enquiry,
    with_permit,
    with_rule,
    with_sweep,
    with_trace,
)
from tests.rules.table import Row, caution, found, wanted

closed = caution("plans.closed", "enquiry:E-3")
dropped = caution("plans.dropped", "service:SV-2")
by_word = caution("service.by_word", "service:SV-2")
in_part = caution("clearance.exposed_in_part", "trace:T-2")
from_passive = caution("depth.from_passive", "trace:T-2")
not_checked = caution("depth.not_checked", "trace:T-2")
disagrees = caution("depth.disagrees", "trace:T-2")
deep = caution("depth.induction_deep", "trace:T-2")
passive_only = caution("trace.passive_only", "trace:T-9")
unplanned = caution("trace.unplanned", "trace:T-9")
no_width = caution("trace.no_width", "trace:T-9")
too_near = caution("sweep.too_near", "sweep:W-induction")

NEW = {"answered_at": "2027-02-25T10:00"}
WRONG = ("service.wrong_technique",)
UNNAMED = with_trace("T-2", services=())
SHUT = {"closed_on": "2027-03-01", "closed_because": "the owner does not answer"}


def instead(name: str, *replaces: str, same_as: tuple[str, ...] = (), **more: object) -> Change:
    """One more answer of the power company, that shows one service and replaces others."""
    shown = services(name, f"SV-{name[2:]}", same_as=same_as, utility="electricity", conductive=True)
    return and_enquiry(name, "Birch Power", **{**NEW, "services": shown, "replaces": replaces, **more})


def exposed(y: float) -> Change:
    """The power service is known by its exposure alone, from outside down to there; the needed ground ends at 5."""
    return with_trace("T-2", technique="exposed", line=line((3, y), (3, 9)))


def other(technique: str = "clamp", **changes: object) -> Change:
    return and_trace("T-9", technique, line((0, 2), (1, 2)), **changes)


def read(depth_m: str, raised_depth_m: str, **changes: object) -> Change:
    """Read by clamp, and again with the receiver raised by half a metre."""
    return with_trace("T-2", technique="clamp", depth_m=depth_m, raised_by_m="0.5", raised_depth_m=raised_depth_m, **changes)


CLOSED_IN_2018 = and_enquiry("E-3", "Cedar Gas", sent_on="2018-11-01", closed_on="2018-11-04", closed_because="no reply")
UNREAD = {"raised_by_m": None, "raised_depth_m": None}

PLANS = [
    closed.fails(and_enquiry("E-3", "Cedar Gas", **SHUT), since="2027-03-01T00:00"),
    closed.fails(and_enquiry("E-3", "Cedar Gas", closed_on="2027-03-04"), since="2027-03-04T00:00", at="2027-03-04T00:00"),
    closed.passes(and_enquiry("E-3", "Cedar Gas", closed_on="2027-03-04"), at="2027-03-03T23:59:59", also=("plans.unanswered",)),
    closed.passes(and_enquiry("E-3", "Cedar Gas", **SHUT), and_enquiry("E-4", "CEDAR gas"), also=("plans.unanswered",)),
    closed.passes(and_enquiry("E-3", "Birch Power", **SHUT)),
    closed.fails(and_enquiry("E-3", "Cedar Gas", **SHUT), and_enquiry("E-4", "Cedar Gas", **SHUT), since="2027-03-01T00:00"),
    closed.fails(
        and_enquiry("E-3", "Cedar Gas", sent_on="2018-11-01", closed_on="2018-11-04"), day="2018-11-04", zone="America/Sao_Paulo", since="2018-11-04T01:00"
    ),
    dropped.fails(instead("E-3", "E-2"), UNNAMED, also=("service.unaccounted",)),
    dropped.passes(instead("E-3", "E-2", same_as=("SV-2",))),
    dropped.fails(and_enquiry("E-3", "Birch Power", replaces=("E-2",), nothing_shown=True, **NEW)),
    dropped.passes(and_enquiry("E-3", "Birch Power", nothing_shown=True, **NEW)),
    dropped.passes(and_enquiry("E-3", "Birch Power", replaces=("E-2",))),
    dropped.passes(and_enquiry("E-3", "Birch Power", replaces=("E-2",), nothing_shown=True, answered_at="2027-03-04T09:00:01")),
    dropped.fails(and_enquiry("E-3", "Birch Power", replaces=("E-2",), nothing_shown=True, answered_at="2027-03-04T09:00")),
    # replaced in its turn: the live one alone tells what is dropped
    dropped.passes(instead("E-3", "E-2", same_as=("SV-2",)), instead("E-4", "E-3", "E-2", same_as=("SV-3",))),
    dropped.fails(instead("E-3", "E-2", same_as=("SV-2",)), instead("E-4", "E-3", "E-2"), also=("service.unaccounted",)),
    dropped.fails(instead("E-3", "E-2", same_as=("SV-2",)), instead("E-4", "E-3"), subject="service:SV-3", also=("service.unaccounted",)),
    dropped.passes(instead("E-3", "E-2"), instead("E-4", "E-3", same_as=("SV-3",)), also=("service.unaccounted",)),
    dropped.passes(
        instead("E-3", "E-2"),
        instead("E-4", "E-3", same_as=("SV-3",)),
        and_enquiry("E-5", "Birch Power", replaces=("E-2",)),
        also=("service.unaccounted",),
    ),
    dropped.passes(and_enquiry("E-3", "Birch Power", replaces=("E-2",), nothing_shown=True, **NEW), with_enquiry("E-2", answered_at="2027-03-04T09:00:01")),
    by_word.fails(UNNAMED, and_outcome("SV-2", "outside_dig")),
    by_word.passes(and_outcome("SV-2", "outside_dig")),
    by_word.fails(and_outcome("SV-2", "outside_dig"), with_trace("T-2", line=line((3, 5.000001), (3, 9)))),
    by_word.passes(UNNAMED, and_outcome("SV-2", "not_found"), also=("service.not_found",)),
    by_word.passes(UNNAMED, and_outcome("SV-2", "outside_dig"), with_enquiry("E-2", good_through="2027-03-03"), also=("plans.lapsed",)),
]

TRACES = [
    in_part.fails(exposed(4.500001)),
    in_part.passes(exposed(4.5)),
    in_part.passes(exposed(4.5000004)),
    in_part.fails(exposed(5)),
    in_part.passes(exposed(5.000001), also=WRONG),
    in_part.fails(exposed(4.8), with_permit(method="bore"), also=("clearance.bore_unexposed",)),
    in_part.passes(exposed(4.8), with_permit(method="hand")),
    in_part.passes(exposed(4.8), with_permit(method="vacuum")),
    in_part.passes(exposed(4.8), other(services=("SV-2",))),
    in_part.fails(exposed(4.8), other("passive_power", services=("SV-2",))),
    in_part.passes(exposed(4.8), other("exposed", services=("SV-2",))),
    in_part.passes(with_trace("T-2", technique="clamp", line=line((3, 4.8), (3, 9))), also=WRONG),
    *(from_passive.fails(with_trace("T-2", technique=technique), also=WRONG) for technique in ("passive_power", "passive_radio")),
    from_passive.passes(with_trace("T-2", technique="passive_power", depth_m=None), also=WRONG),
    *(from_passive.passes(with_trace("T-2", technique=technique)) for technique in ("induction", "direct_connection", "clamp", "exposed")),
    not_checked.fails(with_trace("T-2", **UNREAD)),
    not_checked.passes(),
    not_checked.passes(with_trace("T-2", technique="clamp", depth_m=None, **UNREAD)),
    not_checked.passes(with_trace("T-2", technique="exposed", **UNREAD)),
    not_checked.passes(with_trace("T-2", technique="passive_power", **UNREAD), also=WRONG),
    not_checked.fails(with_trace("T-1", depth_m="1"), subject="trace:T-1"),
    # within the larger of 0.05 m and a twentieth of the depth, exactly that included
    disagrees.passes(read("1", "1.55")),
    disagrees.fails(read("1", "1.551")),
    disagrees.passes(read("1", "1.45")),
    disagrees.fails(read("1", "1.449")),
    disagrees.passes(read("1.02", "1.571")),
    disagrees.fails(read("1.02", "1.572")),
    disagrees.passes(read("0.1", "0.65")),
    disagrees.passes(read("3", "3.65")),
    disagrees.fails(read("3", "3.651")),
    disagrees.fails(read("1", "1.55"), with_rule("depth_tolerance_m", "0.049"), with_rule("depth_tolerance_ratio", "0.049")),
    disagrees.passes(read("1", "1.55"), with_rule("depth_tolerance_m", "0")),
    disagrees.passes(read("1", "1.6"), with_rule("depth_tolerance_m", "0.1")),
    disagrees.passes(read("1", "1.6"), with_rule("depth_tolerance_ratio", "0.1")),
    disagrees.passes(with_trace("T-2", technique="exposed", raised_depth_m="9")),
    disagrees.passes(with_trace("T-2", technique="passive_radio", raised_depth_m="9"), also=WRONG),
    deep.fails(with_trace("T-2", depth_m="2.001"), also=WRONG),
    deep.passes(with_trace("T-2", depth_m="2")),
    deep.fails(with_rule("induction_max_depth_m", "0.999"), also=WRONG),
    deep.passes(with_rule("induction_max_depth_m", "2.001"), with_trace("T-2", depth_m="2.001")),
    *(deep.passes(with_trace("T-2", technique=technique, depth_m="9")) for technique in ("direct_connection", "clamp", "exposed")),
    deep.passes(with_trace("T-2", technique="passive_power", depth_m="9"), also=WRONG),
    *(passive_only.fails(other(technique, services=("SV-2",))) for technique in ("passive_power", "passive_radio")),
    passive_only.passes(other("passive_power")),
    passive_only.passes(other("clamp", services=("SV-2",))),
    unplanned.fails(other()),
    unplanned.fails(other("passive_power")),
    unplanned.passes(other(services=("SV-2",))),
    *(no_width.fails(other(utility=utility)) for utility in UTILITIES if utility not in ("electricity", "telecom")),
    *(no_width.passes(other(utility=utility)) for utility in ("electricity", "telecom")),
    no_width.passes(other(utility="gas", width_m="0.001")),
    too_near.fails(with_sweep("W-induction", transmitter_offset_m="3.749"), also=WRONG),
    too_near.passes(with_sweep("W-induction", transmitter_offset_m="3.75")),
    too_near.fails(with_sweep("W-induction", transmitter_offset_m=None), also=WRONG),
    too_near.fails(with_rule("transmitter_min_offset_m", "5.001"), also=WRONG),
    too_near.passes(with_rule("transmitter_min_offset_m", "5")),
    too_near.passes(subject="sweep:W-passive_power-0"),
    too_near.passes(and_sweep("W-9", "clamp", transmitter_offset_m="1"), subject="sweep:W-9"),
    too_near.fails(and_sweep("W-9", "induction", area=box(50, 50, 51, 51), transmitter_offset_m="0"), subject="sweep:W-9"),
]


@pytest.mark.parametrize("row", [*PLANS, *TRACES], ids=str)
def test_what_is_not_wrong_but_should_be_known(row: Row) -> None:
    assert found(row) == wanted(row)
