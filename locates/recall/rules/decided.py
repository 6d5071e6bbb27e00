"""What can be decided of a locate or permit that rested on a thing in doubt, and what makes such a decision wrong."""

from collections.abc import Iterator
from typing import Any

from locates.recall.rules.doubts import AWARD, CALIBRATION, CHECK, PLAN
from locates.recall.rules.reach import LOCATE, PERMIT
from records.rules.wrong import Wrong

DECISIONS = AGAIN, STANDS, UNHARMED, STRUCK, UNUSED = ("locate_again", "stands", "dug_unharmed", "dug_struck", "not_dug")
SAID = {
    AGAIN: "To be located again",
    STANDS: "Stands all the same",
    UNHARMED: "Dug already, nothing struck",
    STRUCK: "Dug already, something was struck",
    UNUSED: "Nobody dug by it",
}
FINDINGS = {"calibration": CALIBRATION, "failed_check": CHECK, "award": AWARD, "wrong": PLAN}
COLUMN_OF = {kind: column for column, kind in FINDINGS.items()}
SUBJECTS = (LOCATE, PERMIT)


def decision_wrongs(decision: Any) -> Iterator[Wrong]:
    """It is upon one finding, and of one locate or permit."""
    for columns, what in ((tuple(FINDINGS), "finding"), (SUBJECTS, "locate or permit")):
        filled = [column for column in columns if getattr(decision, f"{column}_id") is not None]
        if len(filled) != 1:
            says = f"{' and '.join(filled) or 'none of them'} filled: exactly one {what} was expected, of {', '.join(columns)}"
            yield Wrong(filled[0] if filled else columns[0], says, tuple(column for column in columns if column != (filled or columns)[0]))
