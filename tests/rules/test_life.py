"""The states of a permit, the acts between them, and who may do each: the whole table, written out a second time here."""

from datetime import UTC, datetime, timedelta
from itertools import product

import pytest

from locates.life.rules.acts import ACTS, STATES, STEPS, followers
from locates.life.rules.story import Done, Life, begun, lived, may_come, may_do, open_to, wanting

AT = datetime(2027, 3, 4, 8, tzinfo=UTC)
END = AT + timedelta(hours=8)
PEOPLE = ("ISS", "REC", "NEXT", "CREW", "FORMER", "STEAD", "OFFICE", "ELSE", "")

# (act, from): (to, who), as the guidance has it
TABLE = {
    ("issue", "prepared"): ("issued", "ISS"),
    ("accept", "issued"): ("accepted", "REC"),
    ("withdraw", "issued"): ("cancelled", "ISS"),
    ("withdraw_for", "issued"): ("cancelled", "STEAD"),
    ("stop", "accepted"): ("suspended", "ISS REC CREW FORMER"),
    ("stop", "between_receivers"): ("suspended", "ISS REC NEXT CREW FORMER"),
    ("halt", "accepted"): ("suspended", "ISS REC CREW FORMER"),
    ("halt", "between_receivers"): ("suspended", "ISS REC NEXT CREW FORMER"),
    **{("forbid", state): ("suspended", "OFFICE") for state in ("accepted", "between_receivers")},
    ("undone", "accepted"): ("suspended", ""),
    ("undone", "between_receivers"): ("suspended", ""),
    ("suspend", "accepted"): ("suspended", "ISS REC"),
    ("suspend", "between_receivers"): ("suspended", "ISS REC"),
    ("resume", "suspended"): ("accepted", "ISS"),
    ("hand_over", "accepted"): ("between_receivers", "REC"),
    ("hand_over", "between_receivers"): ("between_receivers", "REC"),
    ("take_over", "between_receivers"): ("accepted", "NEXT"),
    ("extend", "accepted"): ("accepted", "ISS"),
    **{(act, state): ("ended", "ISS REC") for act in ("end_scope", "end_conditions") for state in ("accepted", "suspended", "between_receivers")},
    **{("time_up", state): ("ended", "") for state in ("accepted", "suspended", "between_receivers")},
    **{("hand_back", state): ("handed_back", "REC") for state in ("accepted", "suspended", "between_receivers", "ended")},
    **{("hand_back_for", state): ("handed_back", "STEAD") for state in ("accepted", "suspended", "between_receivers", "ended")},
    ("cancel", "handed_back"): ("cancelled", "ISS"),
    ("cancel_for", "handed_back"): ("cancelled", "STEAD"),
}
OWED = {
    "withdraw": ("why",),
    "withdraw_for": ("why",),
    "stop": (),
    "halt": ("why",),
    "forbid": ("why",),
    "undone": ("why",),
    "suspend": ("why", "left"),
    "resume": ("why",),
    "hand_over": ("left", "to"),
    "take_over": (),
    "extend": ("why", "until"),
    "end_scope": ("why", "left"),
    "end_conditions": ("why", "left"),
    "time_up": (),
    "hand_back": ("left",),
    "hand_back_for": ("why", "left"),
    "cancel": (),
    "cancel_for": ("why",),
}


def at_state(state):
    return Life(
        state,
        "ISS",
        "REC",
        END,
        "NEXT" if state == "between_receivers" else "",
        frozenset({"CREW"}),
        stand_ins=frozenset({"STEAD"}),
        office=frozenset({"OFFICE"}),
        former=frozenset({"FORMER"}),
    )


@pytest.mark.parametrize(("act", "state"), list(product(ACTS, STATES)))
def test_nothing_goes_from_any_state_to_any_other_but_by_these(act, state):
    leads = ACTS[act].leads if state in ACTS[act].froms else None
    assert leads == TABLE.get((act, state), (None, ""))[0]


@pytest.mark.parametrize(("act", "state", "person"), list(product(STEPS, STATES, PEOPLE)))
def test_a_step_is_open_to_whom_the_table_names_and_to_nobody_else(act, state, person):
    allowed = person in TABLE.get((act, state), ("", ""))[1].split() and person != ""
    assert (act in open_to(at_state(state), person)) is allowed


def test_the_signatures_are_no_steps():
    assert not any(may_come(at_state(state), act) for state in STATES for act in ("issue", "accept"))


@pytest.mark.parametrize("act", STEPS)
def test_each_step_wants_what_it_owes_and_nothing_else(act):
    assert wanting(at_state("accepted"), act, {}) == OWED[act]


@pytest.mark.parametrize("act", ACTS)
def test_a_fresh_verdict_is_owed_where_work_begins_or_goes_on(act):
    assert ACTS[act].verdict is (act in ("issue", "accept", "resume", "take_over", "extend"))


def test_each_act_declares_something_of_its_own():
    said = [one.declares for one in ACTS.values()]
    assert len(set(said)) == len(said) and all(len(one) > 80 for one in said)


@pytest.mark.parametrize(("to", "wants"), [("ISS", ("to",)), ("REC", ("to",)), ("NEXT", ())])
def test_a_permit_is_handed_over_neither_to_its_receiver_nor_to_its_issuer(to, wants):
    assert wanting(at_state("accepted"), "hand_over", {"left": "propped", "to": to}) == wants


@pytest.mark.parametrize(("later", "wants"), [(-1, ("until",)), (0, ("until",)), (1, ())])
def test_an_extension_ends_later_than_the_permit_does(later, wants):
    assert wanting(at_state("accepted"), "extend", {"why": "rock", "until": END + timedelta(minutes=later)}) == wants


def story(*steps, at=AT, signed=("issue", "accept")):
    return lived(begun("ISS", "REC", END, signed), [Done(act, person, AT, to, until) for act, person, to, until in steps], at)


@pytest.mark.parametrize(("signed", "state"), [((), "prepared"), (("issue",), "issued"), (("issue", "accept"), "accepted")])
def test_before_any_step_the_signatures_say_how_it_stands(signed, state):
    assert story(signed=signed).state == state


@pytest.mark.parametrize(("at", "state"), [(END - timedelta(seconds=1), "accepted"), (END, "ended"), (END + timedelta(days=9), "ended")])
def test_its_time_ends_it_at_that_instant_and_not_before(at, state):
    assert story(at=at).state == state


@pytest.mark.parametrize("signed", [(), ("issue",)])
def test_what_nobody_accepted_is_not_ended_by_time_but_refused_by_the_gate(signed):
    assert story(at=END, signed=signed).state == ("issued" if signed else "prepared")


def test_after_its_time_it_can_only_be_ended_by_it_and_handed_back():
    assert [act for act in STEPS if may_come(story(at=END), act)] == ["time_up", "hand_back", "hand_back_for"]


def test_that_its_time_is_over_is_written_down_once_and_not_before():
    assert not may_come(story(at=END - timedelta(seconds=1)), "time_up")
    over = story(("time_up", "", "", None), at=END)
    assert [act for act in STEPS if may_come(over, act)] == ["hand_back", "hand_back_for"]
    assert not may_come(story(("end_scope", "ISS", "", None), at=END), "time_up")


@pytest.mark.parametrize("act", ["undone", "time_up"])
def test_what_falls_to_nobody_is_open_to_nobody(act):
    over = story(at=END) if act == "time_up" else story()
    assert may_come(over, act) and not any(may_do(over, act, person) for person in PEOPLE)


def test_an_extension_moves_the_end_and_a_take_over_the_receiver():
    life = story(("extend", "ISS", "", END + timedelta(hours=2)), ("hand_over", "REC", "NEXT", None), ("take_over", "NEXT", "", None), at=END)
    assert (life.state, life.receiver, life.ends) == ("accepted", "NEXT", END + timedelta(hours=2))
    assert may_do(life, "hand_back", "NEXT") and not may_do(life, "hand_back", "REC")


def test_a_suspension_between_two_receivers_leaves_it_with_the_one_who_has_it():
    life = story(("hand_over", "REC", "NEXT", None), ("suspend", "ISS", "", None), ("resume", "ISS", "", None))
    assert (life.receiver, life.named, may_come(life, "take_over")) == ("REC", "", False)


def test_who_held_it_or_was_to_can_still_stop_it_and_nothing_else():
    life = story(("hand_over", "REC", "NEXT", None), ("hand_over", "REC", "ELSE", None), ("take_over", "ELSE", "", None))
    assert (life.receiver, life.former) == ("ELSE", {"REC", "NEXT"})
    assert [open_to(life, person) for person in ("REC", "NEXT", "STEAD")] == [("stop", "halt"), ("stop", "halt"), ()]
    back = story(("hand_over", "REC", "NEXT", None), ("hand_over", "REC", "NEXT", None), ("suspend", "REC", "", None))
    assert (back.named, back.former) == ("", {"NEXT"})


@pytest.mark.parametrize("act", STEPS)
def test_what_may_follow_a_step_is_what_its_state_lets_through(act):
    assert set(followers(act)) == {step for step, state in TABLE if state == ACTS[act].leads and step in STEPS}
