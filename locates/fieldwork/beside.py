"""What stands on a locate's own page about the sheet that it was made on."""

from datetime import datetime
from typing import Any

from locates.fieldwork.books import SHEETS
from locates.fieldwork.facts import sheets, zone_of
from locates.surveys.models import Locate
from records.books.leaf import facts
from records.firm.models import Person

ITSELF = ("sheet", "locate")


def part(record: Locate, person: Person, at: datetime) -> dict[str, Any]:
    """For which dig it was made, which plans were at hand, how the ground was marked, and why it was finished though something was missing."""
    row = sheets().filter(locate=record.pk).first()
    hidden = {SHEETS.ask(column).label for column in ITSELF}
    told = [one for one in facts(SHEETS, row, zone_of(row), at) if one.title not in hidden] if row is not None else []
    return {"template": "fieldwork/_of_locate.html", "told": told}
