"""The only reader of the clock. Everything else is given the instant."""

from datetime import UTC, datetime


def now() -> datetime:
    """The present instant in UTC, cut to the second."""
    return datetime.now(UTC).replace(microsecond=0)
