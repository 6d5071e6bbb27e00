"""What makes a calibration wrong."""

from collections.abc import Iterator
from typing import Any

from records.rules.dates import add_months
from records.rules.wrong import Wrong, not_before, not_later


def calibration_wrongs(calibration: Any, instrument: Any) -> Iterator[Wrong]:
    """The faults of a calibration; those beside its instrument too, where that is known."""
    yield from not_before(calibration, "due_on", "calibrated_on")
    if instrument is None or calibration.due_on is None or calibration.calibrated_on is None:
        return
    if instrument.calibration_months is None:
        yield Wrong("due_on", f"instrument {instrument.instrument} needs no calibration: no due_on was expected", ("instrument",))
        return
    limit = add_months(calibration.calibrated_on, instrument.calibration_months)
    yield from not_later(calibration, "due_on", limit, f"when instrument {instrument.instrument} is due", "calibrated_on", "instrument")
