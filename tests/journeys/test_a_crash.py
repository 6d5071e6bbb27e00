"""A server that dies in the middle of a signature leaves nothing of it behind."""

import os
import signal
import subprocess
import sys

import pytest
from django.db import connection

from locates.permits import actions
from locates.permits.models import SignOff
from records.ledger.models import Entry
from tests import cast

pytestmark = pytest.mark.django_db(transaction=True)

# What follows the signature's own row inside its errand is put to death, by the signal that no process can catch.
SIGN_AND_DIE = f"""
import os, signal, sys
from datetime import datetime

import django

django.setup()

from locates.permits import actions
from locates.permits.models import SignOff


def die(made):
    assert SignOff.objects.filter(pk=made.pk).exists()
    os.kill(os.getpid(), signal.SIGKILL)


actions.told = die
at = datetime.fromisoformat({cast.AT.isoformat()!r})
actions.sign("PD-1", "P-ISS", "issue", at, actions.preview("PD-1", at).seen)
"""


def address() -> str:
    """The tests' own database as another process names it."""
    given = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{given['NAME']}"
    return f"postgres://{given['USER']}@{given['HOST']}:{given['PORT']}/{given['NAME']}".replace("//@:/", "///")


def died() -> int:
    env = {**os.environ, "DATABASE_URL": address(), "DJANGO_SETTINGS_MODULE": "records.settings"}
    return subprocess.run([sys.executable, "-c", SIGN_AND_DIE], env=env, check=False, timeout=60).returncode


def test_nothing_is_left_of_a_signature_that_died_half_way() -> None:
    cast.everything()
    assert died() == -signal.SIGKILL
    assert (SignOff.objects.count(), Entry.objects.count()) == (0, 0)


def test_the_permit_can_be_signed_after_a_crash() -> None:
    cast.everything()
    died()
    assert actions.sign("PD-1", "P-ISS", "issue", cast.AT, actions.preview("PD-1", cast.AT).seen).meaning == "issue"
