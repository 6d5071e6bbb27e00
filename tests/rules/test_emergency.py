"""Emergency work: what it need not wait for, what it owes instead, and that everything else stays as it is."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from shapely import box

from locates.permits.rules.emergency import EASED, follow_up_ends
from locates.permits.rules.evidence import Dug, Emergency
from records.rules.cover import Award
from records.rules.numbers import EMERGENCY_NUMBERS, NUMBERS
from records.rules.numbers import Row as Number
from records.rules.verdict import as_data
from tests.rules.cast import instant
from tests.rules.changes import Change, together, with_award, with_enquiry, with_permit, with_roles, without, without_enquiries, without_locate
from tests.rules.table import Row, block, caution, found, judged, said, wanted
from tests.rules.test_plans import open_still

eased = {how: caution(f"emergency.{how}", "enquiry:E-2") for how in ("unanswered", "lapsed", "other_ground", "after_locate")}
again = caution("emergency.again", "permit:D-8")
by_machine = block("emergency.by_machine", "permit")
over_hours = block("emergency.over_hours", "permit")
decider = block("emergency.decider", "person:I-1")
late = block("emergency.decided_late", "permit")
owed = block("emergency.follow_up_owed", "permit:D-8")
looser = caution("rules.looser", "rule:emergency_max_hours")

TWELVE = with_permit(method="vacuum", valid_to="2027-03-04T19:00")


def declared(who: str = "issuer", at: str = "2027-03-04T06:30", **numbers: str) -> Change:
    """The permit is for emergency work; so far with the numbers that are given, the rest by default."""

    def change(all_: Any) -> Any:
        person = next(one for one in (all_.permit.issuer, all_.permit.receiver, *all_.permit.crew) if who in (one.person, "issuer"))
        rules = tuple(Number(f"emergency_{key}", date(2027, 1, 1), value, "own") for key, value in numbers.items())
        return replace(all_, emergency=Emergency("gas escapes", "the owner answers on Monday", person, instant(at, all_.site.zone), rules))

    return change


def accepted(at: str) -> Change:
    """The permit was accepted then."""
    return lambda all_: replace(all_, emergency=replace(all_.emergency, accepted_at=instant(at, all_.site.zone)))


def dug(over_at: str, followed_up_at: str = "", outline: Any = None) -> Change:
    """D-8, another emergency dig of the site upon the same ground, over then."""

    def change(all_: Any) -> Any:
        done = instant(followed_up_at, all_.site.zone) if followed_up_at else None
        one = Dug("D-8", outline or all_.permit.outline, instant(over_at, all_.site.zone), done)
        return replace(all_, emergency=replace(all_.emergency, others=(*all_.emergency.others, one)))

    return change


def decided_by(**changes: Any) -> Change:
    """By somebody else than the issuer, who has an award for issuing permits of 1 Mar 2027, changed so."""

    def change(all_: Any) -> Any:
        award = Award("A-D", frozenset({"issue_permit"}), date(2027, 3, 1), 36)
        person = replace(all_.permit.issuer, person="I-9", awards=(replace(award, **changes),) if changes.get("award") != "" else ())
        return replace(all_, emergency=replace(all_.emergency, decided_by=person))

    return change


def left(day: str) -> Change:
    return lambda all_: replace(all_, emergency=replace(all_.emergency, decided_by=replace(all_.emergency.decided_by, left_on=date.fromisoformat(day))))


URGENT = together(TWELVE, declared())
BEGUN = together(URGENT, with_permit(valid_from="2027-03-03T23:59:59"))
LAPSED = with_enquiry("E-2", good_through="2027-03-03")
OTHER = with_enquiry("E-2", area=box(500, 500, 510, 510), services=(), nothing_shown=True)
ROWS = [
    eased["unanswered"].fails(URGENT, open_still("E-2")),
    eased["unanswered"].passes(URGENT),
    eased["unanswered"].passes(TWELVE, open_still("E-2"), also=("plans.unanswered",)),
    eased["lapsed"].fails(URGENT, LAPSED, since="2027-03-04T00:00"),
    eased["lapsed"].passes(URGENT, with_enquiry("E-2", good_through="2027-03-04")),
    eased["lapsed"].passes(TWELVE, LAPSED, also=("plans.lapsed",)),
    eased["other_ground"].fails(URGENT, OTHER),
    eased["other_ground"].passes(URGENT),
    eased["after_locate"].fails(URGENT, OTHER),
    eased["after_locate"].passes(URGENT),
    # by machine nothing is eased, and that is said too
    by_machine.fails(URGENT, with_permit(method="machine")),
    by_machine.fails(URGENT, with_permit(method="machine"), LAPSED, also=("plans.lapsed",)),
    by_machine.fails(URGENT, with_permit(method="bore"), also=("clearance.bore_unexposed",)),
    by_machine.passes(URGENT),
    by_machine.passes(URGENT, with_permit(method="hand")),
    by_machine.passes(TWELVE, with_permit(method="machine")),
    over_hours.passes(URGENT),
    over_hours.fails(URGENT, with_permit(valid_to="2027-03-04T19:00:01")),
    over_hours.passes(TWELVE, declared(max_hours="13"), with_permit(valid_to="2027-03-04T20:00")),
    over_hours.fails(TWELVE, declared(max_hours="13"), with_permit(valid_to="2027-03-04T20:00:01")),
    over_hours.passes(TWELVE, with_permit(valid_to="2027-03-05T19:00")),
    decider.passes(URGENT),
    decider.fails(TWELVE, declared("R-1"), subject="person:R-1"),
    decider.fails(TWELVE, declared("C-1"), subject="person:C-1"),
    decider.passes(URGENT, decided_by(), subject="person:I-9"),
    decider.fails(URGENT, decided_by(award=""), subject="person:I-9"),
    decider.passes(URGENT, decided_by(awarded_on=date(2027, 3, 4)), subject="person:I-9"),
    decider.fails(URGENT, decided_by(awarded_on=date(2027, 3, 5)), subject="person:I-9"),
    decider.passes(URGENT, decided_by(expires_on=date(2027, 3, 4)), subject="person:I-9"),
    decider.fails(URGENT, decided_by(expires_on=date(2027, 3, 3)), subject="person:I-9", since="2027-03-04T00:00"),
    decider.fails(URGENT, decided_by(withdrawn_on=date(2027, 3, 4)), subject="person:I-9", since="2027-03-04T00:00"),
    # covered now, and not yet when it was decided
    decider.fails(TWELVE, declared(at="2027-03-03T23:59:59"), decided_by(awarded_on=date(2027, 3, 4)), subject="person:I-9"),
    decider.passes(URGENT, decided_by(), left("2027-03-04"), subject="person:I-9"),
    decider.fails(URGENT, decided_by(), left("2027-03-03"), subject="person:I-9", since="2027-03-04T00:00"),
    late.passes(TWELVE, declared(at="2027-03-04T09:00")),
    late.fails(TWELVE, declared(at="2027-03-04T09:00:01")),
    late.passes(TWELVE, declared(at="2027-03-03T19:00")),
    late.fails(TWELVE, declared(at="2027-03-03T18:59:59")),
    late.passes(TWELVE, declared(at="2027-03-03T18:00", decided_hours="13")),
    late.fails(TWELVE, declared(at="2027-03-03T17:59:59", decided_hours="13")),
    # due through the seventh day after the day on which it was over
    owed.fails(URGENT, dug("2027-02-24T23:59:59"), since="2027-03-04T00:00"),
    owed.passes(URGENT, dug("2027-02-25T00:00")),
    owed.passes(URGENT, dug("2027-02-24T17:00", followed_up_at="2027-03-04T09:00")),
    owed.fails(URGENT, dug("2027-02-24T17:00", followed_up_at="2027-03-04T09:00:01"), since="2027-03-04T00:00"),
    owed.fails(TWELVE, declared(follow_up_days="6"), dug("2027-02-25T17:00"), since="2027-03-04T00:00"),
    owed.passes(TWELVE, declared(follow_up_days="8"), dug("2027-02-24T17:00")),
    # accepted and begun before the other fell overdue it goes on; a beginning on paper is not enough, nor an acceptance for a beginning after it
    owed.fails(BEGUN, dug("2027-02-24T17:00"), since="2027-03-04T00:00", also=("emergency.over_hours",)),
    owed.passes(BEGUN, accepted("2027-03-03T23:59:59"), dug("2027-02-24T17:00"), also=("emergency.over_hours",)),
    owed.fails(BEGUN, accepted("2027-03-04T00:00"), dug("2027-02-24T17:00"), since="2027-03-04T00:00", also=("emergency.over_hours",)),
    owed.fails(URGENT, accepted("2027-03-03T23:00"), dug("2027-02-24T17:00"), since="2027-03-04T00:00"),
    owed.fails(URGENT, with_permit(valid_from="2027-03-04T00:00"), dug("2027-02-24T17:00"), since="2027-03-04T00:00", also=("emergency.over_hours",)),
    again.fails(URGENT, dug("2027-03-04T09:00")),
    again.passes(URGENT, dug("2027-03-04T09:00:01")),
    again.passes(URGENT, dug("2027-03-03T09:00", followed_up_at="2027-03-03T17:00")),
    again.passes(URGENT, dug("2027-03-03T09:00", outline=box(500, 500, 510, 510))),
    looser.fails(TWELVE, declared(max_hours="13")),
    looser.passes(TWELVE, declared(max_hours="12")),
]


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_emergency_work(row: Row) -> None:
    assert found(row) == wanted(row)


def test_what_owners_were_never_asked_is_not_spared() -> None:
    codes = {one.code for one in judged(URGENT, without_enquiries(), without_locate()).blocks}
    assert codes == {"plans.none", "plans.not_asked", "locate.none"}


def test_an_answer_without_services_is_still_to_be_entered() -> None:
    assert {one.code for one in judged(URGENT, with_enquiry("E-1", services=())).blocks} == {"plans.not_entered"}


@pytest.mark.parametrize("change", [open_still("E-2"), LAPSED, OTHER, with_roles(crew=()), with_award("C-2", expires_on="2027-03-03"), without_locate()])
def test_nothing_else_differs_from_a_permit_that_is_no_emergency(change: Change) -> None:
    plain, urgent = judged(TWELVE, change), judged(URGENT, change)
    blocks = {(one.code, one.subject) for one in plain.blocks if one.code not in EASED}
    assert {(one.code, one.subject) for one in urgent.blocks} == blocks
    spared = {(EASED[one.code], one.subject, one.since) for one in plain.blocks if one.code in EASED}
    assert {(one.code, one.subject, one.since) for one in urgent.cautions} == spared | {(one.code, one.subject, one.since) for one in plain.cautions}
    assert urgent.conditions == plain.conditions


def test_what_lapsed_plans_show_is_searched_for_all_the_same() -> None:
    """A permit of the other kind is not dug by upon lapsed plans at all; this one is, and so owes an account of what they showed."""
    untraced = together(LAPSED, without("traces", "T-2"))
    assert {(one.code, one.subject) for one in judged(TWELVE, untraced).blocks} == {("plans.lapsed", "enquiry:E-2")}
    assert {(one.code, one.subject) for one in judged(URGENT, untraced).blocks} == {("service.unaccounted", "service:SV-2")}


def test_it_is_good_for_its_hours_and_no_longer() -> None:
    verdict = judged(URGENT)
    assert (verdict.good_until, verdict.limited_by) == (instant("2027-03-04T19:00", verdict.zone), ("permit",))
    assert judged(TWELVE).good_until > verdict.good_until + timedelta(hours=1)


def test_without_its_rows_a_rule_set_judges_as_ever() -> None:
    """The numbers of emergency work are none of the gate's own, and a permit that is no emergency is never given them."""
    assert not EMERGENCY_NUMBERS.keys() & NUMBERS.keys()
    assert "emergency" not in str(as_data(judged())) and "emergency" not in str(as_data(judged(LAPSED)))


def test_every_owner_whose_plans_are_lacking_is_told_of_in_words() -> None:
    told = said(judged(URGENT, open_still("E-2")))["emergency.unanswered", "enquiry:E-2"]
    assert told.says.startswith("Birch Power has not answered") and "dug in an emergency without these plans" in told.says


def test_the_follow_up_is_due_through_whole_days_of_the_site() -> None:
    verdict = judged()
    ends = follow_up_ends(instant("2027-03-04T23:59", verdict.zone), 7, verdict.zone)
    assert ends == instant("2027-03-12T00:00", verdict.zone)
