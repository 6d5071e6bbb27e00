"""What is known of people and their places of work."""

from datetime import datetime
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from records.access import sites_within
from records.firm.models import Person, Posting, Site

UTC_NAME = "UTC"


def own_zone(person: Person, at: datetime) -> ZoneInfo:
    """The zone in which someone reads instants that belong to no site: that of a site they are posted to, else of the firm's first site, else UTC."""
    posted = Posting.objects.filter(person=person.pk, begins_on__lte=at.date()).order_by("ends_on", "posting")
    name = posted.values_list("site__time_zone", flat=True).first() or Site.objects.order_by("site").values_list("time_zone", flat=True).first()
    return ZoneInfo(name or UTC_NAME)


def own_sites(person: Person, act: str, at: datetime) -> QuerySet[Site]:
    """The sites at which they may do this, by name."""
    return sites_within(Site.objects.all(), person, act, at).order_by("name", "site")
