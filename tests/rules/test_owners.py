"""What owners must have agreed to near their services: to the millimetre, to the day, and only where the rule set asks for it."""

from datetime import timedelta
from typing import Any

import pytest
from shapely.geometry import box

from locates.permits.rules.gate import assess
from locates.permits.rules.owners import BLOCKS
from tests.rules.cast import line
from tests.rules.changes import (
    Change,
    and_agreement,
    and_enquiry,
    and_need,
    and_outcome,
    and_rating,
    and_trace,
    services,
    together,
    with_permit,
    with_trace,
    without,
    without_locate,
)
from tests.rules.table import Row, block, caution, found, judged, wanted

POWER, WATER = "Birch Power", "Alder Water"
consult, attend, isolate = (block(f"owner.not_{how}", "trace:T-2") for how in ("consulted", "attending", "isolated"))
beside_it = block("owner.not_consulted", "trace:T-9")
nowhere = block("owner.not_consulted", "service:SV-2")
advised = [caution(f"owner.{how}", "trace:T-2") for how in ("consult", "attend", "isolate")]
ahead = caution("owner.change_ahead", "need:mains")
agreed = caution("owner.agreed", "agreement:AG-1")

CABLES = {"utility": "electricity"}
NEED = and_need(**CABLES)
OUTLASTED = ("window.outlasts_evidence",)
TODAY, TOMORROW, YESTERDAY = "2027-03-04", "2027-03-05", "2027-03-03"


def beside(metres: float, **changes: Any) -> Change:
    """A gas pipe of which no plan tells, along the outline's long upper side, so far from it."""
    return and_trace("T-9", "clamp", line((-20, 4 + metres), (20, 4 + metres)), **{"utility": "gas"} | changes)


def yes(*kinds: str, **changes: Any) -> Change:
    return and_agreement("AG-1", POWER, *(kinds or ("consult",)), **changes)


def gas(**changes: Any) -> Change:
    return and_need("mains", **{"utility": "gas"} | changes)


DISTANCES = [
    beside_it.fails(gas(), beside(3)),
    beside_it.fails(gas(), beside(3.0000004)),
    beside_it.passes(gas(), beside(3.000001)),
    beside_it.passes(gas(), beside(3.001)),
    beside_it.fails(gas(), beside(3.1, width_m="0.2")),
    beside_it.passes(gas(), beside(3.101, width_m="0.2")),
    beside_it.fails(gas(within_m="0"), beside(0)),
    beside_it.passes(gas(within_m="0"), beside(0.001)),
    beside_it.fails(gas(within_m="0"), beside(-2)),
    beside_it.fails(gas(within_m="50"), beside(50)),
    beside_it.passes(gas(within_m="50"), beside(50.001)),
    beside_it.passes(beside(1)),
]
NEEDS = [
    consult.fails(NEED),
    consult.passes(),
    consult.fails(and_need()),
    consult.passes(and_need(utility="telecom")),
    consult.fails(and_need(methods=("bore", "machine"))),
    consult.passes(and_need(methods=("bore", "hand"))),
    consult.fails(and_need(effective_from=TODAY)),
    consult.passes(and_need(effective_from=TOMORROW)),
    consult.passes(NEED, and_need("mains", "nothing", effective_from=TODAY, within_m=None)),
    consult.fails(NEED, and_need("mains", "nothing", effective_from=TOMORROW, within_m=None)),
    consult.fails(NEED, and_need("other", "nothing", effective_from=TODAY, within_m=None)),
    consult.passes(NEED, and_need("mains", effective_from=TODAY, utility="telecom")),
    consult.fails(and_need(owner="  birch POWER ", **CABLES)),
    consult.passes(and_need(owner=WATER, **CABLES)),
    consult.passes(and_need(**CABLES), without_locate(), also=("locate.none",)),
    # what could not be told apart, and what nobody knows the owner of, is taken as what the need speaks of
    beside_it.fails(and_need(utility="heating"), beside(1, utility="unknown")),
    beside_it.passes(and_need(utility="heating"), beside(1)),
    beside_it.fails(gas(owner=WATER), beside(1)),
    beside_it.fails(gas(above_bar="7"), beside(1)),
    # a trace of unknown utility that names a service is what that is
    consult.passes(and_need(utility="heating"), with_trace("T-2", utility="unknown")),
    consult.fails(NEED, with_trace("T-2", utility="unknown")),
]
RATED = and_need(above_kv="11", **CABLES)
NEWER = and_enquiry("E-3", POWER, answered_at="2027-02-28T10:00", services=services("E-3", "SV-3", same_as=("SV-2",), utility="electricity", conductive=True))
RATINGS = [
    consult.fails(RATED),
    consult.passes(RATED, and_rating("SV-2", TODAY, voltage_kv="11")),
    consult.fails(RATED, and_rating("SV-2", TODAY, voltage_kv="11.001")),
    consult.fails(RATED, and_rating("SV-2", TODAY, pressure_bar="7")),
    consult.fails(RATED, and_rating("SV-2", TOMORROW, voltage_kv="11")),
    consult.fails(RATED, and_rating("SV-1", TODAY, voltage_kv="11")),
    consult.passes(RATED, and_rating("SV-2", YESTERDAY, voltage_kv="33"), and_rating("SV-2", TODAY, voltage_kv="11")),
    consult.fails(RATED, and_rating("SV-2", TODAY, voltage_kv="33"), and_rating("SV-2", TODAY, voltage_kv="11")),
    consult.passes(RATED, NEWER, and_rating("SV-3", TODAY, voltage_kv="11")),
]
AGREEMENTS = [
    consult.passes(NEED, yes()),
    consult.fails(NEED, yes("attend", "isolate")),
    consult.passes(NEED, yes("attend", "consult")),
    consult.fails(NEED, and_agreement("AG-1", WATER, "consult")),
    consult.passes(NEED, and_agreement("AG-1", " birch power", "consult")),
    consult.passes(NEED, yes(utility="electricity")),
    consult.fails(NEED, yes(utility="gas")),
    consult.passes(NEED, yes(service="SV-2")),
    consult.fails(NEED, yes(service="SV-1")),
    consult.passes(NEED, NEWER, yes(service="SV-3")),
    # it exists from when it was agreed
    consult.passes(NEED, yes(agreed_at="2027-03-04T09:00")),
    consult.fails(NEED, yes(agreed_at="2027-03-04T09:00:01")),
    # its days: now, or from the permit's start where that is to come
    consult.passes(NEED, yes(good_from=TODAY)),
    consult.fails(NEED, yes(good_from=TOMORROW)),
    consult.passes(NEED, yes(good_from=TOMORROW), with_permit(valid_from="2027-03-05T00:00")),
    consult.fails(NEED, yes(good_from=TOMORROW), with_permit(valid_from="2027-03-04T23:59:59")),
    consult.passes(NEED, yes(good_through=TODAY), also=OUTLASTED),
    consult.fails(NEED, yes(good_through=YESTERDAY), since="2027-03-04T00:00"),
    consult.fails(NEED, yes(good_through=TODAY), with_permit(valid_from="2027-03-05T00:00")),
    consult.passes(NEED, yes(good_through=TODAY), with_permit(valid_to="2027-03-05T00:00")),
    consult.passes(NEED, yes(good_through=TODAY), and_agreement("AG-2", POWER, "consult", good_from=TOMORROW)),
    consult.passes(NEED, yes(good_through=TODAY), and_agreement("AG-2", POWER, "consult", good_from="2027-03-06"), also=OUTLASTED),
    # taken back
    consult.fails(NEED, yes(withdrawn_on=TODAY), since="2027-03-04T00:00"),
    consult.passes(NEED, yes(withdrawn_on=TOMORROW), also=OUTLASTED),
    consult.passes(NEED, yes(withdrawn_on="2027-03-07")),
    # 3 m on both sides of the cable at x = 3: 24 m² of the outline, of which 0.05 m² may be left out
    consult.passes(NEED, yes(area=box(-1, -1, 6, 5))),
    consult.passes(NEED, yes(area=box(-1, -1, 5.9875, 5))),
    consult.fails(NEED, yes(area=box(-1, -1, 5.987, 5))),
    consult.fails(NEED, yes(area=box(500, 500, 501, 501))),
    consult.passes(NEED, yes(area=box(500, 500, 501, 501)), and_agreement("AG-2", POWER, "consult")),
    beside_it.passes(gas(), beside(3), and_agreement("AG-1", "Moor Gas", "consult", utility="gas", area=box(0, 0, 10, 4))),
    beside_it.fails(gas(), beside(3), and_agreement("AG-1", "Moor Gas", "consult", utility="gas", area=box(5, 0, 10, 4))),
    # whose it is, is not on record: an agreement must name its utility, or be of the owner whom the need names
    beside_it.passes(gas(), beside(1), and_agreement("AG-1", "Moor Gas", "consult", utility="gas")),
    beside_it.fails(gas(), beside(1), and_agreement("AG-1", "Moor Gas", "consult")),
    beside_it.passes(gas(owner="Moor Gas"), beside(1), and_agreement("AG-1", "Moor Gas", "consult")),
    beside_it.fails(gas(owner="Moor Gas"), beside(1), and_agreement("AG-1", "Fen Gas", "consult", utility="gas")),
    beside_it.passes(gas(), beside(1, utility="unknown"), and_agreement("AG-1", "Moor Gas", "consult", utility="gas")),
    beside_it.fails(and_need(), beside(1, utility="unknown"), and_agreement("AG-1", "Moor Gas", "consult", utility="gas")),
]
STANDING_BY = and_need("watch", "attend", **CABLES)
ATTENDED = [
    attend.fails(STANDING_BY),
    attend.fails(STANDING_BY, yes("consult", "isolate")),
    attend.passes(STANDING_BY, yes("attend", good_through="2027-03-06")),
    attend.fails(STANDING_BY, yes("attend", good_through="2027-03-05")),
    attend.passes(STANDING_BY, yes("attend", good_through="2027-03-05"), with_permit(valid_to="2027-03-06T00:00")),
    attend.fails(STANDING_BY, yes("attend", good_through="2027-03-05"), with_permit(valid_to="2027-03-06T00:00:01")),
    attend.fails(STANDING_BY, yes("attend", withdrawn_on="2027-03-06")),
    attend.passes(STANDING_BY, yes("attend", good_through=TODAY), and_agreement("AG-2", POWER, "attend", good_from=TOMORROW)),
    attend.fails(STANDING_BY, yes("attend", good_through=TODAY), and_agreement("AG-2", POWER, "attend", good_from="2027-03-06")),
]
DEAD = and_need("dead", "isolate", **CABLES)
PROOF = {"proved_by": "Lu Parr"}
ISOLATED = [
    isolate.fails(DEAD),
    isolate.fails(DEAD, yes("isolate")),
    isolate.passes(DEAD, yes("isolate", proved_at="2027-03-04T09:00", **PROOF)),
    isolate.fails(DEAD, yes("isolate", proved_at="2027-03-04T09:00:01", **PROOF)),
    isolate.fails(DEAD, yes("consult", "attend")),
]
LOST = together(without("traces", "T-2"), with_permit(method="hand"))
LOST_TOO = ("service.unaccounted",)
ANYWHERE = [
    nowhere.passes(NEED, also=("owner.not_consulted",)),
    nowhere.fails(NEED, LOST, also=LOST_TOO),
    nowhere.fails(NEED, LOST, and_outcome("SV-2", "not_found")),
    nowhere.passes(NEED, LOST, and_outcome("SV-2", "outside_dig")),
    nowhere.passes(NEED, LOST, and_outcome("SV-2", "not_found"), yes()),
    nowhere.passes(NEED, LOST, and_outcome("SV-2", "not_found"), yes(area=box(0, 0, 10, 4))),
    nowhere.fails(NEED, LOST, and_outcome("SV-2", "not_found"), yes(area=box(0, 0, 5, 4))),
    nowhere.passes(and_need(above_kv="11", **CABLES), LOST, and_outcome("SV-2", "not_found"), and_rating("SV-2", TODAY, voltage_kv="0.4")),
]
NEED_TOO = and_need("cables", **CABLES)
ADVICE = {"blocks": False, **CABLES}
CAUTIONS = [
    advised[0].fails(and_need("mains", "consult", **ADVICE)),
    advised[0].passes(and_need("mains", "consult", **CABLES), also=("owner.not_consulted",)),
    advised[0].passes(and_need("mains", "consult", **ADVICE), yes()),
    # what stops every sign-off is no caution too
    advised[0].passes(and_need("mains", "consult", **ADVICE), NEED_TOO, also=("owner.not_consulted",)),
    # what only cautions limits nothing
    advised[0].passes(and_need("mains", "consult", **ADVICE), yes(good_through=TODAY)),
    advised[1].fails(and_need("mains", "attend", **ADVICE), yes()),
    advised[1].passes(and_need("mains", "attend", **ADVICE), yes("attend")),
    advised[2].fails(and_need("mains", "isolate", **ADVICE), yes("isolate")),
    advised[2].passes(and_need("mains", "isolate", **ADVICE), yes("isolate", proved_at="2027-03-04T06:00", **PROOF)),
]
AHEAD = [
    ahead.fails(and_need(utility="telecom", effective_from=TOMORROW)),
    ahead.passes(and_need(utility="telecom", effective_from=TODAY)),
    ahead.fails(and_need(utility="telecom", effective_from="2027-03-06")),
    ahead.passes(and_need(utility="telecom", effective_from="2027-03-07")),
    ahead.passes(and_need(utility="telecom", effective_from="2027-03-06"), with_permit(valid_to="2027-03-06T00:00")),
    ahead.fails(and_need(utility="telecom", effective_from="2027-03-06"), with_permit(valid_to="2027-03-06T00:00:01")),
]
TO_KEEP = [
    agreed.passes(NEED, also=("owner.not_consulted",)),
    agreed.fails(NEED, yes()),
    # what was agreed is printed whether a need asks for it or not, for this ground and time
    agreed.fails(yes()),
    agreed.fails(yes(area=box(10, 4, 20, 20))),
    agreed.passes(yes(area=box(10.001, 4, 20, 20))),
    agreed.fails(yes(good_from="2027-03-06")),
    agreed.passes(yes(good_from="2027-03-07")),
    agreed.fails(yes(good_from="2027-03-06"), with_permit(valid_to="2027-03-06T00:00:01")),
    agreed.passes(yes(good_from="2027-03-06"), with_permit(valid_to="2027-03-06T00:00")),
    agreed.passes(yes(good_through=YESTERDAY)),
    agreed.passes(yes(withdrawn_on=TODAY)),
    agreed.passes(yes(good_from=TOMORROW, withdrawn_on=TOMORROW)),
    agreed.passes(yes(agreed_at="2027-03-04T09:00:01")),
    agreed.fails(yes("isolate", conditions="No plant over the cable", reference_no="BP 7"), without_locate(), also=("locate.none",)),
    agreed.fails(yes("isolate", proved_at="2027-03-04T06:00", **PROOF)),
]
ROWS = [*DISTANCES, *NEEDS, *RATINGS, *AGREEMENTS, *ATTENDED, *ISOLATED, *ANYWHERE, *CAUTIONS, *AHEAD, *TO_KEEP]


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_owners_are_asked_near_their_services_and_nowhere_else(row: Row) -> None:
    assert found(row) == wanted(row)


def test_no_agreement_counts_for_what_was_signed_before_it_was_made() -> None:
    row = consult.fails(NEED, yes(agreed_at="2027-03-04T09:00:01"))
    assert (row.verdict.clear, assess(row.evidence, row.at + timedelta(seconds=1)).clear) == (False, True)


# one trace for the services of two owners, and no other
SHARED = together(without("traces", "T-1"), with_trace("T-2", services=("SV-1", "SV-2")))
SAYS = [
    ([NEED], "must be consulted within 3 m of trace T-2 (electricity), which reaches into the outline (Birch Power: nothing is on record)"),
    ([gas(within_m="2.5"), beside(2.345)], "within 2.5 m of trace T-9 (gas), which is 2.34 m away (whose it is, nobody recorded: nothing is on record)"),
    ([RATED], "within 3 m of trace T-2 (electricity), of no recorded voltage (asked of those above 11 kV), which reaches into the outline"),
    ([RATED, and_rating("SV-2", TODAY, voltage_kv="33")], "within 3 m of trace T-2 (electricity) of 33 kV, above 11 kV, which reaches into the outline"),
    ([gas(above_bar="7"), beside(1)], "of trace T-9 (gas), of no recorded pressure (asked of those above 7 bar), which is 1.00 m away"),
    ([and_need(), SHARED], "(Alder Water: nothing is on record; Birch Power: nothing is on record)"),
    ([and_need(), SHARED, yes()], "(Alder Water: nothing is on record)"),
    ([and_need(), SHARED, and_agreement("AG-1", WATER, "consult")], "(Birch Power: nothing is on record)"),
    ([NEED, yes(area=box(500, 500, 501, 501))], "Birch Power: AG-1 is for other ground"),
    ([NEED, yes(good_through=YESTERDAY)], "AG-1 was good through 3 Mar 2027"),
    ([NEED, yes(good_through=YESTERDAY), and_agreement("AG-2", POWER, "consult", good_through="2027-03-02")], "(Birch Power: AG-1 was good through"),
    ([NEED, yes(good_through=YESTERDAY), and_agreement("AG-0", POWER, "consult", withdrawn_on=TODAY)], "AG-0 was taken back on 4 Mar 2027"),
    ([NEED, yes(good_through=YESTERDAY), and_agreement("AG-2", POWER, "consult", area=box(500, 500, 501, 501))], "(Birch Power: AG-1 was good through"),
    ([NEED, yes(good_through=YESTERDAY), and_agreement("AG-2", POWER, "consult", withdrawn_on="2027-03-03")], "(Birch Power: AG-1 was good through"),
    ([NEED, yes(good_through=YESTERDAY), and_agreement("AG-0", POWER, "consult", good_through=YESTERDAY, withdrawn_on=TODAY)], "AG-1 was good through"),
    ([NEED, yes(withdrawn_on=TOMORROW, good_from=TOMORROW)], "AG-1 was taken back on 5 Mar 2027"),
    ([NEED, yes(withdrawn_on="2027-03-02", good_from="2027-03-03")], "AG-1 was taken back on 2 Mar 2027"),
    ([DEAD, yes("isolate", good_through=YESTERDAY), and_agreement("AG-2", POWER, "isolate")], "of AG-2 it is not on record"),
    ([NEED, yes(withdrawn_on=TODAY)], "AG-1 was taken back on 4 Mar 2027"),
    ([NEED, yes(good_from=TOMORROW)], "AG-1 begins only on 5 Mar 2027"),
    ([DEAD, yes("isolate")], "of AG-1 it is not on record who proved it dead or shut off"),
    ([STANDING_BY, yes("attend", good_through="2027-03-05")], "AG-1 is good through 5 Mar 2027, and the permit runs longer"),
    ([NEED, LOST, and_outcome("SV-2", "not_found")], "within 3 m of the electricity service SV-2, and where that lies is not known"),
]


@pytest.mark.parametrize(("changes", "words"), SAYS)
def test_a_refusal_says_what_is_needed_where_of_whom_and_what_is_on_record(changes: list[Change], words: str) -> None:
    (told,) = [one.says for one in judged(*changes).blocks if one.code in BLOCKS.values()]
    assert words in told
