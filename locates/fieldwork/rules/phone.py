"""When work was done that a phone recorded and sent later, by a clock that may be wrong."""

from datetime import UTC, datetime, timedelta

from records.rules.text import Unfit, shown

LONGEST_WAIT = timedelta(days=7)  # what waited longer on a phone is entered by hand, with its time
SET_BACK = timedelta(minutes=2)  # by so much a phone puts its own clock right now and then


def happened(recorded: str, sent: str, now: datetime) -> datetime:
    """The instant at which the phone recorded it, put right by how far the phone's clock was off when it sent it; to the second, in UTC.

    `recorded` and `sent` are by the phone's clock, ISO 8601 with an offset; `now` is by the server's. Raises Unfit where they are none,
    and where it would lie in the future or more than a week back.
    """
    waited = instant(sent) - instant(recorded)
    if waited < -SET_BACK:
        raise Unfit(f"This phone's clock was set back by {_minutes(-waited)} after this was recorded, so nobody can tell when that was: enter it again.")
    if waited > LONGEST_WAIT:
        raise Unfit(
            f"It was recorded {waited.days} days ago, and waited on this phone for longer than {LONGEST_WAIT.days}: "
            "enter it in the records, with the time when it was done."
        )
    return (now - max(waited, timedelta())).astimezone(UTC).replace(microsecond=0)


def instant(text: str) -> datetime:
    """An instant as phones write it. Raises Unfit."""
    try:
        found = datetime.fromisoformat(text)
    except ValueError as trouble:
        raise Unfit(f"{shown(text)} is not an instant: YYYY-MM-DDTHH:MM:SS followed by Z or ±HH:MM was expected") from trouble
    if found.tzinfo is None:
        raise Unfit(f"{shown(text)} has no offset: Z or ±HH:MM was expected after the time")
    return found


def _minutes(length: timedelta) -> str:
    return f"{round(length / timedelta(minutes=1))} minutes"
