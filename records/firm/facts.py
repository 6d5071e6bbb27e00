"""What is known of people and their places of work."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet

from records.access import Ties, sites_within
from records.firm.models import Person, Posting, Rule, Site
from records.rules.dates import local_day
from records.rules.numbers import InForce, Row

UTC_NAME = "UTC"
PEOPLE_TIES = Ties(("person",), "postings__site")  # a person is their own, and of the sites that they are posted to


def own_zone(person: Person, at: datetime) -> ZoneInfo:
    """The zone in which someone reads instants that belong to no site: that of a site they are posted to, else of the firm's first site, else UTC."""
    posted = posted_now(at).filter(person=person.pk).order_by("posting")
    name = posted.values_list("site__time_zone", flat=True).first() or Site.objects.order_by("site").values_list("time_zone", flat=True).first()
    return ZoneInfo(name or UTC_NAME)


def own_zones(people: Iterable[Person], at: datetime) -> dict[str, ZoneInfo]:
    """The same of any number of people, by person, in three queries."""
    usual = Site.objects.order_by("site").values_list("time_zone", flat=True).first() or UTC_NAME
    posted = dict(posted_now(at).order_by("-posting").values_list("person", "site__time_zone"))  # of several the first stands last
    return {one.pk: ZoneInfo(posted.get(one.pk, usual)) for one in people}


def own_sites(person: Person, act: str, at: datetime) -> QuerySet[Site]:
    """The sites at which they may do this, by name."""
    return sites_within(Site.objects.all(), person, act, at).order_by("name", "site")


def in_force(site: Site, at: datetime) -> InForce:
    """Every number in force at the site on its day, the firm's own among them."""
    return in_force_at([site], at)[site.pk]


def in_force_at(sites: Collection[Site], at: datetime) -> dict[str, InForce]:
    """The same of several sites, by site. One query."""
    rows = rows_of(sites)
    return {site.pk: InForce(rows[site.rule_set_id], local_day(at, ZoneInfo(site.time_zone))) for site in sites}


def rows_of(sites: Iterable[Site]) -> dict[str, list[Row]]:
    """By rule set, all rows that the sites' sets have, whatever their day. One query."""
    found: dict[str, list[Row]] = {site.rule_set_id: [] for site in sites}
    for one in Rule.objects.filter(rule_set__in=found):
        found[one.rule_set_id].append(Row(one.key, one.effective_from, one.value, one.source))
    return found


def lead_days(person: Person, at: datetime) -> int:
    """How many days ahead the person's renewals are to be booked: the longest lead of the sites that they are posted to now, else the usual one."""
    sites = Site.objects.filter(postings__in=posted_now(at).filter(person=person.pk)).distinct()
    leads = [in_force(one, at).whole("rebook_lead_days") for one in {site.rule_set_id: site for site in sites}.values()]
    return max(leads, default=InForce([], at.date()).whole("rebook_lead_days"))


def posted_now(at: datetime) -> QuerySet[Posting]:
    """The postings that have begun and not ended, by the day at each one's own site: for lists. Reach is a little longer at either end."""
    zones: dict[date, list[str]] = defaultdict(list)
    for name in Site.objects.order_by("time_zone").values_list("time_zone", flat=True).distinct():
        zones[local_day(at, ZoneInfo(name))].append(name)
    now = Q(pk__in=[])
    for day, names in zones.items():
        now |= Q(Q(ends_on=None) | Q(ends_on__gte=day), site__time_zone__in=names, begins_on__lte=day)
    return Posting.objects.filter(now)
