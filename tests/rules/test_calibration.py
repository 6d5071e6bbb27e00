"""Calibration over the whole locate and now."""

import pytest

from tests.rules.cast import IN, OUT, UNKNOWN
from tests.rules.changes import Change, and_calibration, together, with_calibration, with_instrument, with_locate, with_rule
from tests.rules.table import Row, block, found, judged, wanted

RX = "instrument:RX-1"
not_yet = block("instrument.not_yet_calibrated", RX)
failed = block("instrument.calibration_failed", RX)
lapsed = block("instrument.calibration_lapsed", RX)

UNFINISHED = ("locate.unfinished",)
LATER = with_locate(started_at="2027-03-04T09:00:01", finished_at=None)
OPEN = together(with_locate(finished_at=None), with_rule("locate_max_hours", "168"))


def first(**changes: str) -> Change:
    return with_calibration("RX-1", **changes)


def then(name: str, on: str, as_found: str = IN, as_left: str = IN) -> Change:
    return and_calibration("RX-1", name, on, as_found, as_left)


ROWS = [
    not_yet.fails(with_instrument("RX-1", calibrations=())),
    not_yet.passes(with_instrument("RX-1", calibrations=(), calibration_months=None)),
    not_yet.passes(first(calibrated_on="2027-03-02")),
    not_yet.fails(first(calibrated_on="2027-03-03")),
    not_yet.fails(first(calibrated_on="2027-03-05")),
    not_yet.passes(LATER, with_instrument("RX-1", calibrations=()), also=UNFINISHED),
    not_yet.fails(with_instrument("SD-1", calibrations=()), subject="instrument:SD-1"),
    not_yet.passes(with_instrument("CL-1", calibrations=()), subject="instrument:CL-1"),
    not_yet.fails(first(calibrated_on="2018-11-05"), day="2018-11-06", zone="America/Sao_Paulo"),
    not_yet.passes(first(calibrated_on="2018-11-04"), day="2018-11-06", zone="America/Sao_Paulo"),
    failed.fails(first(as_left=OUT), since="2026-10-01T00:00"),
    failed.fails(first(as_left=UNKNOWN), since="2026-10-01T00:00"),
    failed.passes(first(as_left=IN, as_found=OUT)),
    failed.fails(then("K-2", "2027-03-01", as_left=OUT), since="2027-03-01T00:00"),
    failed.passes(then("K-2", "2027-02-28", as_left=OUT), then("K-3", "2027-03-01")),
    # of one day the greater identifier is later
    failed.fails(then("K-3", "2027-03-01", as_left=OUT), then("K-2", "2027-03-01"), since="2027-03-01T00:00"),
    failed.passes(then("K-2", "2027-03-01", as_left=OUT), then("K-3", "2027-03-01")),
    # after the locate: now
    failed.fails(then("K-2", "2027-03-04", as_left=OUT), since="2027-03-04T00:00"),
    failed.passes(then("K-2", "2027-03-05", as_left=OUT)),
    failed.fails(OPEN, then("K-2", "2027-03-03", as_left=OUT), then("K-3", "2027-03-04"), since="2027-03-03T00:00", also=UNFINISHED),
    failed.passes(then("K-2", "2027-03-03", as_left=OUT), then("K-3", "2027-03-04")),
    failed.fails(then("K-2", "2011-12-30", as_left=OUT), day="2012-01-01", zone="Pacific/Apia", since="2011-12-30T10:00Z"),
    # through calibrated_on + months, or through the date that the laboratory set
    lapsed.passes(first(calibrated_on="2026-03-04")),
    lapsed.fails(first(calibrated_on="2026-03-03"), since="2027-03-04T00:00", at="2027-03-04T00:00"),
    lapsed.passes(first(calibrated_on="2026-03-03"), at="2027-03-03T23:59:59"),
    lapsed.fails(first(calibrated_on="2026-03-01"), since="2027-03-02T00:00"),
    lapsed.fails(first(due_on="2027-03-03"), since="2027-03-04T00:00"),
    lapsed.passes(first(due_on="2027-03-04"), at="2027-03-04T23:59:59"),
    lapsed.passes(first(calibrated_on="2026-02-01", due_on="2027-03-04")),
    # month ends and 29 February
    lapsed.fails(first(calibrated_on="2024-02-29"), day="2025-03-02", since="2025-03-01T00:00"),
    lapsed.passes(first(calibrated_on="2024-02-29"), day="2025-02-28"),
    lapsed.fails(first(calibrated_on="2027-02-28"), day="2028-02-29", since="2028-02-29T00:00"),
    lapsed.passes(first(calibrated_on="2027-02-28"), day="2028-02-28"),
    lapsed.fails(with_instrument("RX-1", calibration_months=6), first(calibrated_on="2027-08-31"), day="2028-03-01", since="2028-03-01T00:00"),
    lapsed.passes(with_instrument("RX-1", calibration_months=6), first(calibrated_on="2027-08-31"), day="2028-02-29"),
    lapsed.fails(with_instrument("RX-1", calibration_months=1), first(calibrated_on="2027-01-31"), day="2027-03-01", since="2027-03-01T00:00"),
    # the end of the day in the site's own zone
    lapsed.fails(first(due_on="2027-03-03"), zone="Pacific/Honolulu", at="2027-03-04T10:00Z", since="2027-03-04T10:00Z"),
    lapsed.passes(first(due_on="2027-03-03"), zone="Pacific/Honolulu", at="2027-03-04T09:59:59Z"),
    lapsed.fails(first(due_on="2027-04-03"), day="2027-04-04", at="2027-04-03T11:00Z", since="2027-04-03T11:00Z"),
    lapsed.fails(first(due_on="2027-04-04"), day="2027-04-05", at="2027-04-04T12:00Z", since="2027-04-04T12:00Z"),
    lapsed.passes(first(due_on="2027-04-04"), day="2027-04-05", at="2027-04-04T11:59:59Z"),
    # over the locate before now, both its ends included
    lapsed.fails(first(due_on="2027-03-01"), then("K-2", "2027-03-03"), since="2027-03-02T00:00"),
    lapsed.passes(first(due_on="2027-03-02"), then("K-2", "2027-03-04")),
    lapsed.fails(with_locate(finished_at="2027-03-03T00:00"), first(due_on="2027-03-02"), then("K-2", "2027-03-04"), since="2027-03-03T00:00"),
    # put right, it is believed from the next day on; what comes later ends what came before
    lapsed.fails(first(calibrated_on="2027-03-02", as_found=OUT), also=("instrument.recalled",)),
    lapsed.fails(first(calibrated_on="2027-03-02", as_found=UNKNOWN), also=("instrument.recall_unknown",)),
    lapsed.passes(first(calibrated_on="2027-03-01", as_found=UNKNOWN)),
    lapsed.fails(then("K-2", "2027-03-04", OUT), since="2027-03-04T00:00", also=("instrument.recalled",)),
    lapsed.passes(then("K-2", "2027-03-03", OUT), also=("instrument.recalled",)),
    lapsed.fails(
        then("K-2", "2027-03-01"), first(due_on="2028-01-01"), with_instrument("RX-1", calibration_months=1), day="2027-04-05", since="2027-04-02T00:00"
    ),
    # one whose cover is empty ends nothing: since the one before it, or null
    lapsed.fails(
        then("K-2", "2027-02-01", OUT),
        then("K-3", "2027-02-01", UNKNOWN),
        then("K-4", "2027-03-02", OUT),
        since="2027-03-02T00:00",
        also=("instrument.recalled",),
    ),
    lapsed.fails(
        first(calibrated_on="2027-03-01", as_found=OUT),
        then("K-2", "2027-03-02", OUT),
        then("K-3", "2027-03-03", OUT),
        then("K-4", "2027-03-04"),
        also=("instrument.recalled",),
    ),
]


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_what_was_used_was_in_calibration_over_the_locate_and_is_now(row: Row) -> None:
    assert found(row) == wanted(row)


TOLD = [
    ((first(due_on="2027-03-03"),), "was in calibration only through 3 Mar 2027 (calibration K-RX-1)."),
    ((first(due_on="2027-02-01"), then("K-2", "2027-03-04", OUT)), "was in calibration only through 1 Feb 2027 (calibration K-RX-1)."),
    ((then("K-2", "2027-03-02", UNKNOWN),), "was in calibration only through 1 Mar 2027 (calibration K-RX-1)."),
    ((first(calibrated_on="2027-03-02", as_found=UNKNOWN),), "has no calibration in force (the latest is K-RX-1)."),
    ((then("K-2", "2027-03-01", as_left=OUT),), "was not left in tolerance by calibration K-2 of 1 Mar 2027."),
    ((with_instrument("RX-1", calibrations=()),), "had not been calibrated."),
]


@pytest.mark.parametrize(("changes", "told"), TOLD)
def test_the_calibration_that_ended_is_named_and_its_day(changes: tuple[Change, ...], told: str) -> None:
    (says,) = [one.says for one in judged(*changes).blocks if "calibrat" in one.code]
    assert says == f"The receiver RX-1 (serial number SN-RX-1) {told}"
