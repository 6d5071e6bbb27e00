"""One way to say what is wrong with a record."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Wrong:
    """A fault of a record: the column it is said of, a sentence, and the other columns that were looked at to find it."""

    column: str
    says: str
    seen: tuple[str, ...] = ()
