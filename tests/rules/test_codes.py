"""No code of the gate is forgotten: each has rows that just pass and rows that just fail, and says one plain sentence."""

import re
from datetime import timedelta

import pytest

from records.rules.dates import day_says, local_day
from records.rules.verdict import Condition, Finding
from tests.rules import (
    test_calibration,
    test_cautions,
    test_cautions_ahead,
    test_clearance,
    test_emergency,
    test_following,
    test_instruments,
    test_locate,
    test_operator,
    test_owners,
    test_people,
    test_plans,
    test_services,
    test_window,
    test_wrong_plans,
)
from tests.rules.cast import KIT, PEOPLE
from tests.rules.table import Row

BLOCKS = """
window.reversed window.past window.over_limit window.outlasts_evidence people.issuer_is_receiver people.issuer_in_crew people.no_crew
follows.still_open follows.replaced
emergency.by_machine emergency.over_hours emergency.decider emergency.decided_late emergency.follow_up_owed
plans.none plans.not_asked plans.unanswered plans.lapsed plans.other_ground plans.after_locate plans.not_entered plans.wrong
locate.none locate.other_site locate.unfinished locate.lapsed locate.too_long locate.not_swept locate.one_direction
service.not_found service.wrong_technique service.unaccounted
operator.withdrawn operator.lapsed operator.not_begun operator.never operator.left
instrument.none instrument.out_of_service instrument.not_yet_calibrated instrument.calibration_failed instrument.calibration_lapsed
instrument.check_failed instrument.check_missing instrument.self_test_lapsed instrument.recall_unknown instrument.recalled
issuer.withdrawn issuer.lapsed issuer.not_begun issuer.never issuer.left
receiver.withdrawn receiver.lapsed receiver.not_begun receiver.never receiver.left
crew.withdrawn crew.lapsed crew.not_begun crew.never crew.left
clearance.bore_unexposed
owner.not_consulted owner.not_attending owner.not_isolated
"""
CAUTIONS = """
plans.closed plans.dropped service.by_word clearance.exposed_in_part operator.left instrument.out_of_service_since
depth.from_passive depth.not_checked depth.disagrees depth.induction_deep trace.passive_only trace.unplanned trace.no_width
emergency.unanswered emergency.lapsed emergency.other_ground emergency.after_locate emergency.again
follows.shares_ground sweep.too_near due.soon instrument.hire_over window.begun rules.looser rules.change_ahead standing
owner.consult owner.attend owner.isolate owner.change_ahead
"""
CONDITIONS = "treat_as_live hand_dig owner.agreed"
ALWAYS = {("standing", False)}  # said of every permit: no row passes

TABLES = [
    test_window.ROWS,
    test_plans.ROWS,
    test_wrong_plans.ROWS,
    test_locate.ROWS,
    test_services.ROWS,
    test_operator.ROWS,
    test_calibration.ROWS,
    *(test_instruments.NEEDED, test_instruments.IN_SERVICE, test_instruments.CHECKS, test_instruments.SELF_TESTS, test_instruments.RECALLS),
    *(test_people.ROWS, test_people.ODD),
    test_clearance.ROWS,
    test_emergency.ROWS,
    test_following.ROWS,
    test_owners.ROWS,
    *(test_cautions.PLANS, test_cautions.TRACES),
    *(test_cautions_ahead.DUE, test_cautions_ahead.WINDOW, test_cautions_ahead.RULES),
]
ROWS: list[Row] = [row for table in TABLES for row in table]
NONE, SECOND = timedelta(), timedelta(seconds=1)
NAMES = (*(name for name, _ in PEOPLE.values()), *KIT.values())
SENTENCE = re.compile(r"[A-Z].*\.", re.DOTALL)


def rows_of(stops: bool) -> set[tuple[str, bool]]:
    return {(row.code, row.said) for row in ROWS if row.stops is stops}


@pytest.mark.parametrize(("stops", "codes"), [(True, BLOCKS), (False, CAUTIONS + CONDITIONS)])
def test_every_code_has_rows_that_pass_and_rows_that_fail(stops: bool, codes: str) -> None:
    assert rows_of(stops) == {(code, said) for code in codes.split() for said in (True, False)} - ALWAYS


@pytest.fixture(scope="module")
def everything_said() -> list[tuple[Row, Finding | Condition]]:
    verdicts = [(row, row.verdict) for row in ROWS]
    return [(row, one) for row, verdict in verdicts for one in (*verdict.blocks, *verdict.cautions, *verdict.conditions)]


def sentences(text: str) -> int:
    """How many: a full stop, a space and a capital begin another."""
    return len(re.findall(r"\.(?:\s+[A-Z]|$)", text))


def test_no_table_brings_up_a_code_that_is_not_on_the_list(everything_said: list) -> None:
    assert {one.code for _, one in everything_said} == set((BLOCKS + CAUTIONS + CONDITIONS).split())


@pytest.mark.parametrize("code", (BLOCKS + CAUTIONS + CONDITIONS).split())
def test_what_is_wrong_and_what_to_do_are_one_plain_sentence_each(code: str, everything_said: list) -> None:
    told = {text for _, one in everything_said if one.code == code for text in (one.says, getattr(one, "remedy", one.says))}
    assert [text for text in told if not SENTENCE.fullmatch(text) or "\n" in text or sentences(text) != 1 or "None" in text] == []


def test_a_reason_with_a_date_says_it(everything_said: list) -> None:
    """The day from which it holds, or the last day before. (Of a day that Samoa skipped the day itself is told, and no instant is of it.)"""
    dated = [(one, row.evidence.site.zone) for row, one in everything_said if getattr(one, "since", None)]
    days = [(one, {day_says(local_day(one.since - back, zone)) for back in (NONE, SECOND)}) for one, zone in dated if zone.key != "Pacific/Apia"]
    assert {one.says for one, either in days if not any(day in one.says for day in either)} == set()


def test_a_reason_about_somebody_or_an_instrument_names_them(everything_said: list) -> None:
    about = [one for _, one in everything_said if one.subject.startswith(("person:", "instrument:"))]
    assert {one.says for one in about if not any(name in one.says for name in NAMES)} == set()
