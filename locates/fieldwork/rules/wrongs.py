"""What makes a field sheet wrong."""

from collections.abc import Iterator
from typing import Any

from records.rules.wrong import Wrong

MARKS = ("paint", "pegs", "flags", "chalk", "tape")


def sheet_wrongs(sheet: Any) -> Iterator[Wrong]:
    """The faults of a sheet: how the ground was marked and when go together."""
    if sheet.marked_at is not None and not sheet.marks:
        yield Wrong("marks", "a time of marking without what was marked with: one or more of the marks were expected", ("marked_at",))
    if sheet.marks and sheet.marked_at is None:
        yield Wrong("marked_at", "marks without the time at which they were made: an instant was expected", ("marks",))
