"""What other apps have to say on the pages of a permit: on its own, after its life (the setting PERMIT_PARTS), and on those of its steps (STEP_PARTS)."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.utils.module_loading import import_string

from locates.permits.models import Permit
from records.firm.models import Person


def parts(asked: Iterable[str], permit: Permit, reader: Person, at: datetime) -> list[dict[str, Any]]:
    """The parts of the page, each with its `template` and what that is given, in the order of who is asked; who has nothing to say gives None.

    A part that the page's own links lead to gives its `place`: an id in its template, and what the link says.
    """
    return [part for path in asked if (part := import_string(path)(permit, reader, at)) is not None]
