"""The locate itself: of this site, finished, still good, not too long, and swept in both passive modes, each in two directions."""

import pytest
from shapely.geometry import MultiPolygon, box

from tests.rules.cast import OUTLINE, SWEPT, line
from tests.rules.changes import (
    and_outcome,
    and_sweep,
    and_trace,
    together,
    with_instrument,
    with_locate,
    with_permit,
    with_person,
    with_rule,
    with_sweep,
    with_trace,
    without,
    without_locate,
)
from tests.rules.table import Row, block, found, judged, wanted

none = block("locate.none", "permit")
other_site = block("locate.other_site", "locate:L-1")
unfinished = block("locate.unfinished", "locate:L-1")
lapsed = block("locate.lapsed", "locate:L-1")
too_long = block("locate.too_long", "locate:L-1")
not_swept = block("locate.not_swept", "technique:passive_power")
no_radio = block("locate.not_swept", "technique:passive_radio")
one_direction = block("locate.one_direction", "technique:passive_power")

CHECKED = with_rule("check_valid_hours", "48")
OUTLASTS = ("window.outlasts_evidence",)
MARCH = with_permit(valid_from="2027-03-16T07:00", valid_to="2027-03-17T12:00")


def swept(area, technique="passive_power"):
    """Both sweeps of a technique, over this ground."""
    return together(*(with_sweep(f"W-{technique}-{bearing}", area=area) for bearing in (0, 90)))


def walked(*bearings):
    """The two sweeps for power, walked so."""
    return together(*(with_sweep(f"W-passive_power-{was}", bearing_deg=bearing) for was, bearing in zip((0, 90), bearings, strict=True)))


def lacking(area_m2):
    return SWEPT.difference(box(2, 1, 2 + area_m2, 2))


ONE_WAY = with_rule("two_directions", "no")
HALVES = MultiPolygon([box(-2, -2, 4, 6), box(4.001, -2, 12, 6)])

ROWS = [
    none.fails(without_locate()),
    none.passes(with_locate(site="S-2"), also=("locate.other_site",)),
    other_site.fails(with_locate(site="s-1")),
    other_site.passes(with_locate(locate="L-2", site="S-1"), subject="locate:L-2"),
    unfinished.fails(CHECKED, with_locate(started_at="2027-03-03T09:00", finished_at=None)),
    unfinished.fails(CHECKED, with_locate(started_at="2027-03-03T09:00", finished_at="2027-03-04T09:00:01")),
    unfinished.passes(CHECKED, with_locate(started_at="2027-03-03T09:00", finished_at="2027-03-04T09:00")),
    # begun after the instant: nothing is said of operator and instruments, though there is no check and nobody is left
    unfinished.fails(with_locate(started_at="2027-03-04T09:00:01", finished_at=None)),
    unfinished.fails(with_locate(started_at="2027-03-04T09:00", finished_at=None), also=("instrument.check_missing",)),
    lapsed.fails(with_rule("locate_valid_days", "1"), at="2027-03-04T00:00", since="2027-03-04T00:00"),
    lapsed.passes(with_rule("locate_valid_days", "1"), at="2027-03-03T23:59:59", also=OUTLASTS),
    lapsed.fails(MARCH, at="2027-03-17T00:00", since="2027-03-17T00:00"),
    lapsed.passes(MARCH, at="2027-03-16T23:59:59", also=OUTLASTS),
    lapsed.passes(with_rule("locate_valid_days", "1"), with_locate(finished_at=None), also=("locate.unfinished", "locate.too_long")),
    # finished on the last second of a day, or on the first of the next
    lapsed.fails(with_rule("locate_valid_days", "1"), with_locate(finished_at="2027-03-02T23:59:59"), since="2027-03-04T00:00"),
    lapsed.passes(with_rule("locate_valid_days", "1"), with_locate(finished_at="2027-03-03T00:00"), also=OUTLASTS),
    # the last of February in a leap year, and the days on which clocks change
    lapsed.fails(with_rule("locate_valid_days", "2"), day="2028-02-29", at="2028-03-01T00:00", since="2028-03-01T00:00", zone="Pacific/Honolulu"),
    lapsed.passes(with_rule("locate_valid_days", "2"), day="2028-02-29", at="2028-02-29T23:59:59", also=OUTLASTS, zone="Pacific/Honolulu"),
    lapsed.fails(with_rule("locate_valid_days", "2"), day="2027-04-04", at="2027-04-05T00:00", since="2027-04-04T13:30Z", zone="Australia/Lord_Howe"),
    lapsed.passes(with_rule("locate_valid_days", "2"), day="2027-04-04", at="2027-04-04T13:29:59Z", also=OUTLASTS, zone="Australia/Lord_Howe"),
    lapsed.fails(with_rule("locate_valid_days", "2"), day="2018-11-03", at="2018-11-04T01:00", since="2018-11-04T03:00Z", zone="America/Sao_Paulo"),
    lapsed.passes(with_rule("locate_valid_days", "2"), day="2018-11-03", at="2018-11-04T02:59:59Z", also=OUTLASTS, zone="America/Sao_Paulo"),
    lapsed.fails(with_rule("locate_valid_days", "2"), day="1919-03-30", at="1919-03-31T00:30", since="1919-03-31T04:30Z", zone="America/Toronto"),
    lapsed.passes(with_rule("locate_valid_days", "2"), day="1919-03-30", at="1919-03-31T04:29:59Z", also=OUTLASTS, zone="America/Toronto"),
    too_long.passes(with_locate(finished_at="2027-03-03T08:00")),
    too_long.fails(with_locate(finished_at="2027-03-03T08:00:01")),
    too_long.passes(with_rule("locate_max_hours", "3")),
    too_long.fails(with_rule("locate_max_hours", "2")),
    too_long.passes(CHECKED, with_locate(started_at="2027-03-03T09:00", finished_at=None), also=("locate.unfinished",)),
    too_long.fails(CHECKED, with_locate(started_at="2027-03-03T08:59:59", finished_at=None), also=("locate.unfinished",)),
    too_long.passes(with_locate(finished_at="2027-04-04T07:00"), day="2027-04-05"),
    too_long.fails(with_locate(finished_at="2027-04-04T07:00:01"), day="2027-04-05"),
    not_swept.fails(without("sweeps", "W-passive_power-0", "W-passive_power-90")),
    not_swept.passes(without("sweeps", "W-passive_power-0"), also=("locate.one_direction",)),
    not_swept.passes(without("sweeps", "W-passive_radio-0", "W-passive_radio-90"), also=("locate.not_swept",)),
    no_radio.fails(without("sweeps", "W-passive_radio-0", "W-passive_radio-90")),
    no_radio.passes(without("sweeps", "W-passive_power-0", "W-passive_power-90"), also=("locate.not_swept",)),
    not_swept.passes(swept(lacking(0.05))),
    not_swept.fails(swept(lacking(0.050001)), also=("locate.one_direction",)),
    not_swept.fails(swept(lacking(0.050001)), ONE_WAY),
    not_swept.passes(swept(lacking(0.0500004)), ONE_WAY),
    not_swept.fails(swept(OUTLINE), ONE_WAY),
    not_swept.passes(swept(OUTLINE), ONE_WAY, with_rule("sweep_margin_m", "0")),
    not_swept.passes(swept(OUTLINE.buffer(1, quad_segs=32))),
    not_swept.passes(swept(HALVES)),
    not_swept.passes(ONE_WAY, with_sweep("W-passive_power-0", area=box(-2, -2, 5, 6)), with_sweep("W-passive_power-90", area=box(5, -2, 12, 6))),
    not_swept.fails(ONE_WAY, with_sweep("W-passive_power-0", area=box(-2, -2, 5, 6)), with_sweep("W-passive_power-90", area=box(5.1, -2, 12, 6))),
    one_direction.passes(walked("0", "60")),
    one_direction.fails(walked("0", "59.999")),
    one_direction.passes(walked("0", "120")),
    one_direction.fails(walked("0", "120.001")),
    one_direction.fails(walked("0", "180")),
    one_direction.passes(walked("350", "50")),
    one_direction.fails(walked("350", "49.999")),
    one_direction.passes(walked("10", "250")),
    one_direction.fails(walked("359.999", "0")),
    one_direction.fails(walked("0", None)),
    one_direction.fails(walked(None, None)),
    one_direction.passes(walked("0", None), ONE_WAY),
    one_direction.passes(walked("0", None), and_sweep("W-3", "passive_power", bearing_deg="75")),
    one_direction.fails(walked("0", None), and_sweep("W-3", "passive_radio", bearing_deg="75")),
    one_direction.fails(walked("0", "0"), subject="technique:passive_power"),
    one_direction.passes(walked("0", "0"), also=("locate.one_direction",), subject="technique:passive_radio"),
    one_direction.passes(with_sweep("W-passive_power-90", area=lacking(0.05))),
    one_direction.fails(with_sweep("W-passive_power-90", area=lacking(0.050001))),
    one_direction.passes(
        with_sweep("W-passive_power-90", area=box(-2, -2, 5, 6)), and_sweep("W-3", "passive_power", area=box(5, -2, 12, 6), bearing_deg="100")
    ),
    one_direction.fails(with_sweep("W-passive_power-90", area=box(-2, -2, 5, 6)), and_sweep("W-3", "passive_power", area=box(5, -2, 12, 6), bearing_deg="30")),
    one_direction.passes(without("sweeps", "W-passive_power-0", "W-passive_power-90"), also=("locate.not_swept",)),
]


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_the_locate_is_fit_to_dig_by(row: Row) -> None:
    assert found(row) == wanted(row)


FAULTY = (
    without("sweeps"),
    with_trace("T-2", depth_m="9"),
    and_trace("T-3", "exposed", line((1, 4.9), (1, 9)), utility="gas"),
    and_outcome("SV-1", "outside_dig"),
    with_person("O-1", left_on="2027-03-01", awards=()),
    with_instrument("RX-1", out_of_service_from="2027-03-04", hired_until="2027-01-01"),
    with_locate(site="S-2", sonde=None),
)


def test_without_a_locate_nothing_more_is_said_of_it() -> None:
    assert len(judged(*FAULTY).blocks) == 8
    verdict = judged(*FAULTY, without_locate())
    assert ([one.code for one in (*verdict.blocks, *verdict.cautions)], verdict.conditions) == (["locate.none", "standing"], ())


def test_without_a_locate_there_is_nothing_to_dig_by_hand() -> None:
    verdict = judged(without_locate())
    assert (verdict.hand_area_m2, verdict.hand_volume_m3) == (0, 0)
