"""The owners' answers that open permits rest on: which are owed, which lapsed, and which lapse ahead, by each site's own day."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Min, QuerySet
from django.urls import reverse
from django.utils.http import urlencode

from locates.desks import falling as falls
from locates.permits import lists
from locates.permits.facts import gather
from locates.permits.models import Permit
from locates.permits.rules.answers import Owed, in_use
from locates.permits.rules.frame import Frame, framed
from locates.permits.since import still_open
from records.access import may
from records.firm.facts import own_sites
from records.firm.models import Person, Site
from records.rules.dates import day_says, local_day
from records.rules.says import days_away
from training.rules.matrix import AHEAD, ahead

ACT = "enquiry.see"
OWING, LAPSED = -1, 0
TITLES = {OWING: "Still owed", LAPSED: "Lapsed already", **{days: f"Within {days} days" for days in AHEAD}}
MOMENT = timedelta(seconds=1)


@dataclass(frozen=True)
class Answer:
    """One owner's answer at one site in words; `within`: -1 while it is owed, 0 for lapsed, else 30, 60 or 90. `leads`: to it, or to where it is asked for."""

    owner: str
    site: str
    site_name: str
    enquiry: str
    says: str
    within: int
    through: date | None
    leads: str


def falling(person: Person, at: datetime, site: Site | None = None) -> list[Answer]:
    """Those owed, lapsed, or lapsing within 90 days, at the sites with open permits within the person's reach; the soonest first."""
    found = [one for frame in _frames(person, at, site) for owed in in_use(frame) if (one := _answer(frame, owed, person)) is not None]
    return sorted(found, key=lambda one: (one.within, one.through or date.min, one.site_name, one.site, one.owner, one.enquiry))


def _frames(person: Person, at: datetime, site: Site | None) -> list[Frame]:
    """One for each site: all that its permits share. As many queries for one as for a thousand."""
    reached = own_sites(person, ACT, at) if site is None else own_sites(person, ACT, at).filter(pk=site.pk)
    still = _still_open(Permit.objects.filter(pk__in=lists.visible(person, at).values("pk"), site__in=reached.order_by().values("pk")), at)
    return [framed(evidence, at) for evidence in gather(Permit.objects.filter(pk__in=still.values("site").annotate(one=Min("pk")).values("one")))]


def _still_open(permits: QuerySet[Permit], at: datetime) -> QuerySet[Permit]:
    return still_open(permits, at).order_by()


def _answer(frame: Frame, owed: Owed, person: Person) -> Answer | None:
    through = None if owed.ends is None else local_day(owed.ends - MOMENT, frame.zone)
    within = _within(frame, owed, through)
    if within is None:
        return None
    site, enquiry = frame.evidence.site, owed.enquiry
    leads = reverse("leaf", args=["enquiries", enquiry.enquiry]) if enquiry else _asking(site.site, owed.owner, person)
    return Answer(owed.owner, site.site, site.name, enquiry.enquiry if enquiry else "", _says(frame, owed, through), within, through, leads)


def _within(frame: Frame, owed: Owed, through: date | None) -> int | None:
    if not owed.answered:
        return OWING
    if owed.ends is not None and owed.ends <= frame.at:
        return LAPSED
    return ahead(through, frame.today)


def _says(frame: Frame, owed: Owed, through: date | None) -> str:
    if owed.enquiry is None:
        return "not asked"
    if owed.wrong_since is not None:
        found = local_day(owed.wrong_since, frame.zone)
        return f"to be asked again: its answer was found wrong on {day_says(found)}, {days_away((found - frame.today).days)}"
    if through is None:
        sent = owed.enquiry.sent_on
        return f"not answered, asked on {day_says(sent)}, {days_away((sent - frame.today).days)}"
    was = "was " if owed.ends is not None and owed.ends <= frame.at else ""
    return f"{was}good through {day_says(through)}, {days_away((through - frame.today).days)}"


def _asking(site: str, owner: str, person: Person) -> str:
    """Where the owner is asked, for who may."""
    return f"{reverse('enter', args=['enquiries'])}?{urlencode({'site': site, 'service_owner': owner})}" if may(person, "enquiry.enter") else ""


def page(person: Person, at: datetime, site: Site | None, data: Mapping[str, Any]) -> dict[str, Any]:
    return falls.page(falling(person, at, site), TITLES, data)


def csv_rows(person: Person, at: datetime, site: Site | None, data: Mapping[str, Any]) -> Iterator[list[str]]:
    yield ["site", "owner", "enquiry", "state", "good_through", "within_days"]
    for one in falls.those(falling(person, at, site), falls.asked_within(TITLES, data)):
        yield [one.site, one.owner, one.enquiry, one.says, str(one.through or ""), "" if one.within == OWING else str(one.within)]
