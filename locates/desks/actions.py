"""Keys to calendars: made, and ended."""

import secrets
from datetime import datetime

from locates.desks.models import FeedKey
from records.firm.actions import actor
from records.firm.models import Person
from records.ledger.actions import Errand, errand
from records.ledger.chain import digest

BYTES = 24  # 192 bits: nobody guesses it


def new_key(person: Person, at: datetime) -> str:
    """Make a key to the person's calendar and end the one before. It is told this once; what is kept does not give it back."""
    key = secrets.token_urlsafe(BYTES)
    with errand(actor(person), at) as underway:
        _end(person, underway)
        FeedKey.objects.create(person=person, digest=digest(key), recorded_at=at)
        underway.write("person.feed.made", "person", person.pk, str(person), at)
    return key


def end_key(person: Person, at: datetime) -> bool:
    """End the key in use; was there one?"""
    with errand(actor(person), at, may_be_empty=True) as underway:
        ended = _end(person, underway)
        if ended:
            underway.write("person.feed.ended", "person", person.pk, str(person), at)
    return ended


def _end(person: Person, underway: Errand) -> bool:
    return bool(FeedKey.objects.filter(person=person, ended_at=None).update(ended_at=underway.at))
