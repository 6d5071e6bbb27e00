"""What stands on a locate's own page about its logs."""

from datetime import datetime
from typing import Any

from locates.logs import facts
from locates.surveys.models import Locate
from records.access import may
from records.firm.models import Person


def part(record: Locate, person: Person, at: datetime) -> dict[str, Any]:
    """Its logs, and in what they and the locate do not fit."""
    logs = facts.of_locate(record.pk)
    compared = next(iter(facts.compared(logs)), None)
    return {"template": "logs/_of_locate.html", "logs": logs, "compared": compared, "may_add": may(person, facts.ENTER)}
