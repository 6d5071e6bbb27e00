"""A dig reduced to what the ground asks of it: an outline and traced lines. No evidence beside them is given, so such a permit is always blocked."""

from datetime import UTC, date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from shapely.geometry import LineString, Polygon

from locates.permits.rules.evidence import Evidence, Locate, Permit, Person, Site, Trace
from locates.permits.rules.gate import assess
from records.rules.numbers import Row
from records.rules.verdict import Condition

AT = datetime(2027, 3, 4, 8, tzinfo=UTC)
SOMEBODY = Person("P-1", "Somebody")


def traced(name: str, line: LineString, width_m: Decimal | None, level: str = "B") -> Trace:
    return Trace(name, "water", "direct_connection", line, level, width_m)


def dug(outline: Polygon, traces: list[Trace], depth_m: str = "1.2", **numbers: str) -> Evidence:
    """A dig by machine among the traces, with these numbers in force."""
    site = Site("S-1", "Site", ZoneInfo("UTC"), "example")
    rules = tuple(Row(key, date(2020, 1, 1), value) for key, value in numbers.items())
    permit = Permit("D-1", "Trench", outline, Decimal(depth_m), "machine", AT, AT, SOMEBODY, SOMEBODY)
    locate = Locate("L-1", "S-1", SOMEBODY, None, AT, traces=tuple(traces))
    return Evidence(permit, site, rules, locate=locate)


def nearness(evidence: Evidence) -> dict[str, Condition]:
    """What the gate says of each trace that the dig comes near to."""
    return {one.subject.removeprefix("trace:"): one for one in assess(evidence, AT).conditions if one.code == "hand_dig"}
