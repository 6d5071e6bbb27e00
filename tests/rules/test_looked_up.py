"""How a permit that is looked up stands, and what a paper with a mark is worth."""

from dataclasses import replace
from datetime import timedelta

import pytest

from locates.life.rules.acts import (
    ACCEPTED,
    BETWEEN,
    CANCEL,
    CANCELLED,
    END_CONDITIONS,
    END_SCOPE,
    ENDED,
    EXTEND,
    HAND_BACK,
    HAND_OVER,
    HANDED_BACK,
    ISSUED,
    PREPARED,
    RESUME,
    SUSPEND,
    SUSPENDED,
    TAKE_OVER,
)
from locates.life.rules.story import Done, Life
from locates.papers.rules import (
    BLOCKED,
    CHANGED,
    COMING,
    HOLDS,
    LATEST,
    OUTDATED,
    REPLACED,
    UNKNOWN,
    UNSIGNED,
    UNTOLD,
    Print,
    Standing,
    mark_of,
    standing,
    worth,
)
from locates.permits.rules.gate import assess
from records.rules.verdict import Finding
from tests.rules.cast import clear

EVIDENCE = clear()
BEGINS, ENDS = EVIDENCE.permit.valid_from, EVIDENCE.permit.valid_to
VERDICT = replace(assess(EVIDENCE, BEGINS), at=BEGINS)
TWO_BLOCKS = (Finding("a", "x", "", "", ENDS), Finding("b", "x", "", "", BEGINS), Finding("c", "x", "", ""))
NOON = BEGINS + timedelta(hours=2)


def stands(at=BEGINS, state=ACCEPTED, last=None, undoes=(), **verdict):
    return standing(Life(state, "I-1", "R-1", ENDS), last and Done(last, "R-1", NOON), replace(VERDICT, at=at, **verdict), undoes, BEGINS)


def test_signed_clear_and_in_its_time_it_holds_until_the_first_end():
    assert stands() == Standing(HOLDS, min(ENDS, VERDICT.good_until))
    assert stands(good_until=BEGINS + timedelta(hours=1)) == Standing(HOLDS, BEGINS + timedelta(hours=1))


def test_its_time_is_half_open():
    assert stands(at=BEGINS - timedelta(seconds=1)) == Standing(COMING, BEGINS)
    assert stands(at=ENDS - timedelta(seconds=1)).word == HOLDS
    assert stands(at=ENDS) == Standing(ENDED, ENDS)


@pytest.mark.parametrize("state", [PREPARED, ISSUED])
def test_short_of_a_signature_it_is_unsigned(state):
    assert stands(state=state) == Standing(UNSIGNED, None)


@pytest.mark.parametrize(
    ("last", "state"), [(SUSPEND, SUSPENDED), (HAND_OVER, BETWEEN), (END_SCOPE, ENDED), (END_CONDITIONS, ENDED), (HAND_BACK, HANDED_BACK), (CANCEL, CANCELLED)]
)
def test_at_rest_or_over_it_stands_so_since_its_last_step(last, state):
    assert stands(state=state, last=last) == Standing(state, NOON)


def test_ended_by_its_time_it_is_over_since_then_whatever_was_done_before():
    assert stands(state=ENDED, last=RESUME) == Standing(ENDED, ENDS)
    assert stands(at=ENDS, state=ISSUED) == Standing(ENDED, ENDS)


@pytest.mark.parametrize("last", [RESUME, TAKE_OVER, EXTEND])
def test_resumed_taken_over_or_extended_it_holds(last):
    assert stands(last=last).word == HOLDS


def test_suspended_and_undone_it_is_suspended_for_only_its_issuer_lifts_that():
    assert stands(state=SUSPENDED, last=SUSPEND, undoes=TWO_BLOCKS) == Standing(SUSPENDED, NOON)


def test_undone_since_the_earliest_reason_that_has_a_beginning():
    assert stands(undoes=TWO_BLOCKS) == Standing(BLOCKED, BEGINS)
    assert stands(undoes=TWO_BLOCKS[2:]) == Standing(BLOCKED, None)


def test_what_undoes_it_goes_before_a_signature_due_and_an_end_before_both():
    assert stands(state=PREPARED, undoes=TWO_BLOCKS).word == BLOCKED
    assert stands(state=BETWEEN, last=HAND_OVER, undoes=TWO_BLOCKS).word == BLOCKED
    assert stands(at=ENDS, state=PREPARED, undoes=TWO_BLOCKS).word == ENDED


def test_a_block_that_undoes_nothing_is_no_matter_of_the_paper():
    assert stands(blocks=TWO_BLOCKS).word == HOLDS


FIRST, SECOND = Print(1, "aa" * 32), Print(2, "bb" * 32)


@pytest.mark.parametrize(
    ("mark", "upon", "found"),
    [
        (mark_of(SECOND), SECOND.digest, LATEST),
        (mark_of(SECOND), FIRST.digest, CHANGED),
        (mark_of(FIRST), SECOND.digest, REPLACED),
        (mark_of(FIRST), FIRST.digest, REPLACED),
        ("", SECOND.digest, UNTOLD),
        ("", FIRST.digest, OUTDATED),
        ("3-bbbbbbbb", SECOND.digest, UNKNOWN),
        ("1-bbbbbbbb", SECOND.digest, UNKNOWN),
        ("2-bbbbbbb", SECOND.digest, UNKNOWN),
        ("2-", SECOND.digest, UNKNOWN),
        ("02-bbbbbbbb", SECOND.digest, UNKNOWN),
    ],
)
def test_a_paper_is_worth_what_its_mark_says(mark, upon, found):
    assert worth(mark, (FIRST, SECOND), upon) == found
