"""The chain: what counts as sound, and which entry is named when it is not."""

from datetime import UTC, date, datetime

import pytest

from records.ledger.chain import COMMAND_LINE, GENESIS, Link, NotCanonical, canonical, forged, instant, link, moment, parse, walk

AT = datetime(2026, 3, 4, 16, tzinfo=UTC)


def chained(length=3):
    """A sound chain."""
    links, prev = [], GENESIS
    for seq in range(1, length + 1):
        bare = Link(seq, "course.add", *("P-01", "Kim Aalto"), "course", f"C-{seq}", f"C-{seq}", "2026-03-01", AT, "", "", prev, "")
        links.append(forged(bare, None, {"title": f"Course {seq}"}))
        prev = links[-1].hash
    return links


def rehashed(one, **changes):
    """The link as a careful forger would leave it: changed, with body and hash to match."""
    return forged(one._replace(**changes), None, parse(one.body)["after"])


def test_an_empty_chain_holds_and_its_head_is_the_beginning():
    assert walk([]) == (0, GENESIS, None)


def test_a_sound_chain_holds_to_its_last_entry():
    links = chained(5)
    assert walk(iter(links)) == (5, links[-1].hash, None)


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("act", "course.remove"),
        ("actor_id", "P-02"),
        ("actor_name", "Lee Bond"),
        ("kind", "award"),
        ("subject_id", "C-9"),
        ("label", "C-9"),
        ("happened", "2026-03-02"),
        ("recorded_at", AT.replace(hour=17)),
        ("why", "no reason"),
    ],
)
def test_a_column_that_differs_from_what_was_hashed_is_found(column, value):
    links = chained()
    links[1] = links[1]._replace(**{column: value})
    assert walk(links).broken == (2, "its columns differ from its body")


@pytest.mark.parametrize("change", [{"body": canonical({"seq": 2})}, {"hash": "0" * 64}])
def test_a_body_or_hash_that_was_altered_is_found(change):
    links = chained()
    links[1] = links[1]._replace(**change)
    assert walk(links).broken == (2, "its body is not the one that was hashed")


def test_an_entry_rewritten_with_its_hash_is_found_at_the_next_link():
    links = chained()
    links[1] = rehashed(links[1], label="another")
    assert walk(links).broken == (3, "it does not link to the entry before it")


def test_a_missing_entry_is_found_at_the_one_after():
    links = chained()
    assert walk([links[0], links[2]]).broken == (3, "entry 2 is missing")
    assert walk(links[1:]).broken == (2, "entry 1 is missing")


def test_entries_that_changed_places_are_found():
    links = chained()
    assert walk([links[1], links[0], links[2]]).broken.seq == 2


@pytest.mark.parametrize(
    ("body", "why"),
    [
        ('{"seq": 1}', "its body is not canonical JSON"),
        ('{"a":1,"a":1}', "its body is not canonical JSON"),
        ('{"a":1}', "its body cannot be read: 'before'"),
        ("[]", "its body cannot be read: list indices must be integers or slices, not str"),
        ("no JSON", "its body cannot be read: not JSON: Expecting value: line 1 column 1 (char 0)"),
        ("NaN", "its body cannot be read: nan is no number"),
    ],
)
def test_a_body_that_says_nothing_an_entry_says_is_found_though_its_hash_fits(body, why):
    one = chained(1)[0]
    assert walk([one._replace(body=body, hash=link(GENESIS, body))]).broken == (1, why)


def test_the_walk_takes_one_entry_at_a_time_and_stops_at_the_first_that_fails():
    def links():
        yield chained()[1]
        raise AssertionError("it read on")

    assert walk(links()).broken.seq == 2


def test_instants_are_told_in_utc_and_days_as_they_stand():
    assert (moment(AT), moment(date(2026, 3, 4))) == ("2026-03-04T16:00:00+00:00", "2026-03-04")
    with pytest.raises(NotCanonical, match="no zone"):
        instant(AT.replace(tzinfo=None))


def test_text_is_written_as_it_stands_composed_or_not():
    assert canonical("é") != canonical("e\u0301")


@pytest.mark.parametrize("value", [2**53, -(2**53), 10**400, float("inf"), "\ud800", {"\udfff": 1}, {1: 1}, b"", {1}, date(2026, 3, 4)])
def test_what_readers_of_json_would_not_agree_on_is_refused(value):
    with pytest.raises(NotCanonical):
        canonical([value])


def test_the_command_line_is_no_person():
    assert (COMMAND_LINE.id, COMMAND_LINE.name) == ("", "command line")
