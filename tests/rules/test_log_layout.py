"""Layouts: what goes together, and that what is kept of one reads back to the same."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from locates.logs.rules.layout import DELIMITERS, ENCODINGS, LONLAT, NOWHERE, POSITIONS, SITE, How, faults, named, read_back, with_words, written
from locates.logs.rules.times import TIME_FORMS
from records.rules.words import TECHNIQUES

HEADER = ("when", "what", "strength", "east", "north", "date")
PLAIN = How("utf-8", "comma", 0, HEADER, False, 0, "year_first", "UTC", 1, SITE, None, 2, 3, 4, {"P": "passive_power", "-": ""})
COLUMN = st.one_of(st.none(), st.integers(0, 30))
LAYOUTS = st.builds(
    How,
    st.sampled_from(ENCODINGS),
    st.sampled_from(list(DELIMITERS)),
    st.integers(0, 50),
    st.lists(st.text(max_size=9), min_size=1, max_size=9).map(tuple),
    st.booleans(),
    st.integers(0, 30),
    st.sampled_from(TIME_FORMS),
    st.sampled_from(["", "UTC", "site", "offset", "Pacific/Auckland"]),
    st.integers(0, 30),
    st.sampled_from(POSITIONS),
    COLUMN,
    COLUMN,
    COLUMN,
    COLUMN,
    st.dictionaries(st.text(max_size=9), st.sampled_from(["", *TECHNIQUES]), max_size=9),
)


@given(LAYOUTS)
def test_a_layout_reads_back_as_it_was_written(how):
    assert read_back(written(how)) == how
    assert written(read_back(written(how))) == written(how)


@given(LAYOUTS, st.dictionaries(st.text(max_size=9), st.sampled_from(["", *TECHNIQUES]), max_size=9))
def test_a_layout_grows_by_words_and_forgets_or_changes_none(how, more):
    grown = with_words(how, more)
    assert set(grown.words) == {*how.words, *more}
    assert {word: grown.words[word] for word in how.words} == how.words
    assert replace(grown, words=how.words) == how


def test_one_that_goes_together_has_no_fault():
    assert list(faults(PLAIN)) == []


@pytest.mark.parametrize(
    ("changed", "column"),
    [
        ({"mode": 0}, "mode"),
        ({"day": 1}, "mode"),
        ({"time": 9}, "time"),
        ({"y": None}, "y"),
        ({"position": LONLAT, "x": None}, "x"),
        ({"position": NOWHERE}, "position"),
        ({"zone": ""}, "zone"),
        ({"time_form": "epoch"}, "zone"),
        ({"time_form": "epoch", "zone": "", "day": 5}, "day"),
        ({"words": {"P": "dowsing"}}, "words"),
    ],
)
def test_what_does_not_go_together_is_told_at_its_field(changed, column):
    assert [where for where, _ in faults(replace(PLAIN, **changed))] == [column]


def test_columns_of_one_name_or_none_are_told_apart_by_their_number():
    assert [named(("a", "", "a"), number) for number in range(4)] == ["1: a", "2", "3: a", "4"]
