"""Days counted back from one instant, as a site's calendar sees them."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

SATURDAY = 5
WORKDAYS = 5


def settle(day: date) -> date:
    """The day itself, or the Friday before where it falls on a week-end."""
    return day - timedelta(days=max(0, day.weekday() - SATURDAY + 1))


def instant(today: date | datetime) -> datetime:
    """An instant as it is; a day as its noon in UTC."""
    if isinstance(today, datetime):
        return today
    return datetime.combine(today, time(12), UTC)


@dataclass(frozen=True, slots=True)
class Calendar:
    """One site's days, counted from the given instant. Working days keep records in order whatever the weekday is."""

    at: datetime
    zone: ZoneInfo

    @property
    def today(self) -> date:
        return self.at.astimezone(self.zone).date()

    def day(self, back: int) -> date:
        """The calendar day so many days back; ahead where negative."""
        return self.today - timedelta(days=back)

    def worked(self, back: int) -> date:
        """The working day so many working days back; with 0 the last one not after today."""
        last = settle(self.today)
        weeks, days = divmod(back, WORKDAYS)
        found = last - timedelta(weeks=weeks, days=days)
        over_weekend = days > last.weekday()
        return found - timedelta(days=2) if over_weekend else found

    def clock(self, day: date, hour_minute: str) -> datetime:
        """The local wall time on the day. Asked for working hours only, which no clock change touches."""
        return datetime.combine(day, time.fromisoformat(hour_minute), self.zone)

    def text(self, moment: datetime) -> str:
        """The instant as register files write it, in the site's own offset."""
        return moment.astimezone(self.zone).isoformat(timespec="minutes")
