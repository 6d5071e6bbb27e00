"""What a later folder may change in stored records, and what it may not."""

import pytest

from locates.instruments.models import Instrument
from locates.permits.models import Permit, SignOff
from locates.surveys.models import Enquiry, Locate
from records.firm.models import Person, Rule
from tests.register import AT, changed, loaded, places, register, row, says
from training.models import Award, Course

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def stored(tmp_path):
    """The register, loaded, with permit G1 signed on its finished locate L1."""
    assert says(loaded(tmp_path / "first", register())) == ""
    SignOff.objects.create(permit_id="G1", meaning="issue", person_id="P2", printed_name="Bo Lind", signed_at=AT, recorded_at=AT, verdict='{"blocks":[]}')


def then(tmp_path, name, id, /, **cells):
    """Load a folder with that one row changed, and that one file."""
    return loaded(tmp_path / "then", {name: [row(changed(name, id, **cells), name, id)]})


def added(tmp_path, name, like, /, **cells):
    """Load a folder with one row, made from another."""
    return loaded(tmp_path / "then", {name: [row(register(), name, like) | cells]})


MAY = [
    ("people", "P1", {"name": "Ana Orr-Lind", "email": ""}),
    ("people", "P4", {"left_on": "2027-03-30"}),
    ("people", "P4", {"left_on": ""}),
    ("sites", "S2", {"name": "The hill", "owners_to_ask": "Island Power"}),
    ("sites", "S1", {"rule_set": "default"}),
    ("courses", "C1", {"title": "Locating, first part"}),
    ("courses", "C4", {"authorises": "dig;sonde", "valid_months": "36"}),
    ("awards", "A2", {"expires_on": "2029-01-01", "assessor": "E. Fox"}),
    ("awards", "A1", {"withdrawn_on": "2027-01-01", "withdrawn_because": "near miss"}),
    ("awards", "A3", {"withdrawn_on": "2027-01-31", "withdrawn_because": "earlier still"}),
    ("awards", "A3", {"withdrawn_on": "2027-01-31"}),
    ("awards", "A3", {"withdrawn_on": "", "withdrawn_because": ""}),
    ("instruments", "R1", {"serial_no": "1001-B", "hired_until": "2028-01-01"}),
    ("instruments", "R1", {"self_test_days": "29", "calibration_months": "11"}),
    ("instruments", "T1", {"self_test_days": "7"}),
    ("instruments", "K1", {"calibration_months": "none", "self_test_days": "7"}),
    ("instruments", "K1", {"out_of_service_from": "2027-03-19"}),
    ("calibrations", "B2", {"due_on": "2027-06-30", "laboratory": "The bench"}),
    ("rules", "house/plan_valid_days", {"source": "a letter", "value": "020"}),
    ("checks", "H1", {"note": "rained"}),
    ("enquiries", "E2", {"good_through": "2027-03-15", "reference_no": "77"}),
    ("enquiries", "E1", {"nothing_shown": "no"}),
    ("enquiries", "E3", {"service_owner": "City Waters", "sent_on": "2027-02-02"}),
    ("enquiries", "E3", {"closed_on": "2027-03-01", "closed_because": "no such owner"}),
    ("enquiries", "E4", {"closed_on": "2027-01-19"}),
    ("plan_services", "V6", {"utility": "telecom"}),
    ("locates", "L2", {"finished_at": "2027-03-30T09:00+13:00", "clamp": ""}),
    ("locates", "L3", {"operator": "P2", "started_at": "2027-02-01T08:30-10:00"}),
    ("sweeps", "W2", {"bearing_deg": "", "transmitter_offset_m": "4"}),
    ("traces", "X3", {"services": "V3", "depth_m": "2"}),
    ("outcomes", "L2/V1", {"outcome": "outside_dig"}),
    ("permits", "G2", {"locate": "L3", "crew": "P1", "method": "hand"}),
]

MAY_NOT = [
    ("people", "P4", {"left_on": "2027-04-01"}, "left_on", "cannot be made later"),
    ("sites", "S1", {"time_zone": "Australia/Sydney"}, "time_zone", "the finished locate L1 rests on site S1"),
    ("courses", "C1", {"valid_months": "13"}, "valid_months", "the finished locate L1 rests on course C1"),
    ("courses", "C1", {"valid_months": "none"}, "valid_months", "the finished locate L1 rests on course C1"),
    ("courses", "C1", {"authorises": "sonde"}, "authorises", "the finished locate L1 rests on course C1"),
    ("courses", "C2", {"authorises": "dig"}, "authorises", "the signed permit G1 rests on course C2"),
    ("courses", "C1", {"valid_months": "11"}, "valid_months", "award A1 would no longer fit"),
    ("awards", "A1", {"awarded_on": "2026-09-01"}, "awarded_on", "award A1 is recorded and does not change"),
    ("awards", "A1", {"certificate_no": ""}, "certificate_no", "from 77 to blank"),
    ("awards", "A1", {"expires_on": ""}, "expires_on", "does not change"),
    ("awards", "A1", {"withdrawn_on": "2027-01-01"}, "withdrawn_because", "the reason is missing"),
    ("awards", "A3", {"withdrawn_on": "2027-02-02"}, "withdrawn_on", "cannot be made later"),
    ("awards", "A3", {"withdrawn_because": "another"}, "withdrawn_because", "does not change"),
    ("instruments", "R1", {"kind": "sonde"}, "kind", "the finished locate L1 rests on instrument R1"),
    ("instruments", "R1", {"self_test_days": "31"}, "self_test_days", "the finished locate L1 rests on instrument R1"),
    ("instruments", "T1", {"calibration_months": "none"}, "calibration_months", "the finished locate L1 rests on instrument T1"),
    ("instruments", "K1", {"kind": "sonde"}, "kind", "locate L2 uses it as its clamp"),
    ("instruments", "N1", {"calibration_months": "5"}, "calibration_months", "calibration B3 would no longer fit"),
    ("instruments", "K1", {"out_of_service_from": "2027-03-21"}, "out_of_service_from", "cannot be made later"),
    ("calibrations", "B1", {"as_found": "out_of_tolerance"}, "as_found", "does not change"),
    ("checks", "H1", {"result": "fail"}, "result", "does not change"),
    ("rules", "house/hand_dig_m", {"value": "0.7"}, "value", "does not change"),
    ("rules", "house/hand_dig_m", {"source": "another"}, "source", "does not change"),
    ("enquiries", "E1", {"good_through": "2027-03-02"}, "good_through", "does not change"),
    ("enquiries", "E1", {"answered_at": ""}, "answered_at", "does not change"),
    ("enquiries", "E2", {"replaces": ""}, "replaces", "does not change"),
    ("enquiries", "E5", {"nothing_shown": ""}, "nothing_shown", "does not change"),
    ("enquiries", "E6", {"nothing_shown": "yes"}, "nothing_shown", "service V6 is entered"),
    ("enquiries", "E4", {"closed_on": "2027-01-21"}, "closed_on", "cannot be made later"),
    ("plan_services", "V2", {"note": "x"}, "note", "the finished locate L1 rests on plan service V2"),
    ("plan_services", "V1", {"utility": "oil"}, "utility", "the finished locate L1 rests on plan service V1"),
    ("locates", "L1", {"finished_at": "2027-03-04T10:00+13:00"}, "finished_at", "it is set once and does not change"),
    ("locates", "L1", {"operator": "P2"}, "operator", "locate L1 is finished"),
    ("locates", "L3", {"site": "S1", "receiver": "K1"}, "receiver", "K1 is a clamp"),
    ("locates", "L2", {"site": "S2"}, "site", "it would be of another site than V3"),
    ("sweeps", "W1", {"spacing_m": "2"}, "spacing_m", "locate L1 is finished, and sweep W1 in it does not change (from 1.5 to 2)"),
    ("sweeps", "W1", {"locate": "L2"}, "locate", "locate L1 is finished"),
    ("sweeps", "W2", {"locate": "L1"}, "locate", "locate L1 is finished"),
    ("traces", "X1", {"services": "V2;V3"}, "services", "locate L1 is finished"),
    ("outcomes", "L1/V3", {"note": "x"}, "note", "locate L1 is finished"),
    ("permits", "G1", {"work": "a pit"}, "work", "permit G1 is signed"),
    ("permits", "G1", {"crew": "P1"}, "crew", "permit G1 is signed"),
]


@pytest.mark.parametrize(("name", "id", "cells"), MAY)
def test_it_may_change(tmp_path, name, id, cells):
    assert says(then(tmp_path, name, id, **cells)) == ""


@pytest.mark.parametrize(("name", "id", "cells", "column", "text"), MAY_NOT)
def test_it_may_not_change(tmp_path, name, id, cells, column, text):
    done = then(tmp_path, name, id, **cells)
    assert ({place[2] for place in places(done)}, text in says(done)) == ({column}, True), says(done)


ADDITIONS = [
    ("sweeps", "W1", {"sweep": "W9"}),
    ("traces", "X1", {"trace": "X9"}),
    ("outcomes", "L1/V3", {"service": "V2"}),
]


@pytest.mark.parametrize(("name", "like", "cells"), ADDITIONS)
def test_nothing_is_added_to_a_finished_locate(tmp_path, name, like, cells):
    assert "locate L1 is finished and takes" in says(added(tmp_path, name, like, **cells))


@pytest.mark.parametrize(("name", "like", "cells"), ADDITIONS)
def test_but_to_one_that_the_same_folder_finishes(tmp_path, name, like, cells):
    locate = row(register(), "locates", "L2") | {"finished_at": "2027-03-30T12:00Z"}
    one = row(register(), name, like) | cells | {"locate": "L2"}
    assert says(loaded(tmp_path / "then", {"locates": [locate], name: [one]})) == ""


def test_a_service_may_be_added_to_a_stored_answer(tmp_path):
    assert says(added(tmp_path, "plan_services", "V2", service="V8", same_as="V1")) == ""


def test_a_new_number_is_a_new_row_and_leaves_the_old_one(tmp_path):
    assert says(added(tmp_path, "rules", "house/hand_dig_m", effective_from="2027-05-01", value="0.8")) == ""
    assert sorted(Rule.objects.filter(key="hand_dig_m").values_list("value", flat=True)) == ["0.6", "0.8"]


def test_a_column_that_is_not_in_the_file_leaves_what_is_stored(tmp_path):
    done = loaded(tmp_path / "then", {"people": [{"person": "P3", "name": "Cyrus Moss"}]})
    assert (says(done), done.written) == ("", {"people.csv": 1})
    assert (Person.objects.get(pk="P3").name, Person.objects.get(pk="P3").employer) == ("Cyrus Moss", "Earthworks")


def test_a_column_that_is_not_in_the_file_leaves_a_list_too(tmp_path):
    assert says(loaded(tmp_path / "then", {"enquiries": [{"enquiry": "E2", "reference_no": "9"}]})) == ""
    assert Enquiry.objects.get(pk="E2").replaces.count() == 1


def test_a_blank_cell_clears_but_a_standing_date_stays(tmp_path):
    then(tmp_path, "instruments", "T1", hired_until="")
    then(tmp_path, "instruments", "K1", out_of_service_from="")
    assert Instrument.objects.get(pk="T1").hired_until is None
    assert str(Instrument.objects.get(pk="K1").out_of_service_from) == "2027-03-20"


def test_a_blank_beside_a_withdrawal_leaves_it_with_its_reason(tmp_path):
    then(tmp_path, "awards", "A3", withdrawn_on="", withdrawn_because="")
    assert Award.objects.get(pk="A3").withdrawn_because == "failed a reassessment"


def test_a_starred_cell_is_never_cleared(tmp_path):
    assert places(then(tmp_path, "permits", "G2", work="")) == [("permits.csv", 2, "work")]


def test_a_list_in_another_order_is_no_change(tmp_path):
    assert then(tmp_path, "permits", "G1", crew="P4; P1", outline="polygon((1 4,4 4,4 6.0,1 6,1 4))", depth_m="1.20").written == {"permits.csv": 0}


def test_links_are_changed_as_lists(tmp_path):
    then(tmp_path, "permits", "G2", crew="P1;P3")
    then(tmp_path, "permits", "G2", crew="P3")
    assert list(Permit.objects.get(pk="G2").crew.values_list("pk", flat=True)) == ["P3"]


def test_fewer_months_may_be_set_under_a_finished_locate(tmp_path):
    course = row(register(), "courses", "C2") | {"valid_months": "24"}
    assert says(loaded(tmp_path / "then", {"courses": [course]})) == ""
    assert Course.objects.get(pk="C2").valid_months == 24


def test_a_zone_may_change_where_nothing_is_finished_and_the_answers_still_fit(tmp_path):
    assert says(then(tmp_path, "sites", "S2", time_zone="Pacific/Kiritimati")) == ""


def test_a_zone_in_which_an_answer_comes_too_early_is_refused(tmp_path):
    loaded(tmp_path / "more", {"enquiries": [row(register(), "enquiries", "E6") | {"enquiry": "E8", "sent_on": "2027-02-03", "replaces": ""}]})
    done = then(tmp_path, "sites", "S2", time_zone="Etc/GMT+12")
    assert "enquiry E8 would no longer fit: answered_at" in says(done)


def test_an_instrument_may_change_its_kind_with_the_locate_that_uses_it(tmp_path):
    kind = row(register(), "instruments", "K1") | {"kind": "sonde"}
    locate = row(register(), "locates", "L2") | {"clamp": "", "sonde": "K1"}
    assert says(loaded(tmp_path / "then", {"instruments": [kind], "locates": [locate]})) == ""


def test_a_change_that_two_rules_forbid_is_one_problem(tmp_path):
    assert places(then(tmp_path, "locates", "L1", finished_at="2027-03-04T10:00+13:00")) == [("locates.csv", 2, "finished_at")]


@pytest.mark.parametrize(("name", "id", "cells"), [("sites", "S1", {"time_zone": "Pacific/Chatham"}), ("plan_services", "V2", {"note": "x"})])
def test_what_a_finished_locate_and_a_signed_permit_both_hold_fast_is_one_problem(tmp_path, name, id, cells):
    assert places(then(tmp_path, name, id, **cells)) == [(f"{name}.csv", 2, *cells)]


def test_an_answer_that_fits_a_zone_in_no_way_is_one_problem(tmp_path):
    answer = row(register(), "enquiries", "E6") | {"enquiry": "E8", "sent_on": "2027-02-03", "good_through": "2028-02-04", "replaces": ""}
    assert says(loaded(tmp_path / "more", {"enquiries": [answer]})) == ""
    assert places(then(tmp_path, "sites", "S2", time_zone="Etc/GMT+12")) == [("sites.csv", 2, "time_zone")]


def test_finishing_is_done_once(tmp_path):
    then(tmp_path, "locates", "L2", finished_at="2027-03-30T09:00+13:00")
    done = then(tmp_path, "locates", "L2", finished_at="2027-03-30T09:01+13:00")
    assert "it is set once" in says(done)
    assert Locate.objects.get(pk="L2").finished_at.minute == 0
