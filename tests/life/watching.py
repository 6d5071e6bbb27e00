"""What the tests of the watch do with permits."""

from datetime import date, timedelta

from locates.life.facts import lives
from locates.life.models import Step
from locates.life.watching import watched
from locates.permits.actions import preview, sign
from locates.permits.models import Permit
from tests import cast
from tests.life.conftest import LATER
from training.models import Award

END = cast.AT + timedelta(hours=30)
NEXT_DAY = cast.AT + timedelta(hours=24)
EVERYONE = ["P-CR1", "P-CR2", "P-ISS", "P-OPE", "P-REC", "P-SAF"]
RAN_OUT = "2027-03-04"


def withdraw(award="A-CR1"):
    Award.objects.filter(award=award).update(withdrawn_on=date(2027, 3, 1), withdrawn_because="unsafe work seen")


def mend(award="A-CR1"):
    Award.objects.filter(award=award).update(withdrawn_on=None, withdrawn_because="")


def lapse(award="A-OPE"):
    Award.objects.filter(award=award).update(expires_on=date.fromisoformat(RAN_OUT))


def more(*names, at=cast.AT, **other):
    """As many more permits, issued and accepted."""
    for name in names:
        cast.permit(name, **other)
        for person, meaning in (("P-ISS", "issue"), ("P-REC", "accept")):
            sign(name, person, meaning, at, preview(name, at).seen)


def state(at, permit="PD-1"):
    return lives(Permit.objects.all(), at)[permit].state


def acts(permit="PD-1"):
    return [one.act for one in Step.objects.filter(permit=permit).order_by("number")]


def found(at=LATER):
    report = watched(at)
    return report.suspended, report.ended, report.told, list(report.troubled)


NOTHING = ([], [], [], [])
