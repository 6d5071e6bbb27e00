"""How a verdict is told: sorted, without doubles, rounded, in the site's offset at each instant."""

from decimal import Decimal

import pytest

from records.rules.verdict import Condition, Finding, as_data, rounded, settled
from tests.rules.cast import line
from tests.rules.changes import and_outcome, and_trace, with_award, with_enquiry, with_permit, with_rule, with_trace, without_locate
from tests.rules.table import judged

# to 6 decimals, and from there to 2, half to even, of the decimal as written
ROUNDED = [
    (2.675, "2.68"),
    (2.665, "2.66"),
    (0.125, "0.12"),
    (0.135, "0.14"),
    (1.005, "1.00"),
    (1.0050004, "1.00"),
    (1.0050006, "1.01"),
    (1.0049996, "1.00"),
    (1.0149994, "1.01"),
    (1.0149996, "1.02"),
    (0.0149999999, "0.02"),
    (0.0049999999, "0.00"),
    (1.0000005, "1.00"),
    (1.0050005, "1.00"),
    (1.0050015, "1.01"),
    (0.4450005, "0.44"),  # the double is a little more, the decimal as written is not
    (0.5549995, "0.56"),  # the double is a little less
    (4e-07, "0.00"),
    (123456.785, "123456.78"),
    (0.0, "0.00"),
    (Decimal("0.145"), "0.14"),
]


@pytest.mark.parametrize(("number", "wanted"), ROUNDED)
def test_numbers_are_rounded_twice_half_to_even(number: float | Decimal, wanted: str) -> None:
    assert str(rounded(number)) == wanted


def test_no_number_stays_none() -> None:
    assert rounded(None) is None


def finding(code: str, subject: str, says: str = "So it is.") -> Finding:
    return Finding(code, subject, says, "Mend it.")


def test_what_is_said_is_sorted_by_code_and_subject_by_code_point() -> None:
    pairs = [("a.b", "trace:T-2"), ("a.b", "trace:T-10"), ("a.B", "trace:t"), ("a.b", "trace:é"), ("a.b", "trace:z"), ("a.b", "trace:Z"), ("a-b", "x")]
    wanted = [("a-b", "x"), ("a.B", "trace:t"), *(("a.b", f"trace:{name}") for name in ("T-10", "T-2", "Z", "z", "é"))]
    assert [(one.code, one.subject) for one in settled(finding(*pair) for pair in pairs)] == wanted


def test_of_a_pair_that_comes_twice_the_first_stays() -> None:
    said = [finding("b", "x", "Last."), finding("a", "x", "First."), finding("a", "x", "Second."), finding("a", "y", "Other.")]
    assert [one.says for one in settled(said)] == ["First.", "Other.", "Last."]


def test_conditions_are_settled_alike() -> None:
    said = [Condition("treat_as_live", "s", ""), Condition("hand_dig", "t", "", 1.0), Condition("hand_dig", "t", "", 2.0)]
    assert settled(said) == (said[1], said[0])


SHAPE = {
    "verdict": ["permit", "at", "clear", "blocks", "cautions", "conditions", "good_until", "limited_by", "hand_zone"],
    "blocks": ["code", "subject", "since", "says", "remedy"],
    "cautions": ["code", "subject", "since", "says", "remedy"],
    "conditions": ["code", "subject", "says", "distance_m", "area_m2", "volume_m3"],
}


def test_the_data_has_the_agreed_shape() -> None:
    data = as_data(judged(with_permit(method="hand"), with_trace("T-2", services=()), and_outcome("SV-2", "not_found"), with_enquiry("E-1", services=())))
    assert list(data) == SHAPE["verdict"]
    assert {part: [list(one) for one in data[part]] for part in SHAPE if part != "verdict"} == {
        part: [keys] * len(data[part]) for part, keys in SHAPE.items() if part != "verdict"
    }
    assert (list(data["hand_zone"]), len(data["conditions"])) == (["area_m2", "volume_m3"], 3)


def test_a_permit_is_clear_exactly_where_nothing_blocks_it() -> None:
    assert [as_data(judged(*changes))["clear"] for changes in ((), (without_locate(),))] == [True, False]


def test_a_number_that_is_not_there_is_null_and_one_that_is_nothing_is_0() -> None:
    data = as_data(judged(with_permit(method="hand"), with_trace("T-2", services=(), line=line((900, 0), (900, 9))), and_outcome("SV-2", "not_found")))
    told = {one["code"]: [one[name] for name in ("distance_m", "area_m2", "volume_m3")] for one in data["conditions"]}
    assert told == {"treat_as_live": [None, None, None], "hand_dig": [0.0, 6.8, 10.2]}


# zone, day, the instant judged, and the permit's limit a week on: the offset at that very instant
OFFSETS = [
    ("Pacific/Auckland", "2027-04-01", "2027-04-01T09:00:00+13:00", "2027-04-08T06:00:00+12:00"),
    ("Pacific/Auckland", "2027-09-24", "2027-09-24T09:00:00+12:00", "2027-10-01T08:00:00+13:00"),
    ("Pacific/Honolulu", "2027-04-01", "2027-04-01T09:00:00-10:00", "2027-04-08T07:00:00-10:00"),
    ("Australia/Lord_Howe", "2027-04-01", "2027-04-01T09:00:00+11:00", "2027-04-08T06:30:00+10:30"),
    ("America/New_York", "2027-03-10", "2027-03-10T09:00:00-05:00", "2027-03-17T08:00:00-04:00"),
    ("Europe/London", "2027-03-25", "2027-03-25T09:00:00+00:00", "2027-04-01T08:00:00+01:00"),
    ("Pacific/Apia", "2011-12-28", "2011-12-28T09:00:00-10:00", "2012-01-05T07:00:00+14:00"),
    ("UTC", "2027-03-04", "2027-03-04T09:00:00+00:00", "2027-03-11T07:00:00+00:00"),
]


@pytest.mark.parametrize(("zone", "day", "at", "until"), OFFSETS)
def test_each_instant_bears_the_site_s_offset_at_that_very_instant(zone: str, day: str, at: str, until: str) -> None:
    data = as_data(judged(zone=zone, day=day))
    assert (data["at"], data["good_until"]) == (at, until)


def test_limits_are_sorted_by_themselves_by_code_point() -> None:
    data = as_data(judged(with_rule("plan_valid_days", "9"), with_rule("locate_valid_days", "3"), with_award("C-1", expires_on="2027-03-05")))
    assert data["limited_by"] == ["enquiry:E-1", "enquiry:E-2", "locate:L-1", "person:C-1/dig"]


def test_rounding_comes_last() -> None:
    """0.5 m deep: the volume is half of the area that was not rounded."""
    along = and_trace("T-9", "clamp", line((-20, 4.1234), (20, 4.1234)), quality_level="B", width_m="0.001")
    (told,) = [one for one in as_data(judged(along, with_permit(depth_m="0.333")))["conditions"] if one["subject"] == "trace:T-9"]
    assert (told["area_m2"], told["volume_m3"]) == (6.77, 2.25)
