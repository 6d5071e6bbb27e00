"""When a thing is told ahead, to whom, and in which words."""

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from locates.watch.rules.ahead import Thing, due
from locates.watch.rules.arrangement import ANSWERS, AWARDS, INSTRUMENTS, LINES, OWN, PERMITS, USUAL, Arrangement, kept, lines_of, read, read_days, told
from locates.watch.rules.letter import MOST, Group, subject, text
from records.rules.text import Unfit
from records.rules.words import ROLES, SAFETY_MANAGER, SUPERVISOR

END = date(2027, 6, 30)


def thing(left, life=400, key="award/A-1", says="Digging", name="A-1", whose="Jo Brandt"):
    return Thing(AWARDS, key, END - timedelta(days=life), END, END - timedelta(days=left), says, name, whose)


@pytest.mark.parametrize(
    ("left", "told", "days"),
    [
        (61, (), None),
        (60, (), 60),
        (59, (60,), None),
        (31, (60,), None),
        (30, (60,), 30),
        (30, (), 30),
        (5, (60,), 7),
        (5, (), 7),
        (5, (7,), None),
        (5, (5,), None),  # told nearer already, by days that were arranged otherwise
        (1, (7,), 1),
        (0, (7,), 1),
        (0, (), 1),
        (0, (1,), None),
        (-1, (), None),
    ],
)
def test_a_thing_is_told_once_at_the_nearest_distance_that_is_reached(left, told, days):
    assert due(thing(left), USUAL, told) == days


@pytest.mark.parametrize(
    ("life", "left", "days"),
    [(28, 28, None), (28, 14, 14), (14, 14, None), (14, 8, None), (14, 7, 7), (30, 30, None), (31, 30, 30), (1, 1, None), (2, 1, 1), (0, 0, None)],
)
def test_a_thing_is_not_told_at_a_distance_that_it_was_never_beyond(life, left, days):
    assert due(thing(left, life), USUAL, ()) == days


@pytest.mark.parametrize("told", [(), (60, 30, 14, 7, 1)])
def test_where_no_distance_is_arranged_nothing_is_told(told):
    assert due(thing(1), (), told) is None


unhurried = settings(deadline=None, max_examples=200)
distances = st.sets(st.integers(1, 366), min_size=1, max_size=8)


@unhurried
@given(distances, st.lists(st.integers(-20, 500)), st.integers(0, 500))
def test_whatever_the_gaps_each_distance_is_told_once_at_most_and_each_lapse_at_least_once(days, runs, life):
    said = []
    for left in sorted(runs, reverse=True):
        reached = due(thing(left, life), days, said)
        if reached is not None:
            assert reached == min(one for one in days if left <= one)
            said.append(reached)
    assert said == sorted(set(said), reverse=True)
    farthest = max((one for one in days if one < life), default=None)
    within = [left for left in runs if farthest is not None and 0 <= left <= farthest]
    assert bool(said) == bool(within)


@unhurried
@given(distances, st.lists(distances, min_size=1, max_size=5), st.lists(st.integers(0, 400), min_size=1))
def test_however_often_the_days_are_arranged_anew_nothing_is_told_farther_off_than_before(first, others, runs):
    said, every = [], [first, *others]
    for number, left in enumerate(sorted(runs, reverse=True)):
        reached = due(thing(left, 500), every[number % len(every)], said)
        said += [] if reached is None else [reached]
    assert said == sorted(set(said), reverse=True)


# who is told


def test_of_ones_own_authorisations_the_last_week_and_the_last_day_are_always_told():
    own, nothing = (AWARDS, OWN), Arrangement(days=dict.fromkeys(LINES, ()))
    assert (nothing.of(own), nothing.of((AWARDS, SUPERVISOR))) == ((7, 1), ())
    assert Arrangement().less(own, {own: ()}) == (7, 1)
    assert Arrangement().less((AWARDS, SUPERVISOR), {(AWARDS, SUPERVISOR): ()}) == ()


@unhurried
@given(st.sampled_from(list(LINES)), distances, distances)
def test_nobody_can_choose_to_be_told_more_than_is_arranged(line, arranged, chosen):
    one = Arrangement(days={line: tuple(arranged)})
    assert set(one.less(line, {line: tuple(chosen)})) <= set(one.of(line))


def test_who_has_no_role_is_told_of_what_is_theirs_and_a_role_adds_its_own_lines():
    assert {reader for _, reader in lines_of(())} == {OWN}
    assert {reader for _, reader in lines_of((SUPERVISOR, SAFETY_MANAGER))} == {OWN, SUPERVISOR, SAFETY_MANAGER}
    assert {reader for _, reader in LINES} <= {OWN, *ROLES}


@unhurried
@given(st.dictionaries(st.sampled_from(list(LINES)), distances.map(lambda days: tuple(sorted(days, reverse=True)))), st.integers(0, 23))
def test_an_arrangement_is_read_as_it_was_kept(days, hour):
    one = Arrangement(hour, days)
    assert Arrangement(told(one)["hour"], read(told(one))).of((ANSWERS, SUPERVISOR)) == one.of((ANSWERS, SUPERVISOR))
    assert read(kept(days)) == days


@pytest.mark.parametrize(("typed", "days"), [("60, 30 14;7,1", (60, 30, 14, 7, 1)), ("1,1,7", (7, 1)), ("  ", ()), ("", ()), ("366", (366,))])
def test_days_are_read_however_they_are_set_apart(typed, days):
    assert read_days(typed) == days


@pytest.mark.parametrize("typed", ["0", "367", "-7", "7.5", "soon", "1 2 3 4 5 6 7 8 9", "٣", "9999"])
def test_what_are_no_days_ahead_is_said_to_be_so(typed):
    with pytest.raises(Unfit, match="expected"):
        read_days(typed)


# the letter

ADDRESS = "open https://permits.example/mine/"


@pytest.mark.parametrize(
    ("lefts", "says"),
    [
        ([1], "1 thing lapses soon: tomorrow"),
        ([0], "1 thing lapses soon: today"),
        ([7], "1 thing lapses soon: in 7 days"),
        ([14, 2], "2 things lapse soon, the first in 2 days"),
    ],
)
def test_the_subject_counts_in_plain_english(lefts, says):
    assert subject([Group((AWARDS, OWN), [thing(left) for left in lefts], ADDRESS)]) == says


def test_the_letter_says_what_whose_until_when_and_where_more_stands():
    own = Group((AWARDS, OWN), [thing(14)], ADDRESS)
    others = Group(
        (AWARDS, SUPERVISOR),
        [thing(1, key="b", name="A-2", whose="Sana Wren"), thing(0, key="c", name="A-3")],
        "open https://permits.example/ahead/",
    )
    assert text("Jo Brandt", [own, others], "open https://permits.example/account/told-ahead/") == (
        "Jo Brandt, this lapses soon. What is renewed in time is not told again; the rest is told again when it is nearer.\n\n"
        "Your own authorisations. Book the refresher.\n- Digging (A-1): last good day 30 Jun 2027, in 14 days\nTo see where they stand, open https://permits.example/mine/\n\n"
        "Authorisations of people at your sites. Book the refresher.\n- Jo Brandt: Digging (A-3): last good day 30 Jun 2027, today\n"
        "- Sana Wren: Digging (A-2): last good day 30 Jun 2027, tomorrow\nTo see where they stand, open https://permits.example/ahead/\n\n"
        "After its last good day no permit that rests on it can be signed.\n\n"
        "To choose what you are told ahead, open https://permits.example/account/told-ahead/"
    )


@pytest.mark.parametrize(
    ("many", "more"),
    [
        (MOST, "\nTo see where they stand, open "),
        (MOST + 1, "\nand 1 more. To see all of them, open "),
        (MOST + 300, "\nand 300 more. To see all of them, open "),
    ],
)
def test_no_group_of_a_letter_is_longer_than_anyone_reads(many, more):
    said = text(
        "Jo", [Group((INSTRUMENTS, SAFETY_MANAGER), [thing(one % 60, key=f"k{one}", says=f"thing {one}", name="") for one in range(many)], ADDRESS)], ADDRESS
    )
    assert (said.count("\n- "), more in said) == (MOST, True)


def test_what_ends_first_is_told_first():
    said = text("Jo", [Group((AWARDS, OWN), [thing(left, key=str(left), says=f"in {left}", name="") for left in (30, 1, 7)], ADDRESS)], ADDRESS)
    assert [said.index(f"- in {left}:") for left in (1, 7, 30)] == sorted(said.index(f"- in {left}:") for left in (1, 7, 30))


def test_what_is_alike_but_for_its_identifier_shares_a_line_and_all_of_it_counts():
    alike = [thing(14, key=f"k{one}", says="Hollin Gas at Quay yard", name=f"E-{one}", whose="") for one in range(3)]
    other = thing(14, key="k9", says="Hollin Gas at Far moor", name="E-9", whose="")
    group = Group((ANSWERS, SUPERVISOR), [*alike, other], ADDRESS)
    said = text("Jo", [group], ADDRESS)
    assert "- Hollin Gas at Far moor (E-9): last good day 30 Jun 2027, in 14 days\n- Hollin Gas at Quay yard (E-0, E-1, E-2): last good day" in said
    assert (subject([group]), "more. To see all" in said) == ("4 things lapse soon, the first in 14 days", False)


def test_a_line_names_no_more_than_anyone_reads():
    alike = [thing(14, key=f"k{one}", says="Hollin Gas at Quay yard", name=f"E-{one}", whose="") for one in range(8)]
    assert "(E-0, E-1, E-2, E-3, E-4, E-5 and 2 more): last" in text("Jo", [Group((ANSWERS, SUPERVISOR), alike, ADDRESS)], ADDRESS)


@pytest.mark.parametrize(
    ("subjects", "ends"),
    [
        ((AWARDS,), "After its last good day no permit that rests on it can be signed."),
        ((PERMITS,), "Nobody digs by a permit whose time is over."),
        ((AWARDS, PERMITS), "After its last good day no permit that rests on it can be signed. Nobody digs by a permit whose time is over."),
    ],
)
def test_the_letter_says_what_comes_of_it_where_nothing_is_done(subjects, ends):
    groups = [Group((one, OWN), [thing(7)], ADDRESS) for one in subjects]
    assert f"\n\n{ends}\n\nTo choose what you are told" in text("Jo", groups, ADDRESS)
