"""The operator: authorised for each technique over the whole locate and now, and with the firm when it began."""

import pytest

from tests.rules.cast import line
from tests.rules.changes import Change, and_award, and_trace, together, with_award, with_locate, with_person, with_rule, with_trace, without
from tests.rules.table import Row, block, caution, found, judged, wanted

SONDE = "person:O-1/sonde"
never = block("operator.never", SONDE)
not_begun = block("operator.not_begun", SONDE)
lapsed = block("operator.lapsed", SONDE)
withdrawn = block("operator.withdrawn", SONDE)
left = block("operator.left", "person:O-1")
left_since = caution("operator.left", "person:O-1")

OTHERS = frozenset({"passive_power", "passive_radio", "induction"})
# the operator's one award for all but the sonde, so that the others below decide about the sonde alone
NO_SONDE = with_award("O-1", authorises=OTHERS)


def sonde(award, awarded_on, **changes):
    """One more award of the operator, for the sonde alone."""
    return together(and_award("O-1", award, awarded_on, "sonde"), with_award("O-1", award, **changes))


EXPOSED_ONLY = together(without("sweeps"), without("traces"), and_trace("T-9", "exposed", line((3, 0), (3, 4)), services=("SV-1", "SV-2")))
NOT_SWEPT = ("locate.not_swept",)
LATER = with_locate(started_at="2027-03-04T09:00:01", finished_at=None)
OVERNIGHT = with_locate(started_at="2027-03-02T08:00", finished_at="2027-03-03T00:00")
EVENING = with_locate(started_at="2027-03-02T08:00", finished_at="2027-03-02T23:59:59")

ROWS = [
    never.fails(NO_SONDE),
    never.passes(NO_SONDE, sonde("A-2", "2027-01-01")),
    never.passes(NO_SONDE, with_trace("T-1", technique="exposed")),
    never.fails(with_award("O-1", authorises=frozenset({"sonde", "induction", "passive_radio"})), subject="person:O-1/passive_power"),
    never.fails(and_trace("T-9", "clamp", line((0, 2), (1, 2))), with_award("O-1", authorises=OTHERS | {"sonde"}), subject="person:O-1/clamp"),
    never.passes(with_award("O-1", authorises=OTHERS | {"sonde"}), subject="person:O-1/clamp"),
    never.passes(and_trace("T-9", "exposed", line((0, 2), (1, 2))), subject="person:O-1/exposed"),
    never.passes(NO_SONDE, LATER, also=("locate.unfinished",)),
    never.passes(EXPOSED_ONLY, with_person("O-1", awards=()), also=NOT_SWEPT),
    # over the whole locate, and now
    not_begun.passes(with_award("O-1", awarded_on="2027-03-02")),
    not_begun.fails(with_award("O-1", awarded_on="2027-03-03")),
    not_begun.fails(with_award("O-1", awarded_on="2027-03-05")),
    not_begun.passes(NO_SONDE, sonde("A-2", "2025-01-01", expires_on="2025-02-01"), sonde("A-3", "2027-03-03"), also=("operator.lapsed",)),
    not_begun.passes(with_award("O-1", awarded_on="2018-11-04"), day="2018-11-06", zone="America/Sao_Paulo"),
    not_begun.fails(with_award("O-1", awarded_on="2018-11-05"), day="2018-11-06", zone="America/Sao_Paulo"),
    lapsed.fails(with_award("O-1", expires_on="2027-03-01"), since="2027-03-02T00:00"),
    lapsed.fails(with_award("O-1", expires_on="2027-03-02"), since="2027-03-03T00:00"),
    lapsed.fails(with_award("O-1", expires_on="2027-03-03"), since="2027-03-04T00:00", at="2027-03-04T00:00"),
    lapsed.passes(with_award("O-1", expires_on="2027-03-03"), at="2027-03-03T23:59:59"),
    lapsed.passes(with_award("O-1", expires_on="2027-03-04")),
    # both ends of the locate count, and a gap after it does not
    lapsed.fails(OVERNIGHT, with_award("O-1", expires_on="2027-03-02"), and_award("O-1", "A-2", "2027-03-04", "sonde", *OTHERS), since="2027-03-03T00:00"),
    lapsed.passes(EVENING, with_award("O-1", expires_on="2027-03-02"), and_award("O-1", "A-2", "2027-03-04", "sonde", *OTHERS)),
    lapsed.passes(OVERNIGHT, with_award("O-1", expires_on="2027-03-02"), and_award("O-1", "A-2", "2027-03-03", "sonde", *OTHERS)),
    lapsed.fails(
        with_locate(finished_at=None),
        with_rule("locate_max_hours", "168"),
        with_award("O-1", expires_on="2027-03-02"),
        and_award("O-1", "A-2", "2027-03-04", "sonde", *OTHERS),
        since="2027-03-03T00:00",
        also=("locate.unfinished",),
    ),
    # the first failure is told: over the locate before now
    lapsed.fails(NO_SONDE, sonde("A-2", "2025-01-01", expires_on="2027-03-01"), sonde("A-3", "2027-03-03", expires_on="2027-03-03"), since="2027-03-02T00:00"),
    lapsed.fails(with_award("O-1", valid_months=20), since="2027-03-01T00:00"),
    lapsed.passes(with_award("O-1", valid_months=21)),
    lapsed.passes(with_award("O-1", valid_months=None)),
    lapsed.passes(with_award("O-1", valid_months=20, expires_on="2027-03-04")),
    lapsed.fails(NO_SONDE, sonde("A-2", "2024-02-29"), day="2027-03-02", since="2027-03-01T00:00"),
    lapsed.passes(NO_SONDE, sonde("A-2", "2024-02-29"), day="2027-02-28"),
    lapsed.fails(NO_SONDE, sonde("A-2", "2024-08-31", valid_months=6), day="2025-03-01", since="2025-03-01T00:00"),
    lapsed.passes(NO_SONDE, sonde("A-2", "2024-08-31", valid_months=6), day="2025-02-28"),
    lapsed.passes(with_award("O-1", expires_on="2027-03-04"), zone="Pacific/Honolulu"),
    lapsed.fails(with_award("O-1", expires_on="2027-03-03"), zone="Pacific/Honolulu", since="2027-03-04T10:00Z"),
    # a withdrawal ends every award dated on or before its day, for each thing that its course authorises
    withdrawn.fails(with_award("O-1", withdrawn_on="2027-03-02"), since="2027-03-02T00:00"),
    withdrawn.fails(with_award("O-1", withdrawn_on="2027-03-04"), since="2027-03-04T00:00"),
    withdrawn.passes(with_award("O-1", withdrawn_on="2027-03-05")),
    withdrawn.fails(with_award("O-1", withdrawn_on="2027-03-05"), at="2027-03-05T00:00", since="2027-03-05T00:00"),
    withdrawn.passes(with_award("O-1", withdrawn_on="2027-03-05"), at="2027-03-04T23:59:59"),
    withdrawn.fails(NO_SONDE, sonde("A-2", "2026-01-01"), sonde("A-3", "2027-01-01", withdrawn_on="2027-02-01"), since="2027-02-01T00:00"),
    withdrawn.fails(NO_SONDE, sonde("A-2", "2027-03-01"), sonde("A-3", "2027-01-01", withdrawn_on="2027-03-01"), since="2027-03-01T00:00"),
    withdrawn.fails(  # of two withdrawals the earlier one ended it
        NO_SONDE,
        sonde("A-2", "2026-01-01", withdrawn_on="2027-03-01"),
        sonde("A-3", "2026-01-01", withdrawn_on="2027-02-01"),
        since="2027-02-01T00:00",
    ),
    withdrawn.passes(NO_SONDE, sonde("A-2", "2027-03-02"), sonde("A-3", "2027-01-01", withdrawn_on="2027-03-01")),
    withdrawn.passes(sonde("A-2", "2027-01-01", withdrawn_on="2027-02-01"), also=("operator.withdrawn",), subject="person:O-1/induction"),
    withdrawn.passes(and_award("O-1", "A-2", "2027-01-01", "clamp"), with_award("O-1", "A-2", withdrawn_on="2027-02-01")),
    withdrawn.fails(with_award("O-1", awarded_on="2027-03-02", withdrawn_on="2027-03-02"), since="2027-03-02T00:00"),
    # one that had ended by then is not ended by it; of two ends at one instant the withdrawal is told, else the later
    withdrawn.passes(with_award("O-1", expires_on="2027-03-01", withdrawn_on="2027-03-02"), also=("operator.lapsed",)),
    withdrawn.fails(with_award("O-1", expires_on="2027-03-02", withdrawn_on="2027-03-02"), since="2027-03-02T00:00"),
    withdrawn.fails(
        NO_SONDE, sonde("A-3", "2025-01-01", expires_on="2027-03-01"), sonde("A-2", "2025-01-01", withdrawn_on="2027-03-02"), since="2027-03-02T00:00"
    ),
    withdrawn.fails(
        NO_SONDE, sonde("A-2", "2025-01-01", withdrawn_on="2027-03-02"), sonde("A-3", "2025-01-01", expires_on="2027-03-01"), since="2027-03-02T00:00"
    ),
    withdrawn.passes(
        NO_SONDE,
        sonde("A-2", "2025-01-01", withdrawn_on="2027-02-01"),
        sonde("A-3", "2027-02-02", expires_on="2027-02-28"),
        also=("operator.lapsed",),
    ),
    left.fails(with_person("O-1", left_on="2027-03-01"), since="2027-03-02T00:00"),
    left.passes(with_person("O-1", left_on="2027-03-02")),
    left.passes(EXPOSED_ONLY, with_person("O-1", left_on="2027-03-01"), also=NOT_SWEPT),
    left.passes(LATER, with_person("O-1", left_on="2027-03-01"), also=("locate.unfinished",)),
    left.fails(with_person("O-1", left_on="2027-03-01"), without("traces"), also=("service.unaccounted",), since="2027-03-02T00:00"),
    left.fails(
        with_locate(started_at="2027-03-02T00:00", finished_at="2027-03-02T01:00"),
        with_person("O-1", left_on="2027-03-01"),
        with_rule("check_valid_hours", "48"),
        also=("instrument.check_missing",),
        since="2027-03-02T00:00",
    ),
    left.passes(with_locate(started_at="2027-03-01T23:59:59"), with_person("O-1", left_on="2027-03-01"), also=("instrument.check_missing",)),
    left_since.fails(with_person("O-1", left_on="2027-03-02"), since="2027-03-03T00:00"),
    left_since.fails(with_person("O-1", left_on="2027-03-03"), since="2027-03-04T00:00", at="2027-03-04T00:00"),
    left_since.passes(with_person("O-1", left_on="2027-03-03"), at="2027-03-03T23:59:59"),
    left_since.passes(with_person("O-1", left_on="2027-03-04")),
    left_since.passes(with_person("O-1", left_on="2027-03-01"), also=("operator.left",)),
    left_since.passes(with_person("O-1", left_on="2027-03-04"), at="2027-03-04T23:59:59"),
    left_since.passes(EXPOSED_ONLY, with_person("O-1", left_on="2027-03-02"), also=NOT_SWEPT),
    left_since.passes(LATER, with_person("O-1", left_on="2027-03-02"), also=("locate.unfinished",)),
]


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_the_operator_may_use_each_technique_of_the_locate(row: Row) -> None:
    assert found(row) == wanted(row)


TOLD = [
    (
        (sonde("A-2", "2026-01-01", expires_on="2027-02-01"), sonde("A-3", "2025-01-01", expires_on="2027-01-01")),
        "(award A-2) was good through 1 Feb 2027.",
    ),
    (
        (sonde("A-3", "2025-01-01", expires_on="2027-01-01"), sonde("A-2", "2026-01-01", withdrawn_on="2027-02-01")),
        "(award A-2) was withdrawn on 1 Feb 2027.",
    ),
    ((), "Odo Fennel has no award for sonde."),
    ((sonde("A-2", "2027-03-05"),), "Odo Fennel's authorisation for sonde (award A-2) begins only on 5 Mar 2027."),
]


@pytest.mark.parametrize(("changes", "told"), TOLD)
def test_the_award_that_ended_is_named_and_its_day(changes: tuple[Change, ...], told: str) -> None:
    (finding,) = judged(NO_SONDE, *changes).blocks
    assert finding.says.endswith(told)
