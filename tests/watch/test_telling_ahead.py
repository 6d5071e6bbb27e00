"""Who is told what lapses: once, by one letter a day, at the hour where they are."""

from datetime import date, timedelta

import pytest

from locates.instruments.models import Instrument
from locates.permits.actions import preview, sign
from locates.watch.actions import arrange, choose, tell_ahead
from locates.watch.models import Round, Told
from locates.watch.rules.arrangement import ANSWERS, AWARDS, INSTRUMENTS, LINES, LOCATES, OWN, PERMITS, Arrangement
from records.firm.models import Person, Posting, Site
from records.ledger.facts import walked
from records.ledger.models import Entry
from records.letters.models import Letter
from records.rules.words import SAFETY_MANAGER, SUPERVISOR
from tests import cast
from tests.watch.conftest import TODAY, award, later, told
from training.models import Award

pytestmark = pytest.mark.django_db
JO = "Digging (A-1): last good day 18 Mar 2027, in 14 days"


def test_an_award_is_told_to_its_holder_to_the_supervisors_of_their_sites_and_to_the_safety_manager(firm):
    award("A-1", "P-CR2", 14)
    found = told()
    assert {who: JO in " ".join(lines) for who, lines in found.items()} == {"P-CR2": True, "P-ISS": True, "P-REC": True, "P-SAF": True}
    assert (found["P-CR2"], found["P-SAF"]) == ([JO], [f"Sana Wren: {JO}"])


def test_a_supervisor_is_not_told_of_people_of_other_sites(firm):
    award("A-1", "P-CR1", 14)  # posted nowhere
    assert set(told()) == {"P-CR1", "P-SAF"}


def test_what_was_told_is_not_told_again_until_it_is_nearer(firm):
    award("A-1", "P-CR1", 14)
    days = {left: "P-CR1" in told(later(days=14 - left)) for left in range(14, -2, -1)}
    assert [left for left, said in days.items() if said] == [14, 7, 1]


def test_after_a_gap_it_is_told_once_at_the_nearest(firm):
    award("A-1", "P-CR1", 62)
    assert ("P-CR1" in told(), "P-CR1" in told(later(days=57)), "P-CR1" in told(later(days=58))) == (False, True, False)
    assert list(Told.objects.filter(person="P-CR1").values_list("days", flat=True)) == [7]


def test_a_renewal_stops_it_and_starts_anew(firm):
    award("A-1", "P-CR1", 14)
    told()
    award("A-2", "P-CR1", 400, begun=420)
    assert "P-CR1" not in told(later(days=7))
    assert told(later(days=340))["P-CR1"] == ["Digging (A-2): last good day 7 Apr 2028, in 60 days"]


def test_a_renewal_that_is_booked_without_a_gap_is_not_told_and_one_with_a_gap_is(firm):
    award("A-1", "P-CR1", 14)
    award("A-2", "P-CR1", 14 + 365, begun=364)
    award("A-3", "P-CR2", 14)
    award("A-4", "P-CR2", 14 + 365, begun=360)
    found = told()
    assert ("P-CR1" in found, "P-CR2" in found) == (False, True)


def test_who_leaves_is_not_told_that_they_do(firm):
    award("A-1", "P-CR1", 300)
    Person.objects.filter(pk="P-CR1").update(left_on=TODAY + timedelta(days=14))
    assert told() == {}


def test_what_lapsed_already_is_not_told_ahead(firm):
    award("A-1", "P-CR1", -1)
    assert told() == {}


def test_nobody_gets_two_letters_a_day(firm):
    award("A-1", "P-CR1", 14)
    told()
    award("A-2", "P-CR2", 7)
    assert (told(later(hours=3)), "P-CR2" in told(later(days=1))) == ({}, True)


def test_one_letter_tells_all_of_a_day(firm):
    award("A-1", "P-CR1", 14)
    award("A-2", "P-CR2", 7)
    tell_ahead(cast.AT)
    letter = Letter.objects.get(person="P-SAF")
    assert letter.subject == "2 things lapse soon, the first in 7 days"
    assert letter.text.startswith("Hana Petros, this lapses soon.")


@pytest.mark.parametrize(("hour", "told_then"), [(5, False), (6, True), (23, True)])
def test_nobody_is_written_to_before_six_where_they_are(firm, hour, told_then):
    award("A-1", "P-CR1", 14)
    assert bool(told(cast.AT - timedelta(hours=8, minutes=30) + timedelta(hours=hour))) is told_then


def test_each_reader_has_the_hour_and_the_day_of_their_own_site(firm):
    Site.objects.create(site="S-9", name="Far moor", time_zone="Europe/Oslo", rule_set_id="default", recorded_at=cast.RECORDED)
    Posting.objects.create(posting="N-1", person_id="P-CR1", site_id="S-9", role="operator", begins_on=date(2027, 1, 4), recorded_at=cast.RECORDED)
    award("A-1", "P-CR1", 14)
    there, here = told(), told(later(hours=11))  # there it is 3 March, 20:30, and then 4 March, 07:30
    assert there["P-CR1"] == ["Digging (A-1): last good day 18 Mar 2027, in 15 days"]
    assert here.get("P-CR1") == [JO]


def test_the_history_tells_that_letters_were_posted_and_holds(firm):
    award("A-1", "P-CR1", 14)
    tell_ahead(cast.AT)
    entry = Entry.objects.get(act="told_ahead.posted")
    assert (entry.actor_name, '"letters":2' in entry.body, walked().broken) == ("Spadework's watch", True, None)


def test_a_watch_with_nothing_to_tell_leaves_no_entry(firm):
    tell_ahead(cast.AT)
    assert (Entry.objects.count(), Letter.objects.count(), Round.objects.count()) == (0, 0, 1)


def test_who_has_no_address_is_told_by_none_and_that_shows(firm):
    Person.objects.filter(pk="P-CR1").update(email="")
    award("A-1", "P-CR1", 14)
    told()
    assert Letter.objects.get(person="P-CR1").address == ""


# other subjects


def test_instruments_are_told_to_who_used_them_lately_and_to_the_safety_manager(firm):
    found = told(later(days=29))  # calibrated through 1 June, in 60 days
    assert found["P-SAF"] == [
        "Receiver I-R1, calibration: last good day 1 Jun 2027, in 60 days",
        "Transmitter I-T1, calibration: last good day 1 Jun 2027, in 60 days",
    ]
    assert (found["P-OPE"], "P-FAR" in found) == (found["P-SAF"], False)


def test_an_instrument_out_of_service_is_not_told(firm):
    Instrument.objects.update(out_of_service_from=TODAY)
    assert told(later(days=29)) == {}


def open_permit():
    """A permit for weeks; its locate is good through 17 March, its answers through 26 March."""
    cast.permit("PD-9", valid_to=later(days=25), issuer_id="P-REC")


def test_what_open_permits_rest_on_is_told_to_the_supervisors_of_the_site(firm):
    open_permit()
    six, eight = told(later(days=6)), told(later(days=8))
    assert set(six) == {"P-ISS", "P-REC"}
    assert six["P-ISS"] == ["Locate L-1 at Quay yard, under PD-9: last good day 17 Mar 2027, in 7 days"]
    assert eight["P-ISS"] == [
        "Lowtide Water at Quay yard (E-2): last good day 26 Mar 2027, in 14 days",
        "Northline Power at Quay yard (E-1): last good day 26 Mar 2027, in 14 days",
    ]


def test_what_no_open_permit_rests_on_is_not_told(firm):
    assert told(later(days=6)) == {}


@pytest.mark.parametrize("reader", [OWN, SUPERVISOR])
def test_a_permit_that_ends_is_told_to_its_issuer_its_holder_and_the_site_s_supervisors_once_both_have_signed(db, reader):
    cast.everything()
    cast.permit("PD-9", valid_to=later(days=6))
    arrange(office(), Arrangement(6, dict.fromkeys(LINES, ()) | {(PERMITS, reader): (14, 7, 1)}), cast.AT)
    sign("PD-9", "P-ISS", "issue", cast.AT, preview("PD-9", cast.AT).seen)
    assert told(later(days=5)) == {}
    sign("PD-9", "P-REC", "accept", later(days=5), preview("PD-9", later(days=5)).seen)
    says = "Permit PD-9 at Quay yard: last good day 10 Mar 2027, today"
    assert told(later(days=6, hours=-2)) == {"P-ISS": [says], "P-REC": [says]}


# arranging and choosing


def office():
    return Person.objects.get(pk="P-SAF")


def test_what_the_safety_manager_arranges_is_what_is_told(firm):
    award("A-1", "P-CR2", 10)
    nothing = dict.fromkeys(LINES, ())
    assert arrange(office(), Arrangement(9, nothing | {(AWARDS, SUPERVISOR): (10,)}), cast.AT)
    assert (told(), set(told(later(minutes=30)))) == ({}, {"P-ISS", "P-REC"})  # at 08:30, and at 09:00
    entry = Entry.objects.get(act="told_ahead.arranged")
    assert (entry.actor_id, '"hour":6' in entry.body, '"hour":9' in entry.body) == ("P-SAF", True, True)


def test_arranged_as_it_was_nothing_is_written(firm):
    assert not arrange(office(), Arrangement(), cast.AT)
    assert not Entry.objects.exists()


def test_who_chose_less_is_told_less_but_of_their_own_award_the_last_week(firm):
    award("A-1", "P-ISS", 14)
    award("A-2", "P-ISS", 7, course="C-ISS")
    award("A-3", "P-CR2", 14)
    Award.objects.filter(pk="A-ISS").delete()
    nothing = dict.fromkeys(LINES, ())
    assert choose(Person.objects.get(pk="P-ISS"), nothing, cast.AT)
    assert told()["P-ISS"] == ["Issuing permits (A-2): last good day 11 Mar 2027, in 7 days"]
    entry = Entry.objects.get(act="person.told_ahead")
    assert (entry.actor_id, entry.subject_id, choose(Person.objects.get(pk="P-ISS"), nothing, cast.AT)) == ("P-ISS", "P-ISS", False)


def test_every_subject_can_reach_the_safety_manager(firm):
    days = dict.fromkeys(LINES, ()) | {(one, SAFETY_MANAGER): (14, 7) for one in (AWARDS, INSTRUMENTS, ANSWERS, LOCATES, PERMITS)}
    arrange(office(), Arrangement(6, days), cast.AT)
    open_permit()
    assert [len(told(later(days=days)).get("P-SAF", ())) for days in (6, 8)] == [1, 2]
    assert not Told.objects.exclude(person="P-SAF").exists()


def test_of_own_means_whom_it_is_about(firm):
    days = dict.fromkeys(LINES, ()) | {(LOCATES, OWN): (7,)}
    arrange(office(), Arrangement(6, days), cast.AT)
    open_permit()
    assert set(told(later(days=6))) == {"P-OPE"}


# how much it costs


def crowd(many, first=0):
    some = range(first, many)
    Person.objects.bulk_create(
        Person(person=f"M-{one}", name=f"Mason {one}", roles=("operator",), email=f"m{one}@field.example", recorded_at=cast.RECORDED) for one in some
    )
    ends = TODAY + timedelta(days=14)
    Award.objects.bulk_create(
        Award(award=f"M-{one}", person_id=f"M-{one}", course_id="C-SHORT", awarded_on=date(2026, 3, 18), expires_on=ends, recorded_at=cast.RECORDED)
        for one in some
    )


def selects(asked):
    return sum(one["sql"].startswith("SELECT") for one in asked.captured_queries)


def test_a_thousand_people_cost_as_many_questions_as_ten(firm, django_assert_max_num_queries):
    crowd(10)
    with django_assert_max_num_queries(100) as few:
        assert tell_ahead(cast.AT) == 11
    crowd(1000, first=10)
    with django_assert_max_num_queries(200) as many:
        assert tell_ahead(later(days=1)) == 991
    assert selects(many) == selects(few)
    with django_assert_max_num_queries(6):
        assert tell_ahead(later(days=1, minutes=1)) == 0


def test_the_first_letter_on_an_old_database_is_no_flood(firm):
    crowd(300)
    tell_ahead(cast.AT)
    letter = Letter.objects.get(person="P-SAF")
    assert (letter.text.count("\n- "), "and 290 more. To see all of them, sign in to Spadework and open /" in letter.text, letter.subject) == (
        10,
        True,
        "300 things lapse soon, the first in 14 days",
    )
    assert "P-SAF" not in told(later(days=1))
