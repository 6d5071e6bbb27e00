"""The cast on the stage, with addresses, and awards that end soon."""

from datetime import date, timedelta

import pytest

from locates.watch.actions import tell_ahead
from records.firm.models import Person
from records.letters.models import Letter
from tests import cast
from tests.journeys.conftest import as_person, hands, scene
from training.models import Award, Course

__all__ = ["as_person", "hands", "scene"]
TODAY = date(2027, 3, 4)  # of the cast's instant, at the site


@pytest.fixture
def firm(db, mailoutbox):
    """The whole cast, everyone with an address."""
    cast.everything()
    for one in Person.objects.all():
        Person.objects.filter(pk=one.pk).update(email=f"{one.pk}@field.example")
    Course.objects.create(course="C-SHORT", title="Digging again", valid_months=12, authorises=("dig",), recorded_at=cast.RECORDED)
    Award.objects.filter(person__in=("P-CR1", "P-CR2")).delete()


def award(key, person, left, *, begun=365, course="C-SHORT"):
    """An award with so many days left on the cast's day."""
    ends = TODAY + timedelta(days=left)
    given = {"awarded_on": ends - timedelta(days=begun), "expires_on": ends, "recorded_at": cast.RECORDED}
    return Award.objects.create(award=key, person_id=person, course_id=course, **given)


def later(**time):
    return cast.AT + timedelta(**time)


def told(at=cast.AT):
    """Whom a watch then writes to: by person, the lines of the letter that it posts."""
    known = set(Letter.objects.values_list("pk", flat=True))
    tell_ahead(at)
    made = Letter.objects.exclude(pk__in=known)
    return {one.person_id: [line.removeprefix("- ") for line in one.text.splitlines() if line.startswith("- ")] for one in made}
