"""Who leaves, whose award is taken, and who supervises the site; and a step written past the actions."""

from datetime import date

from django.db import transaction

from locates.life.facts import lives
from locates.life.models import Step
from locates.permits.models import Permit
from records.firm.models import Person, Posting
from tests import cast
from tests.life.conftest import LATER
from training.models import Award

YESTERDAY = date(2027, 3, 3)


def state(permit="PD-1"):
    return lives(Permit.objects.all(), LATER)[permit].state


def leaves(person):
    Person.objects.filter(pk=person).update(left_on=YESTERDAY)


def loses(award):
    Award.objects.filter(pk=award).update(withdrawn_on=YESTERDAY, withdrawn_because="unsafe work seen")


def supervises(person, course):
    """Somebody who is posted to the site as a supervisor, and holds an award of the course."""
    Person.objects.filter(pk=person).update(roles=("supervisor",))
    Posting.objects.create(posting=f"N-{person}", person_id=person, site_id="S-1", role="supervisor", begins_on=date(2027, 1, 4), recorded_at=cast.RECORDED)
    if course:
        Award.objects.create(award=f"A9-{person}", person_id=person, course_id=course, awarded_on=date(2026, 6, 1), recorded_at=cast.RECORDED)


def slipped_in(act, person, number=1):
    """A step written past the actions."""
    told = {"printed_name": "somebody", "done_at": LATER, "recorded_at": LATER, "declaration": "so", "why": "gone", "left": "filled in"}
    with transaction.atomic():
        return Step.objects.create(permit_id="PD-1", number=number, act=act, person_id=person, **told).number
