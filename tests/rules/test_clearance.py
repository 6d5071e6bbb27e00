"""Where the dig comes near to what was traced: hand digging there, and no bore past what is not exposed."""

import pytest
from shapely.geometry import box

from records.rules.verdict import as_data
from tests.rules.cast import line
from tests.rules.changes import Change, and_trace, together, with_permit, with_rule, with_trace, without
from tests.rules.table import Row, block, caution, found, judged, wanted

hand_dig = caution("hand_dig", "trace:T-9")
unexposed = block("clearance.bore_unexposed", "trace:T-9")

SMALL = with_permit(outline=box(0, 0, 0.2, 0.2))
MOVED = ("service.wrong_technique",)


def beside(metres: float, level: str = "B", outline_ends: float = 4, **changes: object) -> Change:
    """A line along the outline's long upper side, so far from it."""
    away = outline_ends + metres
    return and_trace("T-9", "clamp", line((-20, away), (20, away)), **{"quality_level": level, **changes})


EXPOSED = {"technique": "exposed", "quality_level": "A"}
BORE = together(with_permit(method="bore"), with_trace("T-1", **EXPOSED), with_trace("T-2", **EXPOSED))

ROWS = [
    # 10 m of outline beside it: 1 mm of it is 0.01 m²
    hand_dig.passes(beside(0.799)),
    hand_dig.fails(beside(0.7989999)),
    hand_dig.passes(beside(0.79899996)),
    hand_dig.passes(beside(0.549, "A")),
    hand_dig.fails(beside(0.5489999, "A")),
    hand_dig.passes(beside(1.499, "C")),
    hand_dig.fails(beside(1.4989999, "C")),
    hand_dig.passes(beside(2.499, "D")),
    hand_dig.fails(beside(2.4989999, "D")),
    hand_dig.passes(beside(0.899, width_m="0.2")),
    hand_dig.fails(beside(0.8989999, width_m="0.2")),
    hand_dig.passes(beside(0.899), with_rule("hand_dig_m", "0.6")),
    hand_dig.fails(beside(0.8989999), with_rule("hand_dig_m", "0.6")),
    *(hand_dig.passes(beside(0.6, level), with_rule(f"position_tolerance_{level}_m", "0.1")) for level in "ABCD"),
    *(hand_dig.fails(beside(0.5989999, level), with_rule(f"position_tolerance_{level}_m", "0.1")) for level in "ABCD"),
    hand_dig.fails(beside(-2)),
    hand_dig.fails(beside(-2, technique="exposed")),
    # a small outline: a tenth of it
    hand_dig.passes(SMALL, beside(0.78, outline_ends=0.2), also=MOVED),
    hand_dig.fails(SMALL, beside(0.779995, outline_ends=0.2), also=MOVED),
    unexposed.passes(BORE, beside(0.799)),
    unexposed.fails(BORE, beside(0.7989999)),
    unexposed.passes(BORE, beside(0.5, technique="exposed")),
    *(unexposed.passes(BORE, beside(0.5), with_permit(method=method)) for method in ("hand", "vacuum", "machine")),
    *(unexposed.fails(BORE, beside(0.5), with_trace("T-9", technique=technique)) for technique in ("passive_power", "sonde", "direct_connection")),
]


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_what_the_dig_comes_near_to_is_dug_by_hand_and_not_bored_past(row: Row) -> None:
    assert found(row) == wanted(row)


# the line's distance, its width, its level: the outline's distance to the service's edge, and area and volume (1.5 m deep) of hand digging
NUMBERS = [
    (0.3, None, "B", 0.3, 5.0, 7.5),
    (0.3, "0.2", "B", 0.2, 6.0, 9.0),
    (0.3, "0.2", "A", 0.2, 3.5, 5.25),
    (0.05, "0.2", "A", 0.0, 6.0, 9.0),
    (-0.5, "0.2", "D", 0.0, 31.0, 46.5),
    (0.0, None, "C", 0.0, 15.0, 22.5),
    (0.1234, "0.001", "B", 0.12, 6.77, 10.16),
]


@pytest.mark.parametrize(("metres", "width", "level", "distance", "area", "volume"), NUMBERS)
def test_the_numbers_of_hand_digging(metres: float, width: str | None, level: str, distance: float, area: float, volume: float) -> None:
    data = as_data(judged(beside(metres, level, width_m=width)))
    (told,) = [one for one in data["conditions"] if one["subject"] == "trace:T-9"]
    assert (told["distance_m"], told["area_m2"], told["volume_m3"]) == (distance, area, volume)


# hand digging of all traces together: what two zones share counts once
TOGETHER = [
    ([], 13.2, 19.8),
    ([and_trace("T-9", "clamp", line((3, -9), (3, 9)), quality_level="B")], 13.2, 19.8),
    ([and_trace("T-9", "clamp", line((3.6, -9), (3.6, 9)), quality_level="B")], 15.6, 23.4),
    ([with_permit(depth_m="0.333")], 13.2, 4.4),
    ([without("traces")], 0.0, 0.0),
    ([beside(0.799)], 13.2, 19.8),
]


@pytest.mark.parametrize(("changes", "area", "volume"), TOGETHER)
def test_all_hand_digging_together(changes: list, area: float, volume: float) -> None:
    assert as_data(judged(*changes))["hand_zone"] == {"area_m2": area, "volume_m3": volume}
