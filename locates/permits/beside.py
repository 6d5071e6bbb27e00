"""What other apps have to say on a permit's own page, after its life. The setting PERMIT_PARTS names who is asked, in the order of the page."""

from datetime import datetime
from typing import Any

from django.conf import settings
from django.utils.module_loading import import_string

from locates.permits.models import Permit
from records.firm.models import Person


def parts(permit: Permit, reader: Person, at: datetime) -> list[dict[str, Any]]:
    """The parts of the page, each with its `template` and what that is given; who has nothing to say of this permit gives None."""
    return [part for path in settings.PERMIT_PARTS if (part := import_string(path)(permit, reader, at)) is not None]
