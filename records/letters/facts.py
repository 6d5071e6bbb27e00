"""Letters as they stand at an instant, and the addresses of pages that they name."""

from datetime import datetime

from django.conf import settings
from django.db.models import Case, CharField, Q, QuerySet, Value, When

from records.access import Ties, within
from records.firm.models import Person
from records.letters.models import Letter
from records.letters.rules import KEPT_TRYING, LOST, NO_ADDRESS, NOT_SENT, PERHAPS, SENT, UNDER_WAY, UNHEARD, WAITING

ACT = "letter.see"
TIES = Ties(("person",))


def standing(at: datetime) -> Case:
    """How a letter stands: `state` of each, worked out by the database."""
    lost = Q(taken_at__lt=at - UNHEARD) | ~Q(why_not="")
    return Case(
        When(address="", then=Value(NO_ADDRESS)),
        When(sent_at__isnull=False, then=Value(SENT)),
        When(Q(given_up_at__isnull=False) | Q(taken_at=None, posted_at__lte=at - KEPT_TRYING), then=Value(NOT_SENT)),
        When(lost, taken_at__isnull=False, then=Value(PERHAPS)),
        When(taken_at__isnull=False, then=Value(UNDER_WAY)),
        default=Value(WAITING),
        output_field=CharField(),
    )


def letters(person: Person, at: datetime) -> QuerySet[Letter]:
    """Those that the person may see, the latest first: their own, or for the safety manager all."""
    rows = within(Letter.objects.all(), person, ACT, TIES, at)
    return rows.annotate(state=standing(at)).select_related("person").order_by("-posted_at", "-pk")


def waiting(at: datetime) -> QuerySet[Letter]:
    """Those that may be sent now, what presses first, then the longest waiting."""
    fresh = Letter.objects.filter(taken_at=None, sent_at=None, given_up_at=None, posted_at__gt=at - KEPT_TRYING).exclude(address="")
    return fresh.filter(Q(again_at=None) | Q(again_at__lte=at)).order_by("-pressing", "posted_at", "pk")


def lost(rows: QuerySet[Letter]) -> QuerySet[Letter]:
    """Of letters with their `state` those that may not have reached their person; but not, where no address is on record, what merely tells ahead."""
    return rows.filter(state__in=LOST).exclude(state=NO_ADDRESS, pressing=False)


def lost_since(since: datetime, at: datetime) -> int:
    """How many of those posted since then."""
    return lost(Letter.objects.filter(posted_at__gte=since).annotate(state=standing(at))).count()


def at_page(path: str, root: str = "") -> str:
    """How the reader of a letter comes to a page, as the end of a sentence: `open https://…`, under the site's own address.

    Without one under `root`, where the site is open just now; where neither is known by the path alone, for whoever signs in.
    """
    base = (settings.SITE_ADDRESS or root).rstrip("/")
    return f"open {base}{path}" if base else f"sign in to Spadework and open {path}"
