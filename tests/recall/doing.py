"""What tests of recalls do: permits are signed and suspended, an instrument is found unfit, and something is decided."""

from datetime import date

from locates.instruments.models import Calibration
from locates.life.actions import Wish, outlook, step
from locates.permits.actions import preview, sign
from tests import cast
from tests.elsewhere import OF

PAGE = "/recalls/calibration/K-BAD/"


def signed(name="PD-1", **other):
    """A permit accepted at the cast's own instant."""
    if name != "PD-1":
        cast.permit(name, **other)
    for person, meaning in (("P-ISS", "issue"), ("P-REC", "accept")):
        sign(name, person, meaning, cast.AT, preview(name, cast.AT).seen)


def found_out(instrument="I-R1", key="K-BAD", day=date(2027, 3, 4)):
    """A calibration found the instrument out of tolerance, and put it right."""
    told = {"as_found": "out_of_tolerance", "as_left": "in_tolerance", "laboratory": "Bench and Bridge"}
    return Calibration.objects.create(calibration=key, instrument_id=instrument, calibrated_on=day, **told, **OF)


def suspend(permit, at=cast.AT):
    wish = Wish("suspend", why="the receiver is in doubt", left="covered with boards")
    step(permit, "P-ISS", wish, at, outlook(permit, wish, at).seen)


def listed(page):
    return [(one.kind, one.name, one.word) for one in page.context["lines"]]


def decided(client, *of, decided="dug_unharmed", why="The owner is told; nothing was struck.", address=PAGE):
    return client.post(f"{address}decide/", {"of": of, "decided": decided, "why": why})
