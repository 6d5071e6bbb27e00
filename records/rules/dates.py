"""Site days and instants.

Evidence is good *through* a day: until the first instant of the next one. Validity is half-open, [from, until).
Instants come back in UTC; an end of None never comes.
"""

from datetime import UTC, date, datetime, time, timedelta, timezone
from zoneinfo import ZoneInfo

from dateutil.relativedelta import relativedelta

LAST_END = date(9999, 12, 30)  # an end after this day never comes
LONGEST_GAP = timedelta(hours=30)  # no zone has ever skipped more than a day


def local_day(instant: datetime, zone: ZoneInfo) -> date:
    """The calendar day in the zone at the instant."""
    return instant.astimezone(zone).date()


def day_start(day: date, zone: ZoneInfo) -> datetime:
    """The first instant of the day in the zone; where the zone skips midnight or the whole day, the first one after."""
    midnight = datetime.combine(day, time(), zone).astimezone(UTC)
    if midnight.astimezone(zone).replace(tzinfo=None) == datetime.combine(day, time()):
        return midnight
    return _first_instant_not_before(day, zone, midnight)


def _first_instant_not_before(day: date, zone: ZoneInfo, later: datetime) -> datetime:
    """Midnight fell into a gap: halve the time before `later` until the very instant is found at which the clocks jumped."""
    span = int(LONGEST_GAP.total_seconds())
    low, high = 0, span
    start = later - LONGEST_GAP
    while low < high:
        middle = (low + high) // 2
        if local_day(start + timedelta(seconds=middle), zone) >= day:
            high = middle
        else:
            low = middle + 1
    return start + timedelta(seconds=low)


def end_of_day(day: date | None, zone: ZoneInfo) -> datetime | None:
    """The first instant after the day: until then, what is good through the day holds."""
    if day is None or day > LAST_END:
        return None
    return day_start(day + timedelta(days=1), zone)


def add_months(day: date, months: int) -> date | None:
    """The corresponding date, clipped to the month's last day; None where that is after 9999-12-30.

    The rule of Dodds v Walker [1981] 1 WLR 1027 (HL): always from the original date, never in steps.
    """
    if (day.year * 12 + day.month - 1 + months) // 12 > LAST_END.year:
        return None
    return _or_never(day + relativedelta(months=months))


def add_days(day: date, days: int) -> date | None:
    """The day so many days later; None where that is after 9999-12-30."""
    if (LAST_END - day).days < days:
        return None
    return day + timedelta(days=days)


def _or_never(day: date) -> date | None:
    return None if day > LAST_END else day


def earlier(*ends: datetime | None) -> datetime | None:
    """The earliest of some ends, of which None never comes."""
    return min((end for end in ends if end is not None), default=None)


def is_after(end: datetime | None, instant: datetime) -> bool:
    """Does the end come after the instant? One that never comes does."""
    return end is None or end > instant


def instant_text(instant: datetime, zone: ZoneInfo) -> str:
    """`YYYY-MM-DDTHH:MM:SS±HH:MM` with the zone's offset at that very instant; an old offset with seconds is cut to the minute, the instant kept."""
    offset = instant.astimezone(zone).utcoffset() or timedelta()
    whole = timezone(timedelta(minutes=offset // timedelta(minutes=1)))
    return instant.astimezone(whole).isoformat(timespec="seconds")


def day_says(day: date) -> str:
    """A day as nobody can misread it: 4 Mar 2027."""
    return f"{day.day} {day:%b} {day.year:04d}"


def instant_says(instant: datetime, zone: ZoneInfo) -> str:
    """An instant for reading, with the zone's offset then: 4 Mar 2027 16:00 UTC+13:00."""
    local = instant.astimezone(zone)
    seconds = f":{local:%S}" if local.second else ""
    return f"{day_says(local.date())} {local:%H:%M}{seconds} UTC{instant_text(instant, zone)[19:]}"


def last_day_says(end: datetime, zone: ZoneInfo) -> str:
    """The last day of what ends at the first instant of a day."""
    return day_says(local_day(end - timedelta(seconds=1), zone))
