"""What holds of every verdict, tried on all the tables' rows with records shuffled, added and taken away."""

import json
import os
import subprocess
import sys
from dataclasses import fields, is_dataclass, replace
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from locates.permits.rules.evidence import Evidence
from locates.permits.rules.gate import assess
from locates.rules.fitness import Check
from records.rules.verdict import as_data
from records.rules.words import PASSIVE
from tests.rules.cast import KIT, clear, instant
from tests.rules.changes import Change, and_award, and_enquiry, and_need, together, with_award, with_enquiry, with_locate, with_rule, without
from tests.rules.table import Row
from tests.rules.test_codes import ROWS

LOCATED = [row for row in ROWS if row.evidence.locate]
BLOCKED = [row for row in ROWS if row.blocks]
# a limit's subject begins so, and at that instant one of these blocks is said of it
ENDED = {
    "enquiry:": {"plans.lapsed"},
    "locate:": {"locate.lapsed"},
    "agreement:": {"owner.not_consulted", "owner.not_attending", "owner.not_isolated"},
    "person:": {f"{role}.{how}" for role in ("receiver", "crew") for how in ("lapsed", "withdrawn", "left")},
}
unhurried = settings(deadline=None, max_examples=200)

PRINTED = """
import hashlib, json
from records.rules.verdict import Verdict, as_data
from tests.rules.test_codes import ROWS
print(hashlib.sha256(json.dumps([as_data(row.verdict) for row in ROWS]).encode()).hexdigest())
"""


def shuffled(thing: Any, shuffle: Any) -> Any:
    """The same records, each list of them in another order."""
    if isinstance(thing, tuple):
        items = [shuffled(item, shuffle) for item in thing]
        shuffle(items)
        return tuple(items)
    if is_dataclass(thing):
        return replace(thing, **{field.name: shuffled(getattr(thing, field.name), shuffle) for field in fields(thing)})
    return thing


@unhurried
@given(st.sampled_from(ROWS), st.randoms(use_true_random=False))
def test_the_order_of_the_records_changes_nothing(row: Row, random: Any) -> None:
    assert as_data(assess(shuffled(row.evidence, random.shuffle), row.at)) == as_data(row.verdict)


TWICE = {
    "two awards ended by one withdrawal": (and_award("C-1", "A-2", "2027-03-01", "dig"), with_award("C-1", "A-2", withdrawn_on="2027-03-02")),
    "two changes ahead of one number": (with_rule("due_soon_days", "30", "2027-03-05"), with_rule("due_soon_days", "31", "2027-03-06")),
    "two changes ahead of one need": (and_need(effective_from="2027-03-05"), and_need(effective_from="2027-03-06")),
    "two spellings of one owner": (
        with_enquiry("E-2", good_through="2027-03-05"),
        and_enquiry("E-3", "BIRCH POWER", answered_at="2027-02-25T10:00", good_through="2027-03-05", nothing_shown=True),
    ),
}


@pytest.mark.parametrize("what", TWICE)
def test_not_even_the_sentences_depend_on_the_order_of_the_records(what: str) -> None:
    evidence = together(*TWICE[what])(clear())
    at = instant("2027-03-04T09:00", evidence.site.zone)
    assert as_data(assess(shuffled(evidence, list.reverse), at)) == as_data(assess(evidence, at))


@pytest.mark.parametrize("row", [ROWS[0], LOCATED[-1]], ids=str)
def test_an_instant_in_another_offset_is_the_same_instant(row: Row) -> None:
    assert as_data(assess(row.evidence, row.at.astimezone(row.evidence.site.zone))) == as_data(row.verdict)


def test_every_verdict_is_the_same_byte_for_byte_in_another_process() -> None:
    """Sets come in another order where text hashes otherwise."""
    runs = [subprocess.run([sys.executable, "-c", PRINTED], env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True, check=True) for seed in "12"]
    assert len(runs[0].stdout) == 65
    assert runs[0].stdout == runs[1].stdout


@unhurried
@given(st.sampled_from(BLOCKED), st.sampled_from(["I-1", "R-1", "C-1", "C-2", "O-1"]), st.integers(-800, 5))
def test_a_withdrawal_never_makes_a_blocked_permit_clear(row: Row, person: str, days: int) -> None:
    day = row.at.date() + timedelta(days=days)
    assert assess(_withdrawn(person, day)(row.evidence), row.at).blocks


def _withdrawn(name: str, day: date) -> Change:
    """All that the person holds on the day is withdrawn then; what was withdrawn before stays so."""

    def change(evidence: Evidence) -> Evidence:
        everyone = (evidence.permit.issuer, evidence.permit.receiver, *evidence.permit.crew, *([evidence.locate.operator] if evidence.locate else []))
        held = {award for one in everyone if one.person == name for award in one.awards}
        for award in held:
            if award.awarded_on <= day < (award.withdrawn_on or date.max):
                evidence = with_award(name, award.award, withdrawn_on=day)(evidence)
        return evidence

    return change


@unhurried
@given(st.sampled_from([row for row in BLOCKED if row.evidence.locate]), st.sampled_from(sorted(KIT)), st.integers(0, 10_000))
def test_a_failed_check_after_the_locate_never_makes_a_blocked_permit_clear(row: Row, kind: str, minutes: int) -> None:
    locate = row.evidence.locate
    instrument, ended = getattr(locate, kind), locate.finished_at or row.at
    if instrument is not None:
        check = Check("H-9", "before_use", ended + timedelta(minutes=minutes, seconds=1), "fail")
        evidence = with_locate(**{kind: replace(instrument, checks=(*instrument.checks, check))})(row.evidence)
        assert assess(evidence, row.at).blocks


@pytest.mark.parametrize("technique", PASSIVE)
def test_no_permit_is_clear_without_both_passive_sweeps(technique: str) -> None:
    clear = [row for row in LOCATED if row.verdict.clear]
    bare = [without("sweeps", *(one.sweep for one in row.evidence.locate.sweeps if one.technique == technique))(row.evidence) for row in clear]
    assert len(clear) > 300
    assert [row for row, evidence in zip(clear, bare, strict=True) if assess(evidence, row.at).clear] == []


def test_what_limits_a_sign_off_ends_at_that_instant_and_not_a_second_before() -> None:
    assert [(str(row), subject) for row in ROWS for subject in row.verdict.limited_by if not _ends(row, subject)] == []


def _ends(row: Row, subject: str) -> bool:
    until = row.verdict.good_until
    if subject == "permit":
        return (until - row.evidence.permit.valid_from).total_seconds() % 3600 == 0
    (codes,) = [codes for begins, codes in ENDED.items() if subject.startswith(begins)]
    then, before = (_said_of(row, subject, until - back) & codes for back in (timedelta(), timedelta(seconds=1)))
    return bool(then) and not before


def _said_of(row: Row, subject: str, at: Any) -> set[str]:
    """What is said of an agreement that ended is said of the service that it was for."""
    whom = {subject, subject.split("/")[0]}
    return {one.code for one in assess(row.evidence, at).blocks if one.subject in whom or subject.startswith("agreement:")}


@unhurried
@given(st.sampled_from(ROWS), st.integers(0, 400_000))
def test_a_clear_permit_stays_clear_of_lapses_until_good_until(row: Row, seconds: int) -> None:
    """Nothing that a sign-off rests on, but the operator, issuer and instruments, lapses before."""
    verdict = row.verdict
    if any(one.code == "owner.change_ahead" for one in verdict.cautions):
        return  # what owners are asked for changes: nothing lapses
    later = min(row.at + timedelta(seconds=seconds), verdict.good_until - timedelta(seconds=1))
    lapses = set().union(*ENDED.values())
    assert not verdict.clear or not {one.code for one in assess(row.evidence, later).blocks} & lapses


def test_a_verdict_is_data_that_json_can_tell() -> None:
    every = [as_data(row.verdict) for row in ROWS]
    assert json.loads(json.dumps(every)) == every
