"""Each kind of column: what it reads, what it refuses, and the one way in which it writes."""

from datetime import UTC, date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as some

from records.rules import columns, kinds
from records.rules.columns import FIRST_DAY, LAST_DAY
from records.rules.kinds import UTC_ZONE, settled, value_of
from records.rules.text import Unfit, kept, shown

AUCKLAND = ZoneInfo("Pacific/Auckland")
ROLES = kinds.Items(kinds.Word(("operator", "supervisor")))

READS = [
    (columns.DAY, "2028-02-29", date(2028, 2, 29)),
    (columns.INSTANT, "2027-03-04T07:30+10:00", datetime(2027, 3, 3, 21, 30, tzinfo=UTC)),
    (columns.INSTANT, "2027-03-04T07:30:59Z", datetime(2027, 3, 4, 7, 30, 59, tzinfo=UTC)),
    (columns.INSTANT, "2027-03-04T07:30-00:00", datetime(2027, 3, 4, 7, 30, tzinfo=UTC)),
    (columns.METRES, "100", Decimal(100)),
    (columns.METRES, "0.001", Decimal("0.001")),
    (columns.METRES, "00000000000000000000000000000000000001.5", Decimal("1.5")),
    (columns.METRES_OR_NONE, "-0.0", Decimal(0)),
    (columns.MONTHS, "none", None),
    (columns.MONTHS, "012", 12),
    (kinds.YesNo(), "no", False),
    (columns.IDENTIFIERS, "b; a ;A", ("A", "a", "b")),
    (columns.OWNERS, "Strasse;Stra\u00dfen", ("Strasse", "Straßen")),
    (ROLES, "supervisor;operator", ("operator", "supervisor")),
    (columns.TimeZone(), "America/Argentina/Ushuaia", "America/Argentina/Ushuaia"),
    (columns.RuleValue(), "000.50", "0.50"),
    (columns.OUTLINE, "polygon((0 0,1 0,1 1,0 0))", "POLYGON ((0 0, 1 0, 1 1, 0 0))"),
    (columns.TEXT, "=HYPERLINK(0)", "=HYPERLINK(0)"),
]

REFUSES = [
    *[(columns.DAY, text) for text in ("2027-02-29", "2027-13-01", "27-02-01", "2027-2-01", "2027/02/01", "1899-12-31", "9999-01-01", "٢٠٢٧-01-01")],
    *[(columns.INSTANT, f"2027-03-04T{text}") for text in ("07:30", "24:00Z", "07:60Z", "07:30:60Z", "07:30:00.5Z", "07Z", "0730Z", "07:30z", "07:30+10")],
    *[(columns.INSTANT, text) for text in ("2027-03-04", "2027-02-29T07:30Z", "2027-03-04T07:30+24:00", "2027-03-04T07:30+10:60", "1899-12-31T23:59Z")],
    *[(columns.METRES, text) for text in ("0", "-1", "100.001", "1.0000", "1,5", ".5", "5.", "+5", "1e1", "NaN", "Infinity", "१", "0x1", "=1+1")],
    *[(columns.BEARING, text) for text in ("360", "-0.001")],
    *[(columns.MONTHS, text) for text in ("0", "1201", "1.0", "-1", "None", "9" * 1000)],
    *[(kinds.YesNo(), text) for text in ("Yes", "y", "true", "1")],
    *[(columns.IDENTIFIER, text) for text in ("a b", "a/b", "é", "a" * 41, "a\nb")],
    *[(columns.IDENTIFIERS, text) for text in (";", "a;", ";a", "a;;b", "a;b;a", "a,b")],
    *[(columns.OWNERS, text) for text in ("Gas;Water;Gas", "\u00c5;A\u030a")],
    *[(columns.TimeZone(), text) for text in ("NZDT", "pacific/auckland", "Mars/Olympus", "../etc/passwd", "localtime")],
    *[(columns.RuleValue(), text) for text in ("1.0001", "maybe", "1" * 41)],
    (columns.TEXT, "x" * 2001),
    (columns.LINE, "LINESTRING (0 0, 1 1)".ljust(100_001, "x")),
]


@pytest.mark.parametrize(("kind", "text", "value"), READS)
def test_it_reads(kind, text, value):
    assert value_of(kind, kept(text)) == value


@pytest.mark.parametrize(("kind", "text"), REFUSES)
def test_it_refuses(kind, text):
    with pytest.raises(Unfit, match="expected"):
        value_of(kind, kept(text))


@pytest.mark.parametrize("kind", {kind for kind, *_ in READS})
def test_an_empty_cell_is_blank_and_blank_is_written_empty_or_none(kind):
    assert value_of(kind, "") == kind.blank
    assert kind.write(kind.blank, UTC_ZONE) in ("", "none")


def test_an_instant_is_written_with_seconds_in_the_offset_given():
    at = datetime(2027, 3, 3, 21, 30, tzinfo=UTC)
    assert [columns.INSTANT.write(at, zone) for zone in (AUCKLAND, UTC_ZONE)] == ["2027-03-04T10:30:00+13:00", "2027-03-03T21:30:00+00:00"]


def test_an_instant_at_the_end_of_time_is_written_so_that_it_can_be_read():
    last = datetime(9999, 1, 1, 6, 0, tzinfo=UTC)
    assert columns.INSTANT.write(last, AUCKLAND) == "9998-12-31T06:01:00-23:59"


def test_a_blank_that_says_no_is_the_same_as_no():
    assert kinds.YesNo(blank_is_no=True).same(None, False)
    assert not kinds.YesNo().same(None, False)


def test_what_a_form_gives_is_held_to_the_same_rules():
    assert settled(columns.LINE, "linestring (0 0, 1.0 1)") == "LINESTRING (0 0, 1 1)"
    for kind, value in ((columns.METRES, Decimal("1.0001")), (columns.DAY, date(1899, 1, 1)), (columns.INSTANT, datetime(2027, 1, 1)), (columns.TEXT, "a\0b")):
        with pytest.raises(Unfit):
            settled(kind, value)


@pytest.mark.parametrize("kind", [columns.AREA, columns.LINE])
def test_a_shape_too_long_with_blanks_is_written_without(kind):
    word, opens, ends, shuts = ("LINESTRING", "(", "", ")") if kind is columns.LINE else ("POLYGON", "((", ",99999 9,0 9,0 0", "))")
    brief = f"{word}{opens}" + ",".join(f"{n} {n % 2}" for n in range(12_800)) + ends + shuts
    kept_as = value_of(kind, brief)
    assert len(brief) <= kind.longest < len(kept_as)
    assert (kind.write(kept_as, UTC_ZONE), value_of(kind, kind.write(kept_as, UTC_ZONE))) == (brief, kept_as)


@given(some.text())
def test_text_is_trimmed_and_composed_once_and_for_all(text):
    try:
        once = kept(text)
    except Unfit:
        return
    assert kept(once) == once
    assert shown(once).isprintable()


@given(some.datetimes(datetime(1900, 1, 2), datetime(9998, 12, 30), timezones=some.timezones()))
def test_an_instant_written_is_the_instant_read(at):
    at = at.replace(microsecond=0).astimezone(UTC)
    assert value_of(columns.INSTANT, columns.INSTANT.write(at, AUCKLAND)) == at


@given(some.dates(FIRST_DAY, LAST_DAY))
def test_a_day_written_is_the_day_read(day):
    assert value_of(columns.DAY, columns.DAY.write(day, UTC_ZONE)) == day


@given(some.decimals(0, 100, places=3))
def test_a_length_written_is_the_length_read_and_written_shortest(length):
    text = columns.METRES_OR_NONE.write(length, UTC_ZONE)
    assert value_of(columns.METRES_OR_NONE, text) == length
    assert text == "0" or not (text.startswith(("-", "00")) or ("." in text and text.endswith(("0", "."))))
