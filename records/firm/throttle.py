"""Guessing passwords is slow, whichever process answers: each try is noted in the database before the password is looked at.

It is no record of the firm's, so it stands outside the history: an entry for each wrong guess would let anyone who can reach the
sign-in page swell it. Notes go after an hour. Whose password and from where are kept as keyed digests only: what is typed in
the field for the name is now and then the password.
"""

import logging
from datetime import datetime, timedelta
from unicodedata import normalize

from django.utils.crypto import salted_hmac

from records.firm.models import Knock

KEPT = timedelta(hours=1)
# tries, and in how long: from one address for one person, for one person wherever they come from, and from one address for anyone
HERE, HERE_WITHIN = 5, timedelta(minutes=15)
ANYWHERE, ANYWHERE_WITHIN = 30, KEPT
FROM_ONE = 60
LOOKS, LOOKS_WITHIN = 60, timedelta(minutes=15)  # at what is open to anyone, from one address: a whole crew behind one line

log = logging.getLogger(__name__)


def knock(person: str, address: str, at: datetime) -> bool:
    """Note a try. False: there were too many of late, and the password is not to be looked at."""
    Knock.objects.filter(at__lt=at - KEPT).delete()
    whose, whence = _digest(person), _digest(address)
    made = Knock.objects.create(whose=whose, whence=whence, at=at)
    tried = Knock.objects.filter(whose=whose)
    here = tried.filter(whence=whence, at__gt=at - HERE_WITHIN).count()
    anywhere = tried.filter(at__gt=at - ANYWHERE_WITHIN).count()
    from_one = Knock.objects.filter(whence=whence, at__gt=at - KEPT).count()
    if here <= HERE and anywhere <= ANYWHERE and from_one <= FROM_ONE:
        return True
    made.delete()  # or one address, hammering on, would shut the person out everywhere
    log.warning("too many tries at one password: %s here, %s in all (whose %s)", here, anywhere, whose[:12])
    return False


def look(address: str, at: datetime) -> bool:
    """Note a look at what is open to anyone. False: there were too many from this address of late."""
    Knock.objects.filter(at__lt=at - KEPT).delete()
    whence = _digest(f"looks: {address}")
    if Knock.objects.filter(whose=whence, at__gt=at - LOOKS_WITHIN).count() >= LOOKS:
        return False
    Knock.objects.create(whose=whence, whence=whence, at=at)
    return True


def welcome(person: str, address: str) -> None:
    """The password was right: forget the tries from here."""
    Knock.objects.filter(whose=_digest(person), whence=_digest(address)).delete()


def inside(name: str) -> str:
    """Under what the tries of those signed in are counted, for person and address: apart from the door, where anyone can knock and shut others out."""
    return f"signed in: {name}"


def _digest(text: str) -> str:
    # every spelling that the sign-in form takes for the same identifier is the same here
    return salted_hmac(__name__, normalize("NFKC", text.strip()).strip()).hexdigest()
