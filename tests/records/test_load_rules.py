"""Each rule of the registers: the case that just passes, and the case that just fails, with the column it fails in."""

import pytest

from tests.register import changed, loaded, places, register, row, says

pytestmark = pytest.mark.django_db
LONG = "x" * 2000
BOWTIE = "POLYGON ((0 0, 10 10, 10 0, 0 10, 0 0))"
HOLED = "POLYGON ((0 0, 9 0, 9 9, 0 9, 0 0), (1 1, 2 1, 2 2, 1 2, 1 1))"
TENTH = "POLYGON ((0 0, 0.1 0, 0.1 0.1, 0 0.1, 0 0))"
NINTH = "POLYGON ((0 0, 0.1 0, 0.1 0.099999, 0 0.099999, 0 0))"
TWO = "MULTIPOLYGON (((0 0, 1 0, 1 1, 0 0)), ((2 0, 3 0, 3 1, 2 0)))"
OVERLAPPING = "MULTIPOLYGON (((0 0, 4 0, 4 4, 0 0)), ((1 0, 5 0, 5 4, 1 0)))"

PASSES = [
    ("rules", "house/hand_dig_m", {"value": "0.1"}),
    ("rules", "house/hand_dig_m", {"value": "5.000"}),
    ("rules", "house/plan_valid_days", {"value": "366"}),
    ("rules", "house/plan_valid_days", {"key": "two_directions", "value": "no"}),
    ("sites", "S2", {"owners_to_ask": "Straße; Gas; GAS"}),
    ("people", "P1", {"name": LONG, "left_on": "9998-12-31"}),
    ("people", "P1", {"left_on": "1900-01-01"}),
    ("courses", "C2", {"valid_months": "1200"}),
    ("awards", "A1", {"expires_on": "2026-08-31"}),
    ("awards", "A1", {"awarded_on": "2027-02-28", "expires_on": "2028-02-28"}),
    ("awards", "A2", {"expires_on": "9998-12-31"}),
    ("awards", "A3", {"withdrawn_on": "2026-01-05"}),
    ("instruments", "R1", {"self_test_days": "3660", "calibration_months": "1200"}),
    ("calibrations", "B1", {"due_on": "2028-01-10"}),
    ("calibrations", "B1", {"due_on": "2027-01-10"}),
    ("enquiries", "E1", {"sent_on": "2027-02-03"}),
    ("enquiries", "E1", {"good_through": "2027-02-03"}),
    ("enquiries", "E1", {"good_through": "2028-02-04"}),
    ("enquiries", "E4", {"closed_on": "2027-01-01"}),
    ("enquiries", "E3", {"nothing_shown": "no"}),
    ("enquiries", "E2", {"area": TWO}),
    ("enquiries", "E2", {"sent_on": "2027-02-01"}),
    ("enquiries", "E2", {"service_owner": "\u00a0NORTHERN GAS "}),
    ("enquiries", "E6", {"replaces": "E5"}),
    ("locates", "L1", {"finished_at": "2027-03-04T07:30:01+13:00"}),
    ("sweeps", "W1", {"bearing_deg": "359.999", "spacing_m": "100", "transmitter_offset_m": "0"}),
    ("traces", "X1", {"depth_m": "0.001", "width_m": "100"}),
    ("traces", "X1", {"line": "LINESTRING (0 0, 5 5, 5 0, 0 5)"}),
    ("traces", "X3", {"quality_level": "D"}),
    ("traces", "X1", {"line": "LINESTRING (-100000 0, 100000.000000 0.123456)"}),
    ("permits", "G1", {"outline": TENTH}),
    ("permits", "G1", {"locate": "L3"}),
    ("permits", "G1", {"valid_to": "2027-03-04T07:00Z", "depth_m": "100.000"}),
]

FAILS = [
    ("rules", "house/hand_dig_m", {"value": "0.09"}, "value"),
    ("rules", "house/hand_dig_m", {"value": "5.001"}, "value"),
    ("rules", "house/hand_dig_m", {"value": "0.5001"}, "value"),
    ("rules", "house/hand_dig_m", {"value": "yes"}, "value"),
    ("rules", "house/hand_dig_m", {"key": "hand_digging"}, "key"),
    ("rules", "house/plan_valid_days", {"value": "367"}, "value"),
    ("rules", "house/plan_valid_days", {"value": "20.0"}, "value"),
    ("rules", "house/plan_valid_days", {"key": "two_directions", "value": "1"}, "value"),
    ("rules", "house/plan_valid_days", {"rule_set": "default"}, "rule_set"),
    ("sites", "S1", {"time_zone": "pacific/auckland"}, "time_zone"),
    ("sites", "S1", {"time_zone": "localtime"}, "time_zone"),
    ("sites", "S1", {"rule_set": "home"}, "rule_set"),
    ("sites", "S1", {"owners_to_ask": "Gas;;Water"}, "owners_to_ask"),
    ("sites", "S1", {"owners_to_ask": "Gas; Gas"}, "owners_to_ask"),
    ("people", "P1", {"name": LONG + "x"}, "name"),
    ("people", "P1", {"roles": "operator;operator"}, "roles"),
    ("people", "P1", {"left_on": "9999-01-01"}, "left_on"),
    ("people", "P1", {"left_on": "2027-3-04"}, "left_on"),
    ("courses", "C2", {"valid_months": "0"}, "valid_months"),
    ("courses", "C2", {"valid_months": "1201"}, "valid_months"),
    ("courses", "C2", {"valid_months": "None"}, "valid_months"),
    ("courses", "C2", {"authorises": ""}, "authorises"),
    ("courses", "C2", {"authorises": "dig;exposed"}, "authorises"),
    ("awards", "A1", {"expires_on": "2026-08-30"}, "expires_on"),
    ("awards", "A1", {"expires_on": "2027-09-01"}, "expires_on"),
    ("awards", "A1", {"awarded_on": "2027-02-28", "expires_on": "2028-02-29"}, "expires_on"),
    ("awards", "A3", {"withdrawn_on": "2026-01-04"}, "withdrawn_on"),
    ("awards", "A3", {"withdrawn_on": ""}, "withdrawn_on"),
    ("awards", "A3", {"withdrawn_because": " "}, "withdrawn_because"),
    ("awards", "A1", {"course": "C9"}, "course"),
    ("instruments", "R1", {"self_test_days": "3661"}, "self_test_days"),
    ("instruments", "R1", {"kind": "detector"}, "kind"),
    ("calibrations", "B1", {"due_on": "2028-01-11"}, "due_on"),
    ("calibrations", "B1", {"due_on": "2027-01-09"}, "due_on"),
    ("calibrations", "B1", {"instrument": "K1"}, "due_on"),
    ("calibrations", "B1", {"as_found": "good"}, "as_found"),
    ("checks", "H1", {"checked_at": "2027-03-04T06:50:00"}, "checked_at"),
    ("checks", "H1", {"checked_at": "2027-03-04 06:50:00Z"}, "checked_at"),
    ("enquiries", "E1", {"sent_on": "2027-02-04"}, "answered_at"),
    ("enquiries", "E1", {"good_through": "2027-02-02"}, "good_through"),
    ("enquiries", "E1", {"good_through": "2028-02-05"}, "good_through"),
    ("enquiries", "E3", {"good_through": "2027-03-01"}, "good_through"),
    ("enquiries", "E3", {"nothing_shown": "yes"}, "nothing_shown"),
    ("enquiries", "E3", {"nothing_shown": "Yes"}, "nothing_shown"),
    ("enquiries", "E4", {"closed_on": "2026-12-31"}, "closed_on"),
    ("enquiries", "E4", {"answered_at": "2027-01-02T00:00Z"}, "closed_on"),
    ("enquiries", "E4", {"closed_because": ""}, "closed_because"),
    ("enquiries", "E2", {"replaces": "E2"}, "replaces"),
    ("enquiries", "E2", {"replaces": "E5"}, "replaces"),
    ("enquiries", "E2", {"replaces": "E3"}, "replaces"),
    ("enquiries", "E2", {"replaces": "E7"}, "replaces"),
    ("enquiries", "E1", {"sent_on": "2027-02-01", "replaces": "E2"}, "replaces"),
    ("enquiries", "E2", {"area": OVERLAPPING}, "area"),
    ("enquiries", "E2", {"area": "POLYGON EMPTY"}, "area"),
    ("plan_services", "V6", {"enquiry": "E5"}, "enquiry"),
    ("plan_services", "V6", {"enquiry": "E3"}, "enquiry"),
    ("plan_services", "V3", {"same_as": "V3"}, "same_as"),
    ("plan_services", "V2", {"utility": "oil"}, "same_as"),
    ("plan_services", "V2", {"conductive": "yes"}, "same_as"),
    ("plan_services", "V1", {"same_as": "V2"}, "same_as"),
    ("plan_services", "V3", {"same_as": "V6"}, "same_as"),
    ("plan_services", "V2", {"same_as": "V9"}, "same_as"),
    ("locates", "L1", {"finished_at": "2027-03-04T07:30:00+13:00"}, "finished_at"),
    ("locates", "L1", {"receiver": "T1"}, "receiver"),
    ("locates", "L1", {"transmitter": "R1"}, "transmitter"),
    ("locates", "L1", {"clamp": "N1"}, "clamp"),
    ("locates", "L1", {"sonde": "K1"}, "sonde"),
    ("sweeps", "W1", {"bearing_deg": "360"}, "bearing_deg"),
    ("sweeps", "W1", {"spacing_m": "0"}, "spacing_m"),
    ("sweeps", "W1", {"transmitter_offset_m": "-0.001"}, "transmitter_offset_m"),
    ("sweeps", "W1", {"technique": "exposed"}, "technique"),
    ("sweeps", "W1", {"area": BOWTIE}, "area"),
    ("sweeps", "W1", {"area": "LINESTRING (0 0, 1 1)"}, "area"),
    ("traces", "X1", {"quality_level": "A"}, "quality_level"),
    ("traces", "X2", {"quality_level": "B"}, "quality_level"),
    ("traces", "X3", {"quality_level": "B"}, "quality_level"),
    ("traces", "X1", {"raised_by_m": ""}, "raised_depth_m"),
    ("traces", "X1", {"raised_depth_m": ""}, "raised_by_m"),
    ("traces", "X1", {"depth_m": ""}, "depth_m"),
    ("traces", "X1", {"depth_m": "100.001"}, "depth_m"),
    ("traces", "X1", {"width_m": "0.000"}, "width_m"),
    ("traces", "X1", {"line": "LINESTRING (1 1, 1.0 1)"}, "line"),
    ("traces", "X1", {"line": "LINESTRING (0 0, 100000.000001 0)"}, "line"),
    ("traces", "X1", {"line": "LINESTRING (0 0, 1.0000000 0)"}, "line"),
    ("traces", "X1", {"services": "V6"}, "services"),
    ("traces", "X1", {"services": "V2;V2"}, "services"),
    ("outcomes", "L1/V3", {"service": "V6"}, "service"),
    ("outcomes", "L1/V3", {"outcome": "exposed"}, "outcome"),
    ("permits", "G1", {"outline": NINTH}, "outline"),
    ("permits", "G1", {"outline": HOLED}, "outline"),
    ("permits", "G1", {"outline": TWO}, "outline"),
    ("permits", "G1", {"outline": "POLYGON ((0 0, 9 0, 9 9, 0 0)" + " " * 100_000 + ")"}, "outline"),
    ("permits", "G1", {"depth_m": "0"}, "depth_m"),
    ("permits", "G1", {"crew": "P1;P9"}, "crew"),
    ("permits", "G1", {"locate": "L9"}, "locate"),
]


@pytest.mark.parametrize(("name", "id", "cells"), PASSES)
def test_it_just_passes(tmp_path, name, id, cells):
    assert says(loaded(tmp_path, changed(name, id, **cells))) == ""


@pytest.mark.parametrize(("name", "id", "cells", "column"), FAILS)
def test_it_just_fails(tmp_path, name, id, cells, column):
    tables = register()
    one = row(tables, name, id)
    line = tables[name].index(one) + 2
    one.update(cells)
    assert set(places(loaded(tmp_path, tables))) == {(f"{name}.csv", line, column)}


def test_enquiries_of_one_day_may_not_replace_each_other_in_a_ring(tmp_path):
    tables = register()
    for id, replaces in (("E1", "E2"), ("E2", "E7"), ("E7", "E1")):
        if id == "E7":
            tables["enquiries"].append(row(tables, "enquiries", "E3") | {"enquiry": "E7", "service_owner": "Northern Gas"})
        row(tables, "enquiries", id).update(replaces=replaces, sent_on="2027-02-01")
    assert places(loaded(tmp_path, tables)) == [("enquiries.csv", line, "replaces") for line in (2, 3, 8)]


def test_the_days_of_an_answer_are_the_site_s(tmp_path):
    """Half past midnight UTC on the 2nd is still the 1st in Honolulu."""
    cells = {"sent_on": "2027-02-02", "answered_at": "2027-02-02T00:30Z"}
    done = loaded(tmp_path, changed("enquiries", "E5", **cells))
    assert "the answer's day at the site, 2027-02-01, is before sent_on 2027-02-02" in says(done)


def test_two_faults_of_one_row_are_both_said(tmp_path):
    done = loaded(tmp_path, changed("awards", "A3", expires_on="2026-01-04", withdrawn_on="2026-01-03"))
    assert places(done) == [("awards.csv", 4, "expires_on"), ("awards.csv", 4, "withdrawn_on")]


def test_a_fault_found_beside_a_bad_cell_is_not_guessed_at(tmp_path):
    done = loaded(tmp_path, changed("awards", "A3", awarded_on="January"))
    assert places(done) == [("awards.csv", 4, "awarded_on")]
