"""How a value may be written in a cell, and how it may not: each form at the edge of what the format says."""

import pytest

from tests.register import changed, loaded, places, says

pytestmark = pytest.mark.django_db

DAY = ("instruments", "T1", "hired_until")
INSTANT = ("checks", "H1", "checked_at")
DEPTH = ("permits", "G2", "depth_m")
BEARING = ("sweeps", "W1", "bearing_deg")
OFFSET = ("sweeps", "W2", "transmitter_offset_m")
MONTHS = ("instruments", "K1", "calibration_months")
DAYS = ("instruments", "K1", "self_test_days")
WORK = ("permits", "G2", "work")
CREW = ("permits", "G2", "crew")
ZONE = ("sites", "S2", "time_zone")
OWNERS = ("sites", "S2", "owners_to_ask")

RIGHT = {
    DAY: ("1900-01-01", "9998-12-31", "2028-02-29", "\u00a02027-02-09\u3000", "2027-02-09\n"),
    INSTANT: (
        "1900-01-01T00:00Z",
        "1900-01-01T00:00+14:00",
        "9998-12-31T23:59:59-12:00",
        "2027-03-04T07:30+23:59",
        "2027-03-04T07:30-00:00",
    ),
    DEPTH: ("0.001", "100", "100.000", "01.5", "\u20031.5 ", "0" * 1500 + "1.5"),
    BEARING: ("0", "-0", "359.999"),
    OFFSET: ("0", "-0.0", "100"),
    MONTHS: ("1", "1200", "012", "none"),
    DAYS: ("1", "3660", "none"),
    WORK: ("x" * 2000, " " + "x" * 2000 + " ", "e\u0301" * 2000, "\U0001f600" * 2000, "a\rb", "a\r\nb", "a\u2028b", "\x85ab\x85", "\u200b", "=1+1", '"q"'),
    CREW: (" P1 ;\u00a0P3 ", "P1", ""),
    ZONE: ("UTC", "Etc/GMT+5", "Asia/Kathmandu"),
    OWNERS: ("A;B", "A  B;A B", "x" * 2000, ""),
}

WRONG = {
    DAY: (
        "1899-12-31",
        "9999-01-01",
        "0000-01-01",
        "2027-02-29",
        "2027-2-9",
        "20270209",
        "2027-W01-1",
        "09/02/2027",
        "2027-02-09T00:00",
        "2027-02-09Z",
        "+2027-02-09",
        "\u200b2027-02-09",
        "\uff12\uff10\uff12\uff17-02-09",
        "2027\u201302\u201309",
    ),
    INSTANT: (
        "1899-12-31T23:59Z",
        "9999-01-01T00:00+14:00",
        "2027-03-04T07:30",
        "2027-03-04T07:30+13",
        "2027-03-04T07:30+1300",
        "2027-03-04 07:30+13:00",
        "2027-03-04t07:30+13:00",
        "2027-03-04T07:30z",
        "2027-03-04T07:30:60Z",
        "2027-03-04T24:00Z",
        "2027-03-04T07:30:00.0Z",
        "2027-03-04T07:30+24:00",
        "2027-03-04T07:30+13:60",
        "2027-03-04T07:30\u221210:00",
        "2027-03-04T7:30Z",
        "2027-03-04",
    ),
    DEPTH: (
        "0",
        "0.000",
        "-0",
        "-1",
        "0.0001",
        "1.5000",
        "100.001",
        "+1",
        "1.",
        ".5",
        "1e1",
        "1,5",
        "1_0",
        "0x1",
        "1.2.3",
        "NaN",
        "Infinity",
        "1 m",
        "\uff11",
        "\u0663",
        "1.5\u200b",
        "1" * 2000,
        "1" * 2001,
    ),
    BEARING: ("360", "-0.001", "359.9995"),
    OFFSET: ("-0.5", "100.001"),
    MONTHS: ("", "0", "1201", "-1", "+1", "1.0", "None", "NONE", "\uff11\uff12", "9" * 1999),
    DAYS: ("", "0", "3661"),
    WORK: ("", "\u00a0\u2003", "x" * 2001, "e\u0301" * 2001, "a\tb", "a\0b", "a\x0bb", "a\x0cb", "a\x1cb", "\x1cab", "a\x7fb", "a\x80b", "a\x85b"),
    CREW: ("P1;;P3", "P1;", ";", "P1; P1", "P1,P3", "P1;P9", "p1"),
    ZONE: ("Tokyo", "asia/tokyo", "GMT+5x", "localtime", "posix/Asia/Tokyo", "../etc/passwd"),
    OWNERS: ("A; A", "A;;B", "A;", "\u00e9;e\u0301", "x" * 1000 + ";" + "y" * 1000),
}


def each(forms):
    return [pytest.param(*where, value, id=f"{where[2]}-{ascii(value)[1:-1][:30]}-{len(value)}") for where, values in forms.items() for value in values]


@pytest.mark.parametrize(("name", "id", "column", "value"), each(RIGHT))
def test_a_value_may_be_written_so(tmp_path, name, id, column, value):
    assert says(loaded(tmp_path, changed(name, id, **{column: value}))) == ""


@pytest.mark.parametrize(("name", "id", "column", "value"), each(WRONG))
def test_a_value_may_not_be_written_so(tmp_path, name, id, column, value):
    found = places(loaded(tmp_path, changed(name, id, **{column: value})))
    assert [(file, of) for file, _, of in found] == [(f"{name}.csv", column)]
