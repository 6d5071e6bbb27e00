"""The sentences word by word, where they say one thing or another."""

import pytest

from tests.rules.cast import line
from tests.rules.changes import (
    Change,
    and_enquiry,
    and_trace,
    with_check,
    with_enquiry,
    with_instrument,
    with_permit,
    with_rule,
    with_sweep,
    with_trace,
    without,
)
from tests.rules.table import judged, said

RX = "The receiver RX-1 (serial number SN-RX-1)"
BEFORE = "H-RX-1"

SENTENCES = [
    ("instrument.check_failed", [with_check("RX-1", BEFORE, result="fail")], f"{RX} failed its check H-RX-1 on 2 Mar 2027 07:30 UTC+13:00."),
    (
        "instrument.check_missing",
        [with_check("RX-1", BEFORE, kind="self_test")],
        f"{RX} has no passed before-use check in the 12 hours before locate L-1 began.",
    ),
    (
        "instrument.out_of_service_since",
        [with_instrument("RX-1", out_of_service_from="2027-03-03")],
        f"{RX} has been out of service since 3 Mar 2027, after the locate.",
    ),
    ("instrument.hire_over", [with_instrument("RX-1", hired_until="2027-03-01")], f"{RX} was hired until 1 Mar 2027, before the locate ended."),
    (
        "sweep.too_near",
        [with_sweep("W-induction", transmitter_offset_m=None)],
        "The induction sweep W-induction has no distance from the transmitter recorded, and does not count: 3.75 m is the least.",
    ),
    (
        "sweep.too_near",
        [with_sweep("W-induction", transmitter_offset_m="3.749")],
        "The induction sweep W-induction began 3.749 m from the transmitter, and does not count: 3.75 m is the least.",
    ),
    ("depth.disagrees", [with_trace("T-2", raised_depth_m="1.449")], "Trace T-2 read 0.051 m off when the receiver was raised: depth not to be relied on."),
    ("locate.not_swept", [without("sweeps", "W-passive_radio-0", "W-passive_radio-90")], "The ground was not swept by passive radio."),
    (
        "locate.not_swept",
        [without("sweeps", "W-passive_radio-0"), with_sweep("W-passive_radio-90", area=line((0, 0), (9, 0)).buffer(1)), with_rule("sweep_margin_m", "0.5")],
        "The sweeps by passive radio do not cover the outline and the 0.5 m around it.",
    ),
    ("plans.unanswered", [with_enquiry("E-2", answered_at=None)], "Birch Power has not answered the enquiry E-2 of 22 Feb 2027."),
    (
        "plans.closed",
        [and_enquiry("E-3", "Cedar Gas", closed_on="2027-03-01", closed_because="It has no pipes here.")],
        "The enquiry E-3 to Cedar Gas was closed unanswered on 1 Mar 2027 (It has no pipes here).",
    ),
    (
        "clearance.bore_unexposed",
        [
            with_permit(method="bore"),
            with_trace("T-1", technique="exposed"),
            with_trace("T-2", technique="exposed"),
            and_trace("T-9", "clamp", line((0, 1), (9, 1))),
        ],
        "The bore comes near trace T-9 (electricity), which is not exposed.",
    ),
    (
        "rules.looser",
        [with_rule("hand_dig_m", "0.4")],
        "Hand digging within this distance of the service's edge: 0.4 is in force, looser than the default 0.5.",
    ),
    ("rules.looser", [with_rule("position_tolerance_C_m", "0.9")], "Added for quality level C: 0.9 is in force, looser than the default 1.0."),
    (
        "instrument.self_test_lapsed",
        [with_check("RX-1", "H-RX-1-self", result="fail")],
        f"{RX} was without a good self-test when locate L-1 began and is without a good self-test now: a passed one is good for 90 days.",
    ),
]


@pytest.mark.parametrize(("code", "changes", "sentence"), SENTENCES)
def test_the_reason_is_told_so(code: str, changes: list[Change], sentence: str) -> None:
    assert [one.says for (found, _), one in said(judged(*changes)).items() if found == code] == [sentence]


def test_hand_digging_is_told_with_its_numbers() -> None:
    one = said(judged(with_trace("T-1", line=line((10.3, -9), (10.3, 9)), quality_level="C")))[("hand_dig", "trace:T-1")]
    assert one.says == "Dig by hand near trace T-1 (water, quality level C by the firm's own scheme): 5.00 m², 7.50 m³; its edge is 0.25 m from the outline."
    one = said(judged(with_trace("T-1", line=line((7, -9), (7, 9)))))[("hand_dig", "trace:T-1")]
    assert one.says.endswith("; it reaches into the outline.")


def test_no_remedy_promises_that_the_ground_holds_nothing() -> None:
    """The one caution that every permit bears says so itself."""
    one = said(judged())[("standing", "permit")]
    assert "no proof" in one.says
    assert [word for word in ("every service as live", "local law", "owner's own rules", "licensed practice") if word not in one.remedy] == []
