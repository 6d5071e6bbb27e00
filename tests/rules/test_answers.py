"""Which of the owners' answers a site's permits rest on, and which owners owe one."""

from shapely.geometry import box

from locates.permits.rules.answers import in_use
from locates.permits.rules.frame import framed
from tests.rules.cast import clear, instant
from tests.rules.changes import and_enquiry, found_wrong, with_enquiry, with_site, without_enquiries

NEWER = {"answered_at": "2027-03-01T10:00"}
HALF = box(0, 0, 5, 4)


def told(*changes, at="2027-03-04T09:00"):
    """What is in use and owed, as (owner, enquiry, last instant of the answer in days from now)."""
    evidence = clear()
    for change in changes:
        evidence = change(evidence)
    now = instant(at, evidence.site.zone)
    found = in_use(framed(evidence, now))
    return {(one.owner, one.enquiry.enquiry if one.enquiry else "", (one.ends - now).days if one.ends else one.answered) for one in found}


ALDER, BIRCH = ("Alder Water", "E-1", 20), ("Birch Power", "E-2", 20)


def test_each_owner_s_answer_is_in_use():
    assert told() == {ALDER, BIRCH}


def test_an_owner_that_was_not_asked_owes_an_answer():
    assert told(without_enquiries("E-2")) == {ALDER, ("Birch Power", "", False)}


def test_whoever_need_not_be_asked_owes_none():
    assert told(without_enquiries("E-2"), with_site(owners_to_ask=("Alder Water",))) == {ALDER}


def test_an_enquiry_without_an_answer_is_owed_beside_the_one_in_use():
    assert told(and_enquiry("E-3", "Birch Power")) == {ALDER, BIRCH, ("Birch Power", "E-3", False)}


def test_a_closed_and_a_replaced_enquiry_are_in_use_no_more():
    assert told(with_enquiry("E-2", answered_at=None, services=(), closed_on="2027-03-04"), with_site(owners_to_ask=())) == {ALDER}
    assert told(and_enquiry("E-3", "Birch Power", replaces=("E-2",), **NEWER)) == {ALDER, ("Birch Power", "E-3", 25)}


def test_a_longer_answer_for_all_of_the_ground_puts_the_shorter_out_of_use():
    assert told(and_enquiry("E-3", "birch power", **NEWER)) == {ALDER, ("birch power", "E-3", 25)}


def test_a_longer_answer_for_other_ground_does_not():
    assert told(and_enquiry("E-3", "Birch Power", area=HALF, **NEWER)) == {ALDER, BIRCH, ("Birch Power", "E-3", 25)}


def test_a_lapsed_answer_stays_in_use_until_another_takes_its_place():
    lapsed = with_enquiry("E-2", good_through="2027-03-01")
    assert told(lapsed) == {ALDER, ("Birch Power", "E-2", -3)}
    assert told(lapsed, and_enquiry("E-3", "Birch Power", **NEWER)) == {ALDER, ("Birch Power", "E-3", 25)}


WRONG = found_wrong("E-2", "2027-02-26T15:00")


def test_an_answer_found_wrong_is_owed_again_until_another_given_since_takes_its_place():
    owed = ("Birch Power", "E-2", False)
    assert told(WRONG) == {ALDER, owed}
    assert told(found_wrong("E-2", "2027-03-04T09:00:01")) == {ALDER, BIRCH}
    assert told(WRONG, and_enquiry("E-3", "Birch Power", answered_at="2027-02-26T15:00")) == {ALDER, owed, ("Birch Power", "E-3", 22)}
    assert told(WRONG, and_enquiry("E-3", "Birch Power", area=HALF, **NEWER)) == {ALDER, owed, ("Birch Power", "E-3", 25)}
    assert told(WRONG, and_enquiry("E-3", "Birch Power", **NEWER)) == {ALDER, ("Birch Power", "E-3", 25)}
    assert told(WRONG, and_enquiry("E-3", "Birch Power", **NEWER), found_wrong("E-3", "2027-03-02T10:00")) == {ALDER, owed, ("Birch Power", "E-3", False)}
