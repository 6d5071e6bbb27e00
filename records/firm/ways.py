"""Addresses at which passwords are chosen: how they are made, and what people are told of them."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from urllib.parse import urljoin
from zoneinfo import ZoneInfo

from django.contrib.auth.tokens import default_token_generator
from django.db.models import Q
from django.urls import reverse

from records.access import may
from records.firm import mail
from records.firm.actions import asked_for_password
from records.firm.facts import own_zone
from records.firm.models import Person, WayIn
from records.ledger.chain import digest
from records.rules.dates import instant_says
from records.rules.words import SAFETY_MANAGER

TOLD_FOR = timedelta(days=14)  # at each sign-in: whoever came in first cannot make it go unsaid
MOST = 10
ACT = "person.enter"


@dataclass(frozen=True, slots=True)
class Told:
    """An address as people read of it; the times are text, blank where there are none."""

    pk: int
    by: str
    how: str
    made: str
    opened: str
    used: str
    disowned: str


def new_token(person: Person) -> str:
    """Good once, for three days, and no longer than the password that the person has now."""
    return default_token_generator.make_token(person)


def address_of(root: str, person: Person, token: str) -> str:
    """`root`: where the site is, as the request names it."""
    return urljoin(root, reverse("choose_password", args=[person.pk, token]))


def write_to_whoever_forgot(name: str, root: str, at: datetime) -> None:
    """Send the person, if there is one with a mail address who has not left, an address at which to choose a password."""
    found = Person.objects.filter(pk=name).first()
    if found is None or found.has_left(at):
        return
    token = new_token(found)
    if mail.write(found, "A new password", mail.RENEWED, address=address_of(root, found, token)):
        asked_for_password(found, token, at)


def told(one: WayIn, zone: ZoneInfo) -> Told:
    times = (one.recorded_at, one.opened_at, one.used_at, one.disowned_at)
    return Told(one.pk, one.by_name, one.how, *(instant_says(at, zone) if at else "" for at in times))


def told_of_token(person: Person, token: str, zone: ZoneInfo) -> Told | None:
    """What is known of the address with this token."""
    found = WayIn.objects.filter(person=person, digest=digest(token)).first()
    return told(found, zone) if found else None


def ways_of(person: Person, zone: ZoneInfo) -> list[Told]:
    """The latest addresses made for the person, the newest first."""
    return [told(one, zone) for one in WayIn.objects.filter(person=person.pk).order_by("-recorded_at", "-pk")[:MOST]]


def notices(person: Person, at: datetime) -> list[str]:
    """What somebody is told when they sign in: of addresses for themselves that were opened of late; and the office, of those that were disowned."""
    zone, since = own_zone(person, at), at - TOLD_FOR
    mine = WayIn.objects.filter(Q(opened_at__gte=since), person=person.pk, disowned_at=None).order_by("pk")
    says = [_opened(told(one, zone)) for one in mine]
    if may(person, ACT):
        theirs = WayIn.objects.filter(disowned_at__gte=since).exclude(person=person.pk).select_related("person").order_by("pk")
        says += [f"{one.person.name} says that it was not them who opened the address that was made by {one.by_name} ({one.how})." for one in theirs]
    return says


def _opened(one: Told) -> str:
    used = f", and a password was chosen there {one.used}" if one.used else ""
    made = f"An address at which your password can be chosen was made by {one.by} ({one.how})"
    return f"{made} and opened {one.opened}{used}. Was that not you? Say so on your account."


def keepers(at: datetime) -> list[Person]:
    """Whoever does something about people's way in, and is still there."""
    return [one for one in Person.objects.filter(roles__contains=SAFETY_MANAGER).order_by("pk") if may(one, ACT) and not one.has_left(at)]
