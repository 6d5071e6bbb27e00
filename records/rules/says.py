"""How far off an instant is, and when things end, in words nobody can misread."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from records.rules.dates import day_start, instant_says, last_day_says, local_day

MINUTE, HOUR = timedelta(minutes=1), timedelta(hours=1)
COUNTED, LONGEST_MONTH, LONGEST_YEAR = 100, 31, 366  # days


def away(instant: datetime, at: datetime, zone: ZoneInfo) -> str:
    """`in 12 days`, `tomorrow`, `in 3 hours`, `now`, `yesterday`, `5 days ago`: days are counted on the zone's calendar."""
    days = (local_day(instant, zone) - local_day(at, zone)).days
    if days == 0 or abs(instant - at) < 6 * HOUR:
        return _within_a_day(instant - at)
    return days_away(days)


def days_away(days: int) -> str:
    """So many days from today: `today`, `tomorrow`, `in 12 days`, `yesterday`, `5 days ago`; farther off `in over 7 months`, `over 2 years ago`."""
    near = {0: "today", 1: "tomorrow", -1: "yesterday"}
    return near.get(days) or (f"in {_length(days)}" if days > 0 else f"{_length(-days)} ago")


def _length(days: int) -> str:
    """Days as long as people count them; then months and years that have passed in full, however long those months and years were."""
    if days < COUNTED:
        return f"{days} days"
    return f"over {days // LONGEST_MONTH} months" if days < 2 * LONGEST_YEAR else f"over {days // LONGEST_YEAR} years"


def _within_a_day(span: timedelta) -> str:
    size = abs(span)
    if size < MINUTE:
        return "now"
    count, unit = (size // HOUR, "hour") if size >= HOUR else (size // MINUTE, "minute")
    told = f"{count} {unit}" + ("s" if count > 1 else "")
    return f"in {told}" if span > timedelta() else f"{told} ago"


def ends_with_a_day(end: datetime, zone: ZoneInfo) -> bool:
    """Is it the first instant of a day, so that what ends then ends with the day before?"""
    return end == day_start(local_day(end, zone), zone)


def end_says(end: datetime, zone: ZoneInfo) -> str:
    """An end as people read it: `through 4 Mar 2027` for the midnight after that day, else `until` the instant."""
    return f"through {last_day_says(end, zone)}" if ends_with_a_day(end, zone) else f"until {instant_says(end, zone)}"


def full_says(instant: datetime, at: datetime, zone: ZoneInfo) -> str:
    """`4 Mar 2027 16:00 UTC+13:00, in 12 days`."""
    return f"{instant_says(instant, zone)}, {away(instant, at, zone)}"


def window_says(begins: datetime, ends: datetime, zone: ZoneInfo) -> str:
    """`4 Mar 2027 07:00 to 11 Mar 2027 17:00 UTC+13:00`; where the clocks change in between, each with its own distance from UTC."""
    return " to ".join(window_ends(begins, ends, zone))


def window_ends(begins: datetime, ends: datetime, zone: ZoneInfo) -> tuple[str, str]:
    """The two ends of a window, as they stand in its sentence."""
    first, last = instant_says(begins, zone), instant_says(ends, zone)
    clock, offset = first.rsplit(" ", 1)
    return clock if last.endswith(offset) else first, last
