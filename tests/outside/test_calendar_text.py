"""The calendar's text against RFC 5545 (Internet Calendaring and Scheduling Core Object Specification), and against another library that reads it.

The standard's examples are given from memory.
"""

from datetime import UTC, date, datetime

from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from locates.desks.rules.calendar import Entry, calendar, escaped, folds, stamp

# RFC 5545, section 3.1: "For example, the line: DESCRIPTION:This is a long description that exists on a long line. Can be represented as: [three lines]".
LONG = "DESCRIPTION:This is a long description that exists on a long line."
AS_FOLDED = "DESCRIPTION:This is a lo\r\n ng description\r\n  that exists on a long line."

# RFC 5545, section 3.3.11: the property value and the text it stands for.
ESCAPED = "Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared."
PLAIN = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared."

WORDS = st.text(st.characters(exclude_categories=("Cs", "Cc", "Zl", "Zp")) | st.just("\n"), max_size=200)


def entry(title="Last good day: dig", tells=""):
    return Entry("one@dates.invalid", date(2027, 3, 4), title, tells, 7, datetime(2027, 3, 1, 9, tzinfo=UTC))


def unfolded(text):
    return text.replace("\r\n ", "")


def test_the_standards_folded_line_unfolds_to_the_standards_long_line_as_ours_does():
    assert unfolded(AS_FOLDED) == LONG
    longer = LONG + LONG
    assert unfolded("\r\n".join(folds(longer))) == longer


def test_a_value_is_escaped_as_in_the_standards_example():
    assert escaped(PLAIN) == ESCAPED


def test_backslash_semicolon_and_comma_are_escaped_and_a_colon_is_not():
    # section 3.3.11: ESCAPED-CHAR = ("\\" / "\;" / "\," / "\N" / "\n"); a colon needs none
    assert escaped("a\\b;c,d:e") == "a\\\\b\\;c\\,d:e"


def test_an_instant_is_written_in_utc_as_form_two_of_section_3_3_5_has_it():
    assert stamp(datetime(1998, 1, 19, 7, 0, tzinfo=UTC)) == "19980119T070000Z"


def test_a_line_of_75_octets_stands_and_one_more_is_folded():
    assert list(folds("x" * 75)) == ["x" * 75]
    assert list(folds("x" * 76)) == ["x" * 75, " x"]


@given(WORDS, WORDS)
def test_no_line_is_longer_than_75_octets_and_no_character_is_cut(title, tells):
    text = calendar("Dates", [entry(title, tells)])
    assert text.endswith("\r\n")
    assert all(len(line) <= 75 for line in text.encode().split(b"\r\n"))
    for line in text.encode().split(b"\r\n"):
        line.decode()


@given(WORDS, WORDS)
def test_another_library_reads_back_what_was_written(title, tells):
    event = Calendar.from_ical(calendar("Dates", [entry(title, tells)])).walk("VEVENT")[0]
    assert str(event["SUMMARY"]) == title
    assert str(event["DESCRIPTION"]) == tells


def test_another_library_reads_whole_days_with_an_end_that_is_not_part_of_them():
    read = Calendar.from_ical(calendar("Dates of Olu", [entry()]))
    event = read.walk("VEVENT")[0]
    assert (event.decoded("DTSTART"), event.decoded("DTEND")) == (date(2027, 3, 4), date(2027, 3, 5))
    assert (event.decoded("SEQUENCE"), event.decoded("LAST-MODIFIED")) == (7, datetime(2027, 3, 1, 9, tzinfo=UTC))
    assert (str(read["METHOD"]), str(read["VERSION"]), str(read["X-WR-CALNAME"]), str(read["NAME"])) == ("PUBLISH", "2.0", "Dates of Olu", "Dates of Olu")
