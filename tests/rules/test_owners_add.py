"""What owners are asked for only ever adds to a verdict, and nothing where no rule set asks: tried on the rows of other tables with random needs."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import box

from locates.owners.rules.terms import Agreement, Need, Terms
from locates.permits.rules.gate import assess
from locates.permits.rules.owners import BLOCKS
from records.rules.verdict import Verdict, as_data
from tests.rules import test_clearance, test_locate, test_plans, test_services, test_window
from tests.rules.cast import AUCKLAND, instant
from tests.rules.table import Row

POWER, WATER = "Birch Power", "Alder Water"
ZONE, OUTLASTED = ZoneInfo(AUCKLAND), ("window.outlasts_evidence",)
OTHERS = [row for table in (test_clearance.ROWS, test_services.ROWS, test_locate.ROWS, test_window.ROWS, test_plans.ROWS) for row in table]
METHOD = st.sampled_from([(), ("machine",), ("hand", "vacuum")])
NEEDED = st.builds(
    Need,
    st.sampled_from(["one", "two", "three"]),
    st.dates(date(2027, 2, 1), date(2027, 3, 8)),
    st.sampled_from(["consult", "attend", "isolate", "nothing"]),
    st.decimals(0, 50, places=3),
    st.sampled_from(["", "water", "electricity", "gas", "unknown"]),
    st.sampled_from(["", POWER, WATER]),
    METHOD,
    st.none() | st.just(Decimal(11)),
    st.none(),
    st.booleans(),
)
BEGUN = st.dates(date(2027, 2, 20), date(2027, 3, 8))
MADE = st.builds(
    lambda name, owner, agreed, first, days, area, proof: Agreement(
        name,
        owner,
        tuple(agreed),
        "Ro",
        instant(f"{first}T09:00", ZONE),
        first,
        first + timedelta(days=days),
        area=area,
        proved_by="Lu" if proof else "",
        proved_at=instant(f"{first}T10:00", ZONE) if proof else None,
    ),
    st.sampled_from(["AG-1", "AG-2", "AG-3"]),
    st.sampled_from([POWER, WATER]),
    st.sets(st.sampled_from(["consult", "attend", "isolate"]), min_size=1),
    BEGUN,
    st.integers(0, 9),
    st.none() | st.just(box(0, 0, 5, 4)),
    st.booleans(),
)
unhurried = settings(deadline=None, max_examples=200)


def others(verdict: Verdict) -> tuple:
    """All that the verdict says but for what owners are asked for; and of a window that outlasts what it rests on only that it does."""
    every = (*verdict.blocks, *verdict.cautions, *verdict.conditions)
    return [one for one in every if not one.code.startswith("owner.") and one.code not in OUTLASTED], verdict.hand_area_m2, verdict.hand_volume_m3


@unhurried
@given(st.sampled_from(OTHERS), st.lists(MADE, max_size=3, unique_by=lambda one: one.agreement))
def test_without_a_need_the_verdict_is_what_it_was(row: Row, agreements: list[Agreement]) -> None:
    told = assess(replace(row.evidence, owners=Terms(agreements=tuple(agreements))), row.at)
    kept = tuple(one for one in told.conditions if one.code != "owner.agreed")
    assert as_data(replace(told, conditions=kept)) == as_data(row.verdict)


@unhurried
@given(st.sampled_from(OTHERS), st.lists(NEEDED, max_size=4), st.lists(MADE, max_size=3, unique_by=lambda one: one.agreement))
def test_what_owners_are_asked_for_only_ever_adds(row: Row, needs: list[Need], agreements: list[Agreement]) -> None:
    evidence = replace(row.evidence, owners=Terms(tuple(needs), (), tuple(agreements)))
    told, plain = assess(evidence, row.at), row.verdict
    assert others(told) == others(plain)
    assert told.good_until <= plain.good_until
    assert {one.code for one in plain.blocks} <= {one.code for one in told.blocks}
    named = {one for one in told.limited_by if one.startswith("agreement:")}
    assert (told.good_until == plain.good_until) or named == set(told.limited_by)


@unhurried
@given(st.sampled_from(OTHERS), st.lists(NEEDED, max_size=4), st.lists(MADE, max_size=3, unique_by=lambda one: one.agreement), st.randoms())
def test_one_more_agreement_never_blocks_and_one_less_never_clears(row: Row, needs: list[Need], agreements: list[Agreement], random: Any) -> None:
    evidence = replace(row.evidence, owners=Terms(tuple(needs), (), tuple(agreements)))
    fewer = replace(evidence, owners=replace(evidence.owners, agreements=tuple(one for one in agreements if random.random() < 0.5)))
    with_all, with_some = ({(one.code, one.subject) for one in assess(one_of, row.at).blocks if one.code in BLOCKS.values()} for one_of in (evidence, fewer))
    assert with_all <= with_some
