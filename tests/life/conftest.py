"""A permit that both have signed, and people to take it over."""

from datetime import date, timedelta

import pytest

from locates.life.actions import Wish, outlook, step
from locates.permits.actions import preview, sign
from tests import cast
from training.models import Award

LATER = cast.AT + timedelta(hours=1)
GIVEN = {"why": "a cable that no plan shows", "left": "open to 0.6 m, fenced and covered"}


def accepted():
    """PD-1, issued and accepted; P-FAR may receive permits too."""
    cast.everything()
    Award.objects.create(award="A-FAR", person_id="P-FAR", course_id="C-REC", awarded_on=date(2026, 6, 1), recorded_at=cast.RECORDED)
    sign("PD-1", "P-ISS", "issue", cast.AT, preview("PD-1", cast.AT).seen)
    sign("PD-1", "P-REC", "accept", cast.AT, preview("PD-1", cast.AT).seen)


@pytest.fixture
def signed(db):
    accepted()


def done(act, person, at=LATER, permit="PD-1", **told):
    """The step, upon what a page would have shown that moment."""
    wish = Wish(act, **GIVEN | told)
    return step(permit, person, wish, at, outlook(permit, wish, at).seen)
