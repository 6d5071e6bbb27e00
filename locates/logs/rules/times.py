"""The times in a log: which part of a date stands first, and by which clock, are said and never guessed. Instants are whole milliseconds since 1970, UTC."""

import re
from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal
from zoneinfo import ZoneInfo

from records.rules.text import Unfit, shown

YEAR_FIRST, DAY_FIRST, MONTH_FIRST, EPOCH = TIME_FORMS = ("year_first", "day_first", "month_first", "epoch")
SAID = {
    YEAR_FIRST: "year first (ISO 8601), as 2027-03-04 16:05:30",
    DAY_FIRST: "day first, as 04/03/2027 16:05:30 for 4 March",
    MONTH_FIRST: "month first, as 03/04/2027 16:05:30 for 4 March",
    EPOCH: "seconds since 1970 began in UTC, as 1804129530",
}
# by which clock: each time says its own offset, or the clock of the site; else a zone's name
ITS_OWN, AT_SITE = "offset", "site"
FIRST_YEAR, LAST_YEAR = 1990, 2100
MOST_REMEMBERED = 10_000  # minutes whose offset was looked up

_CLOCK = (
    r"[T ,]\s*(?P<hour>[0-9]{1,2}):(?P<minute>[0-9]{2})(?::(?P<second>[0-9]{2})(?:[.,](?P<part>[0-9]{1,9}))?)?"
    r"\s?(?P<half>[AaPp][Mm])?\s?(?P<offset>Z|[+-][0-9]{2}:?[0-9]{2})?"
)
_YEAR_FIRST = re.compile(rf"(?P<year>[0-9]{{4}})[-/.](?P<month>[0-9]{{1,2}})[-/.](?P<day>[0-9]{{1,2}}){_CLOCK}", re.ASCII)
_DAY_FIRST = re.compile(rf"(?P<day>[0-9]{{1,2}})[-/.](?P<month>[0-9]{{1,2}})[-/.](?P<year>[0-9]{{4}}){_CLOCK}", re.ASCII)
_MONTH_FIRST = re.compile(rf"(?P<month>[0-9]{{1,2}})[-/.](?P<day>[0-9]{{1,2}})[-/.](?P<year>[0-9]{{4}}){_CLOCK}", re.ASCII)
_PATTERNS = {YEAR_FIRST: _YEAR_FIRST, DAY_FIRST: _DAY_FIRST, MONTH_FIRST: _MONTH_FIRST}
_SECONDS = re.compile(r"[0-9]{1,15}(?:[.,][0-9]{1,9})?", re.ASCII)


def millis(instant: datetime) -> int:
    """The instant in whole milliseconds since 1970."""
    return (instant - datetime(1970, 1, 1, tzinfo=UTC)) // timedelta(milliseconds=1)


def instant(at: int) -> datetime:
    """The instant of so many milliseconds since 1970."""
    return datetime(1970, 1, 1, tzinfo=UTC) + timedelta(milliseconds=at)


EARLIEST, LATEST = (millis(datetime(year, 1, 1, tzinfo=UTC)) for year in (FIRST_YEAR, LAST_YEAR))


class Clock:
    """Reads times of one form by one clock. `zone` None: each time says its own offset."""

    def __init__(self, form: str, zone: ZoneInfo | None) -> None:
        self.form, self.zone = form, zone
        self.offsets: dict[datetime, timedelta] = {}

    def read(self, text: str) -> int:
        """The instant. Raises Unfit for a text that is no time of the form, and for one that the clocks there skipped or showed twice."""
        if self.form == EPOCH:
            return self._since_1970(text)
        found = _PATTERNS[self.form].fullmatch(text)
        if found is None:
            raise Unfit(f"{shown(text)} is not such a time: {SAID[self.form]}, was expected")
        local = self._local(text, found)
        return millis(local - self._offset(text, local, found["offset"])) + int((found["part"] or "").ljust(3, "0")[:3])

    def _since_1970(self, text: str) -> int:
        if not _SECONDS.fullmatch(text):
            raise Unfit(f"{shown(text)} is not such a time: {SAID[EPOCH]}, was expected")
        at = int(Decimal(text.replace(",", ".")) * 1000)
        if not EARLIEST <= at < LATEST:
            raise Unfit(f"{shown(text)} is not between {FIRST_YEAR} and {LAST_YEAR}: whole seconds since 1970 were expected, not thousandths")
        return at

    def _local(self, text: str, found: re.Match[str]) -> datetime:
        """The date and time as the clock showed them, to the second, put down as if the clock were UTC's."""
        hour = int(found["hour"])
        if found["half"]:
            if not 1 <= hour <= 12:
                raise Unfit(f"{shown(text)} has an hour {hour} with {found['half']}: 1 to 12 was expected")
            hour = hour % 12 + (12 if found["half"].lower() == "pm" else 0)
        try:
            local = datetime(*map(int, (found["year"], found["month"], found["day"])), hour, int(found["minute"]), int(found["second"] or 0), tzinfo=UTC)
        except ValueError as trouble:
            raise Unfit(f"{shown(text)} is not in the calendar ({trouble}): {SAID[self.form]}, was expected") from trouble
        if not FIRST_YEAR <= local.year < LAST_YEAR:
            raise Unfit(f"{shown(text)} is out of range: {FIRST_YEAR} to {LAST_YEAR} was expected")
        return local

    def _offset(self, text: str, local: datetime, said: str | None) -> timedelta:
        if self.zone is None:
            if not said:
                raise Unfit(f"{shown(text)} has no offset: the layout says that each time bears one, Z or ±HH:MM")
            return _said_offset(text, said)
        if said:
            raise Unfit(f"{shown(text)} bears an offset of its own: the layout says that times are by the clock of {self.zone.key}")
        minute = local.replace(second=0)
        if minute not in self.offsets:
            if len(self.offsets) >= MOST_REMEMBERED:
                self.offsets.clear()
            self.offsets[minute] = _offset_in(self.zone, minute, text)
        return self.offsets[minute]


def _said_offset(text: str, said: str) -> timedelta:
    if said == "Z":
        return timedelta()
    hours, minutes = int(said[1:3]), int(said[-2:])
    if hours > 15 or minutes > 59:
        raise Unfit(f"{shown(text)} has no such offset: Z or ±HH:MM was expected after the time")
    return timedelta(hours=hours, minutes=minutes) * (-1 if said[0] == "-" else 1)


def _offset_in(zone: ZoneInfo, local: datetime, text: str) -> timedelta:
    early, late = (local.replace(tzinfo=zone, fold=fold).utcoffset() or timedelta() for fold in (0, 1))
    if early == late:
        return early
    if local.replace(tzinfo=timezone(early)).astimezone(zone).replace(tzinfo=UTC) != local:
        raise Unfit(f"{shown(text)} never was in {zone.key}: the clocks went forward over it")
    raise Unfit(f"{shown(text)} came twice in {zone.key}, when the clocks went back: export the log again with times in UTC or with offsets")
