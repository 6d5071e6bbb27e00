"""The instruments that the locate needed: named, in service, checked and tested before use, and not recalled since. Calibration has its own table."""

import pytest

from tests.rules.cast import IN, OUT, UNKNOWN, line
from tests.rules.changes import (
    Change,
    and_calibration,
    and_check,
    and_sweep,
    and_trace,
    together,
    with_check,
    with_instrument,
    with_locate,
    with_rule,
    with_trace,
    without,
)
from tests.rules.table import Row, block, caution, found, wanted

RX = "instrument:RX-1"
none = block("instrument.none", "locate:L-1/sonde")
out_of_service = block("instrument.out_of_service", RX)
check_failed = block("instrument.check_failed", RX)
check_missing = block("instrument.check_missing", RX)
self_test = block("instrument.self_test_lapsed", RX)
unknown = block("instrument.recall_unknown", RX)
recalled = block("instrument.recalled", RX)
unserved = caution("instrument.out_of_service_since", RX)

LATER = with_locate(started_at="2027-03-04T09:00:01", finished_at=None)
OPEN = together(with_locate(finished_at=None), with_rule("locate_max_hours", "168"))
UNFINISHED = ("locate.unfinished",)
BARE = ("locate.not_swept", "service.unaccounted")
BEFORE, SELF = "H-RX-1", "H-RX-1-self"


def checked(name: str, at: str, result: str = "fail", kind: str = "before_use") -> Change:
    return and_check("RX-1", name, at, result, kind)


def calibrated(name: str, on: str, as_found: str, **more: str) -> Change:
    return and_calibration("RX-1", name, on, as_found, **more)


def self_tested(at: str, **changes: str) -> Change:
    """The receiver's self-test made then; it is good through its day and seven more."""
    return together(with_instrument("RX-1", self_test_days=7), with_check("RX-1", SELF, checked_at=at, **changes))


NEEDED = [
    none.fails(with_locate(sonde=None)),
    none.passes(with_locate(sonde=None), with_trace("T-1", technique="exposed")),
    none.passes(with_locate(sonde=None, started_at="2027-03-04T09:00:01", finished_at=None), also=UNFINISHED),
    none.fails(with_locate(receiver=None), subject="locate:L-1/receiver"),
    none.fails(with_locate(receiver=None), without("sweeps"), without("traces"), subject="locate:L-1/receiver", also=BARE),
    none.passes(with_locate(clamp=None), subject="locate:L-1/clamp"),
    none.fails(with_locate(clamp=None), and_trace("T-9", "clamp", line((0, 2), (1, 2))), subject="locate:L-1/clamp"),
    none.fails(with_locate(clamp=None), and_sweep("W-9", "clamp"), subject="locate:L-1/clamp"),
    none.fails(with_locate(transmitter=None), subject="locate:L-1/transmitter"),
    none.fails(with_locate(transmitter=None), with_trace("T-2", technique="clamp"), without("sweeps", "W-induction"), subject="locate:L-1/transmitter"),
    none.fails(
        with_locate(transmitter=None), with_trace("T-2", technique="direct_connection"), without("sweeps", "W-induction"), subject="locate:L-1/transmitter"
    ),
    none.fails(with_locate(transmitter=None), with_trace("T-2", technique="exposed"), subject="locate:L-1/transmitter"),
    none.passes(with_locate(transmitter=None), with_trace("T-2", technique="exposed"), without("sweeps", "W-induction"), subject="locate:L-1/transmitter"),
    # one that is named but not needed is not judged
    out_of_service.passes(with_instrument("CL-1", out_of_service_from="2027-01-01"), subject="instrument:CL-1"),
    out_of_service.fails(
        and_sweep("W-9", "clamp"), with_instrument("CL-1", out_of_service_from="2027-01-01"), subject="instrument:CL-1", since="2027-01-01T00:00"
    ),
    check_missing.passes(with_check("CL-1", "H-CL-1", kind="self_test"), subject="instrument:CL-1"),
]

IN_SERVICE = [
    out_of_service.fails(with_instrument("RX-1", out_of_service_from="2027-03-02"), since="2027-03-02T00:00"),
    out_of_service.passes(with_instrument("RX-1", out_of_service_from="2027-03-03")),
    out_of_service.fails(with_instrument("RX-1", out_of_service_from="2027-03-03"), with_locate(finished_at="2027-03-03T00:00"), since="2027-03-03T00:00"),
    out_of_service.passes(with_instrument("RX-1", out_of_service_from="2027-03-03"), with_locate(finished_at="2027-03-02T23:59:59")),
    out_of_service.fails(OPEN, with_instrument("RX-1", out_of_service_from="2027-03-04"), since="2027-03-04T00:00", also=UNFINISHED),
    out_of_service.passes(OPEN, with_instrument("RX-1", out_of_service_from="2027-03-05"), also=UNFINISHED),
    out_of_service.passes(LATER, with_instrument("RX-1", out_of_service_from="2027-01-01"), also=UNFINISHED),
    out_of_service.fails(with_instrument("RX-1", out_of_service_from="2011-12-30"), day="2012-01-02", zone="Pacific/Apia", since="2011-12-30T10:00Z"),
    unserved.fails(with_instrument("RX-1", out_of_service_from="2027-03-03"), since="2027-03-03T00:00"),
    unserved.fails(with_instrument("RX-1", out_of_service_from="2027-03-04"), since="2027-03-04T00:00", at="2027-03-04T00:00"),
    unserved.passes(with_instrument("RX-1", out_of_service_from="2027-03-04"), at="2027-03-03T23:59:59"),
    unserved.passes(with_instrument("RX-1", out_of_service_from="2027-03-02"), also=("instrument.out_of_service",)),
    unserved.passes(with_instrument("CL-1", out_of_service_from="2027-03-03"), subject="instrument:CL-1"),
]

CHECKS = [
    check_failed.fails(with_check("RX-1", BEFORE, result="fail")),
    check_failed.fails(checked("H-2", "2027-03-02T07:31")),
    check_failed.passes(checked("H-2", "2027-03-02T07:29")),
    check_failed.fails(checked("H-2", "2027-03-02T08:00")),
    check_failed.fails(checked("H-2", "2027-03-02T07:31", kind="self_test"), also=("instrument.self_test_lapsed",)),
    check_failed.fails(checked("H-Z", "2027-03-02T07:30")),
    check_failed.passes(checked("H-A", "2027-03-02T07:30")),
    check_failed.passes(checked("H-Y", "2027-03-02T08:00"), checked("H-Z", "2027-03-02T08:00", "pass")),
    # before the hours in which a check serves; at their first instant
    check_failed.passes(with_check("RX-1", BEFORE, checked_at="2027-03-01T19:59:59", result="fail"), also=("instrument.check_missing",)),
    check_failed.fails(with_check("RX-1", BEFORE, checked_at="2027-03-01T20:00", result="fail")),
    # during the locate, its end included, though passed again since
    check_failed.fails(checked("H-2", "2027-03-02T11:00"), checked("H-3", "2027-03-02T11:00", "pass")),
    check_failed.passes(checked("H-2", "2027-03-02T11:00:01"), also=("instrument.recalled",)),
    check_failed.fails(checked("H-2", "2027-03-02T08:00:01"), checked("H-3", "2027-03-02T09:00", "pass")),
    check_failed.fails(OPEN, checked("H-2", "2027-03-04T09:00"), also=UNFINISHED),
    check_failed.passes(OPEN, checked("H-2", "2027-03-04T09:00:01"), also=UNFINISHED),
    check_failed.passes(LATER, checked("H-2", "2027-03-04T08:59"), also=UNFINISHED),
    check_missing.passes(with_check("RX-1", BEFORE, checked_at="2027-03-01T20:00")),
    check_missing.fails(with_check("RX-1", BEFORE, checked_at="2027-03-01T19:59:59")),
    check_missing.passes(with_check("RX-1", BEFORE, checked_at="2027-03-02T08:00")),
    check_missing.fails(with_check("RX-1", BEFORE, checked_at="2027-03-02T08:00:01")),
    check_missing.fails(with_check("RX-1", BEFORE, kind="self_test")),
    check_missing.passes(with_rule("check_valid_hours", "1"), with_locate(started_at="2027-03-02T08:30")),
    check_missing.fails(
        with_rule("check_valid_hours", "1"),
        *(with_check(name, f"H-{name}", checked_at="2027-03-02T07:45") for name in ("TX-1", "SD-1")),
        with_locate(started_at="2027-03-02T08:30:01"),
    ),
    check_missing.passes(with_check("RX-1", BEFORE, result="fail"), also=("instrument.check_failed",)),
    check_missing.fails(with_check("RX-1", BEFORE, result="fail"), checked("H-2", "2027-03-02T07:45", "pass", "self_test")),
    # failed, then passed: the latest counts
    check_missing.passes(with_check("RX-1", BEFORE, result="fail"), checked("H-2", "2027-03-02T07:45", "pass")),
    # twelve elapsed hours over the night on which London's clocks went forward
    check_missing.passes(with_check("RX-1", BEFORE, checked_at="2027-03-27T19:00"), day="2027-03-30", zone="Europe/London"),
    check_missing.fails(with_check("RX-1", BEFORE, checked_at="2027-03-27T18:59:59"), day="2027-03-30", zone="Europe/London"),
]

SELF_TESTS = [
    self_test.passes(self_tested("2027-02-25T10:00")),
    self_test.fails(self_tested("2027-02-24T10:00")),
    self_test.fails(self_tested("2027-02-25T23:59:59"), at="2027-03-05T00:00"),
    self_test.passes(self_tested("2027-02-25T00:00"), at="2027-03-04T23:59:59"),
    # at the start of the locate as well as now
    self_test.fails(self_tested("2027-02-22T10:00"), checked("H-2", "2027-03-03T10:00", "pass", "self_test")),
    self_test.passes(self_tested("2027-02-23T10:00"), checked("H-2", "2027-03-03T10:00", "pass", "self_test")),
    self_test.passes(self_tested("2027-03-02T08:00")),
    self_test.fails(self_tested("2027-03-02T08:00:01")),
    self_test.fails(self_tested("2027-02-25T10:00", result="fail")),
    self_test.fails(self_tested("2027-02-25T10:00"), checked("H-2", "2027-03-01T10:00", "fail", "self_test")),
    self_test.fails(checked("H-Z", "2027-03-01T08:00", "fail", "self_test")),
    self_test.passes(checked("H-A", "2027-03-01T08:00", "fail", "self_test")),
    self_test.passes(checked("H-2", "2027-03-01T10:00", "fail")),
    self_test.fails(checked("H-2", "2027-03-03T10:00", "fail", "self_test"), also=("instrument.recalled",)),
    self_test.passes(with_instrument("RX-1", self_test_days=None, checks=()), also=("instrument.check_missing",)),
    self_test.fails(with_check("RX-1", SELF, kind="before_use")),
    self_test.fails(self_tested("2028-02-22T10:00"), day="2028-03-01"),
    self_test.passes(self_tested("2028-02-22T10:00"), day="2028-02-29"),
    self_test.passes(LATER, with_check("RX-1", SELF, kind="before_use"), also=UNFINISHED),
]

RECALLS = [
    unknown.fails(calibrated("K-2", "2027-03-03", UNKNOWN), since="2027-03-03T00:00"),
    unknown.passes(calibrated("K-2", "2027-03-03", "in_tolerance")),
    unknown.passes(calibrated("K-2", "2027-03-03", "in_tolerance"), calibrated("K-3", "2027-03-03", UNKNOWN)),
    unknown.fails(calibrated("K-4", "2027-03-03", "in_tolerance"), calibrated("K-3", "2027-03-03", UNKNOWN), since="2027-03-03T00:00"),
    unknown.passes(calibrated("K-2", "2027-03-05", UNKNOWN)),
    unknown.fails(calibrated("K-2", "2027-03-05", UNKNOWN), at="2027-03-05T00:00", since="2027-03-05T00:00", also=("instrument.calibration_lapsed",)),
    unknown.passes(OPEN, calibrated("K-2", "2027-03-03", UNKNOWN), also=("locate.unfinished", "instrument.calibration_lapsed")),
    unknown.fails(with_instrument("RX-1", calibration_months=None), calibrated("K-2", "2027-03-03", UNKNOWN), since="2027-03-03T00:00"),
    unknown.fails(calibrated("K-2", "2027-03-02", IN), calibrated("K-3", "2027-03-03", UNKNOWN), since="2027-03-03T00:00"),
    # all of those from the day the locate began through the day it ended
    unknown.fails(with_instrument("RX-1", calibration_months=None), calibrated("K-2", "2027-03-02", UNKNOWN), since="2027-03-02T00:00"),
    unknown.passes(with_instrument("RX-1", calibration_months=None), calibrated("K-2", "2027-03-01", UNKNOWN)),
    unknown.fails(
        with_instrument("RX-1", calibration_months=None),
        calibrated("K-1", "2027-03-02", "in_tolerance"),
        calibrated("K-2", "2027-03-02", UNKNOWN),
        since="2027-03-02T00:00",
    ),
    recalled.fails(calibrated("K-2", "2027-03-03", OUT), since="2027-03-03T00:00"),
    recalled.passes(calibrated("K-2", "2027-03-03", "in_tolerance")),
    recalled.passes(calibrated("K-2", "2027-03-03", "in_tolerance"), calibrated("K-3", "2027-03-04", OUT), at="2027-03-05T00:00"),
    # the first that was measured as found
    recalled.fails(
        with_instrument("RX-1", calibration_months=None),
        calibrated("K-2", "2027-03-03", UNKNOWN),
        calibrated("K-3", "2027-03-04", OUT),
        also=("instrument.recall_unknown",),
        since="2027-03-04T00:00",
    ),
    recalled.passes(with_instrument("RX-1", calibration_months=None), calibrated("K-2", "2027-03-01", OUT)),
    recalled.fails(with_instrument("RX-1", calibration_months=None), calibrated("K-2", "2027-03-02", OUT), since="2027-03-02T00:00"),
    recalled.fails(
        with_instrument("RX-1", calibration_months=None),
        calibrated("K-2", "2027-03-02", "in_tolerance"),
        calibrated("K-3", "2027-03-02", OUT),
        since="2027-03-02T00:00",
    ),
    recalled.fails(calibrated("K-2", "2027-03-02", IN), calibrated("K-3", "2027-03-03", OUT), since="2027-03-03T00:00"),
    recalled.passes(OPEN, with_instrument("RX-1", calibration_months=None), calibrated("K-2", "2027-03-03", OUT), also=UNFINISHED),
    recalled.passes(calibrated("K-2", "2027-03-05", OUT), at="2027-03-04T23:59:59"),
    recalled.fails(calibrated("K-2", "2027-03-05", OUT, as_left="in_tolerance"), at="2027-03-06T00:00", since="2027-03-05T00:00"),
    # the first check after it
    recalled.fails(checked("H-2", "2027-03-02T11:00:01"), since="2027-03-02T11:00:01"),
    recalled.fails(checked("H-2", "2027-03-04T09:00", kind="self_test"), since="2027-03-04T09:00", also=("instrument.self_test_lapsed",)),
    recalled.passes(checked("H-2", "2027-03-04T09:00:01")),
    recalled.passes(checked("H-2", "2027-03-03T10:00", "pass"), checked("H-3", "2027-03-03T11:00")),
    recalled.fails(checked("H-2", "2027-03-03T10:00"), checked("H-3", "2027-03-03T10:00", "pass"), since="2027-03-03T10:00"),
    recalled.passes(checked("H-3", "2027-03-03T10:00"), checked("H-2", "2027-03-03T10:00", "pass")),
    recalled.fails(checked("H-2", "2027-03-03T10:00"), calibrated("K-2", "2027-03-03", OUT), since="2027-03-03T00:00"),
    recalled.fails(checked("H-2", "2027-03-02T12:00"), calibrated("K-2", "2027-03-03", OUT), since="2027-03-02T12:00"),
]


@pytest.mark.parametrize("row", [*NEEDED, *IN_SERVICE, *CHECKS, *SELF_TESTS, *RECALLS], ids=str)
def test_each_instrument_that_was_needed_can_be_believed(row: Row) -> None:
    assert found(row) == wanted(row)
