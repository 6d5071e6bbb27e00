"""Where people are signed in. No record of the firm's: it stands outside the history, and goes a month after it was last seen."""

from datetime import datetime, timedelta
from hashlib import sha256

from django.conf import settings
from django.db.models import QuerySet
from django.http import HttpRequest

from records.firm.models import Person, Visit

SEEN_EVERY = timedelta(minutes=5)
KEPT = timedelta(days=31)
LONGEST_AGENT = 200


def digest_of(request: HttpRequest) -> str:
    return sha256((request.session.session_key or "").encode()).hexdigest()


def attend(request: HttpRequest, at: datetime) -> bool:
    """Note that the signed-in person is here. False: this session was ended, or nothing was heard of it for too long."""
    found = Visit.objects.filter(digest=digest_of(request)).first()
    if found is None:
        _begin(request, at)
        return True
    if found.ended_at is not None or found.seen_at < at - timedelta(seconds=settings.IDLE_SECONDS):
        return False
    if found.seen_at < at - SEEN_EVERY:
        Visit.objects.filter(pk=found.pk).update(seen_at=at)
    return True


def _begin(request: HttpRequest, at: datetime) -> None:
    Visit.objects.filter(seen_at__lt=at - KEPT).delete()
    agent = request.headers.get("User-Agent", "")[:LONGEST_AGENT].replace("\0", "")
    Visit.objects.get_or_create(digest=digest_of(request), defaults={"person_id": request.user.pk, "agent": agent, "began_at": at, "seen_at": at})


def open_visits(person: Person, at: datetime) -> QuerySet[Visit]:
    """The sessions of the person that are still good, the last seen first."""
    return Visit.objects.filter(person=person.pk, ended_at=None, seen_at__gte=at - timedelta(seconds=settings.IDLE_SECONDS)).order_by("-seen_at", "pk")


def end(visits: QuerySet[Visit], at: datetime) -> int:
    """End these sessions: each is signed out at its next request. How many there were."""
    return visits.filter(ended_at=None).update(ended_at=at)
