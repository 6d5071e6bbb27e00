"""A calendar as RFC 5545 has it: whole-day entries that keep their identity, so that a later date moves the entry instead of adding one."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

LONGEST_LINE = 75  # octets, RFC 5545 section 3.1
PRODUCT = "-//Spadework//Dates//EN"
REFRESH = "PT12H"


@dataclass(frozen=True, slots=True)
class Entry:
    """One whole day. `uid` stays the same while what it tells of is the same thing; `sequence` rises with each change of it."""

    uid: str
    day: date
    title: str
    tells: str
    sequence: int
    changed: datetime


def calendar(name: str, entries: Iterable[Entry]) -> str:
    """The calendar as one text with CRLF line ends, no line longer than 75 octets."""
    return "".join(f"{folded}\r\n" for line in _lines(name, entries) for folded in folds(line))


def _lines(name: str, entries: Iterable[Entry]) -> Iterator[str]:
    yield from ("BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{PRODUCT}", "CALSCALE:GREGORIAN", "METHOD:PUBLISH")
    yield from (f"NAME:{escaped(name)}", f"X-WR-CALNAME:{escaped(name)}", f"REFRESH-INTERVAL;VALUE=DURATION:{REFRESH}", f"X-PUBLISHED-TTL:{REFRESH}")
    for entry in entries:
        yield from _event(entry)
    yield "END:VCALENDAR"


def _event(entry: Entry) -> Iterator[str]:
    yield from (
        "BEGIN:VEVENT",
        f"UID:{escaped(entry.uid)}",
        f"DTSTAMP:{stamp(entry.changed)}",
        f"LAST-MODIFIED:{stamp(entry.changed)}",
        f"SEQUENCE:{entry.sequence}",
    )
    yield from (f"DTSTART;VALUE=DATE:{entry.day:%Y%m%d}", f"DTEND;VALUE=DATE:{entry.day + timedelta(days=1):%Y%m%d}")
    yield from (f"SUMMARY:{escaped(entry.title)}", f"DESCRIPTION:{escaped(entry.tells)}", "TRANSP:TRANSPARENT", "CLASS:PRIVATE", "END:VEVENT")


def stamp(instant: datetime) -> str:
    """An instant in UTC, section 3.3.5 form 2."""
    return f"{instant.astimezone(UTC):%Y%m%dT%H%M%SZ}"


def escaped(text: str) -> str:
    """A TEXT value, section 3.3.11. Control characters but the line break have no place in one."""
    plain = text.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\r\n", "\n").replace("\n", "\\n")
    return "".join(one for one in plain if one >= " " and one != "\x7f")


def folds(line: str) -> Iterator[str]:
    """A content line cut into pieces of at most 75 octets, no character in two; each but the first begins with a blank."""
    piece = ""
    for one in line:
        if len((piece + one).encode()) > LONGEST_LINE:
            yield piece
            piece = " "
        piece += one
    yield piece
