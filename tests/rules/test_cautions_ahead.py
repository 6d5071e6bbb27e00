"""Cautions on what ends soon, on the window, and on the numbers in force. They stop nothing."""

import pytest

from tests.rules.changes import (
    Change,
    and_award,
    and_calibration,
    and_check,
    together,
    with_award,
    with_calibration,
    with_instrument,
    with_locate,
    with_permit,
    with_rule,
    without_locate,
)
from tests.rules.table import Row, caution, found, wanted

DIG = "person:C-1/dig"
RX = "instrument:RX-1"
soon = caution("due.soon", DIG)
soon_instrument = caution("due.soon", RX)
soon_operator = caution("due.soon", "person:O-1/sonde")
hire_over = caution("instrument.hire_over", RX)
begun = caution("window.begun", "permit")
standing = caution("standing", "permit")

OPEN = together(with_locate(finished_at=None), with_rule("locate_max_hours", "168"))
LATER = with_locate(started_at="2027-03-04T09:00:01", finished_at=None)
UNFINISHED = ("locate.unfinished",)
MIDNIGHT, BEFORE = {"at": "2027-03-04T00:00"}, {"at": "2027-03-03T23:59:59"}


def expires(person: str, day: str) -> Change:
    return with_award(person, expires_on=day)


def due(day: str) -> Change:
    return with_calibration("RX-1", due_on=day)


def self_tested(days: int) -> Change:
    """The receiver's self-test, made on 1 March, is good through its day and so many more."""
    return with_instrument("RX-1", self_test_days=days)


DUE = [
    # 30 days from midnight on 4 March is midnight on 3 April, the end of 2 April
    soon.fails(expires("C-1", "2027-04-02"), **MIDNIGHT),
    soon.passes(expires("C-1", "2027-04-02"), **BEFORE),
    soon.fails(expires("C-1", "2027-04-02")),
    soon.passes(expires("C-1", "2027-04-03")),
    soon.passes(expires("C-1", "2027-03-03"), also=("crew.lapsed",)),
    soon.fails(expires("C-1", "2027-03-04"), also=("window.outlasts_evidence",)),
    # days of 24 hours: one is an hour longer in April
    soon.fails(expires("C-1", "2027-04-04"), day="2027-03-06", at="2027-03-06T01:00"),
    soon.passes(expires("C-1", "2027-04-04"), day="2027-03-06", at="2027-03-06T00:59:59"),
    soon.fails(
        expires("C-1", "2027-03-13"),
        with_rule("due_soon_days", "1"),
        day="2027-03-13",
        at="2027-03-13T00:00",
        zone="America/New_York",
        also=("window.outlasts_evidence",),
    ),
    soon.passes(expires("C-1", "2027-03-06"), with_rule("due_soon_days", "1")),
    soon.fails(expires("C-1", "2027-03-04"), with_rule("due_soon_days", "1"), also=("window.outlasts_evidence",)),
    # unbroken cover; what is to come does not count
    soon.passes(expires("C-1", "2027-03-20"), and_award("C-1", "A-2", "2027-03-04", "dig")),
    soon.fails(expires("C-1", "2027-03-20"), and_award("C-1", "A-2", "2027-03-05", "dig")),
    soon.passes(with_award("C-1", withdrawn_on="2027-03-20")),
    soon.passes(with_award("C-1", valid_months=None)),
    soon.fails(expires("I-1", "2027-04-02"), subject="person:I-1/issue_permit"),
    soon.passes(expires("I-1", "2027-04-03"), subject="person:I-1/issue_permit"),
    soon.fails(expires("R-1", "2027-04-02"), subject="person:R-1/receive_permit"),
    soon.passes(expires("R-1", "2027-04-02"), subject="person:R-1/dig"),
    soon_operator.fails(expires("O-1", "2027-04-02")),
    soon_operator.passes(expires("O-1", "2027-04-03")),
    soon_operator.passes(expires("O-1", "2027-04-02"), subject="person:O-1/clamp"),
    soon_operator.passes(expires("O-1", "2027-04-02"), LATER, also=UNFINISHED),
    soon.fails(expires("C-1", "2027-04-02"), LATER, also=UNFINISHED),
    soon_instrument.fails(due("2027-04-02"), **MIDNIGHT),
    soon_instrument.passes(due("2027-04-02"), **BEFORE),
    soon_instrument.passes(due("2027-04-02"), LATER, also=UNFINISHED),
    soon_instrument.passes(due("2027-04-02"), and_calibration("RX-1", "K-2", "2027-03-03")),
    soon_instrument.passes(due("2027-03-03"), also=("instrument.calibration_lapsed",)),
    soon_instrument.passes(with_instrument("RX-1", calibration_months=None)),
    soon_instrument.passes(with_calibration("CL-1", due_on="2027-04-02"), subject="instrument:CL-1"),
    soon_instrument.fails(self_tested(32), **MIDNIGHT),
    soon_instrument.passes(self_tested(32), **BEFORE),
    soon_instrument.passes(self_tested(33)),
    soon_instrument.passes(self_tested(2), also=("instrument.self_test_lapsed",)),
    soon_instrument.passes(self_tested(32), and_check("RX-1", "H-2", "2027-03-02T07:00", "pass", "self_test")),
    soon_instrument.passes(self_tested(32), and_check("RX-1", "H-2", "2027-03-02T07:00", "fail", "self_test"), also=("instrument.self_test_lapsed",)),
    soon_instrument.passes(with_instrument("RX-1", self_test_days=None)),
]

WINDOW = [
    hire_over.fails(with_instrument("RX-1", hired_until="2027-03-01")),
    hire_over.passes(with_instrument("RX-1", hired_until="2027-03-02")),
    hire_over.fails(with_instrument("RX-1", hired_until="2027-03-02"), with_locate(finished_at="2027-03-03T00:00")),
    hire_over.passes(with_instrument("RX-1", hired_until="2027-03-02"), with_locate(finished_at="2027-03-02T23:59:59")),
    hire_over.fails(OPEN, with_instrument("RX-1", hired_until="2027-03-03"), also=UNFINISHED),
    hire_over.passes(OPEN, with_instrument("RX-1", hired_until="2027-03-04"), also=UNFINISHED),
    hire_over.passes(LATER, with_instrument("RX-1", hired_until="2027-03-01"), also=UNFINISHED),
    hire_over.passes(with_instrument("CL-1", hired_until="2027-03-01"), subject="instrument:CL-1"),
    begun.passes(with_permit(valid_from="2027-03-03T09:00")),
    begun.fails(with_permit(valid_from="2027-03-03T08:59:59")),
    begun.passes(with_permit(valid_from="2027-03-03T08:59:59", valid_to="2027-03-03T08:59:59"), also=("window.reversed",)),
    begun.fails(with_permit(valid_from="2027-03-03T08:00", valid_to="2027-03-03T08:00:01"), also=("window.past",)),
    begun.passes(with_permit(valid_from="2027-03-13T08:00"), day="2027-03-14", zone="America/New_York"),
    begun.fails(with_permit(valid_from="2027-03-13T07:59:59"), day="2027-03-14", zone="America/New_York"),
    standing.fails(),
    standing.fails(without_locate(), also=("locate.none",)),
    standing.fails(with_permit(valid_to="2027-03-04T07:00"), also=("window.reversed",)),
]

# for each key: what gives less than the default, the default, and what gives more
KEYS = {
    "plan_valid_days": ("29", "28", "27"),
    "locate_valid_days": ("15", "14", "13"),
    "locate_max_hours": ("25", "24", "23"),
    "permit_max_hours": ("169", "168", "167"),
    "sweep_margin_m": ("0.999", "1", "1.001"),
    "two_directions": ("no", "yes", "yes"),
    "transmitter_min_offset_m": ("3.749", "3.750", "3.751"),
    "induction_max_depth_m": ("2.001", "2.000", "1.999"),
    "check_valid_hours": ("13", "12", "11"),
    "depth_tolerance_m": ("0.051", "0.05", "0.049"),
    "depth_tolerance_ratio": ("0.051", "0.05", "0.049"),
    "hand_dig_m": ("0.499", "0.5", "0.501"),
    "position_tolerance_A_m": ("0.049", "0.05", "0.051"),
    "position_tolerance_B_m": ("0.299", "0.3", "0.301"),
    "position_tolerance_C_m": ("0.999", "1", "1.001"),
    "position_tolerance_D_m": ("1.999", "2", "2.001"),
    "due_soon_days": ("29", "30", "31"),
}


def in_force(key: str, less: str, default: str, more: str) -> list[Row]:
    looser = caution("rules.looser", f"rule:{key}")
    return [
        looser.fails(with_rule(key, less)),
        looser.passes(with_rule(key, default)),
        looser.passes(with_rule(key, more)),
        looser.fails(with_rule(key, less, "2027-03-04"), with_rule(key, more), **MIDNIGHT),
        looser.passes(with_rule(key, less, "2027-03-04"), **BEFORE),
        looser.passes(with_rule(key, less), with_rule(key, more, "2027-03-04")),
    ]


ahead = caution("rules.change_ahead", "rule:plan_valid_days")

RULES = [
    *(row for key, values in KEYS.items() for row in in_force(key, *values)),
    ahead.fails(with_rule("plan_valid_days", "28", "2027-03-05")),
    ahead.fails(with_rule("plan_valid_days", "28", "2027-03-06")),
    ahead.passes(with_rule("plan_valid_days", "28", "2027-03-07")),
    ahead.passes(with_rule("plan_valid_days", "28", "2027-03-04")),
    ahead.fails(with_rule("plan_valid_days", "20", "2027-03-04"), **BEFORE),
    ahead.passes(with_rule("plan_valid_days", "20", "2027-03-04"), **MIDNIGHT),
    ahead.passes(with_rule("plan_valid_days", "28", "2027-03-06"), with_permit(valid_to="2027-03-06T00:00")),
    ahead.fails(with_rule("plan_valid_days", "28", "2027-03-06"), with_permit(valid_to="2027-03-06T00:00:01")),
    ahead.passes(with_rule("plan_valid_days", "28", "2018-11-04"), with_permit(valid_to="2018-11-04T03:00Z"), day="2018-11-03", zone="America/Sao_Paulo"),
    ahead.fails(with_rule("plan_valid_days", "28", "2018-11-04"), with_permit(valid_to="2018-11-04T03:00:01Z"), day="2018-11-03", zone="America/Sao_Paulo"),
]


@pytest.mark.parametrize("row", [*DUE, *WINDOW, *RULES], ids=str)
def test_what_comes_soon_and_what_is_looser_should_be_known(row: Row) -> None:
    assert found(row) == wanted(row)
