"""Letters on emergency work, each once: to whoever is said to have decided and the safety managers when it is signed; to these and its issuer when its
follow-up falls due, and when that is overdue."""

from collections.abc import Iterator
from datetime import datetime

from django.urls import reverse

from locates.permits.emergencies import Done, work
from locates.permits.models import Permit
from records.firm.models import Person
from records.ledger.actions import errand
from records.ledger.chain import Actor
from records.letters.actions import New, post_all
from records.letters.facts import at_page
from records.rules.words import SAFETY_MANAGER

WATCH = Actor("", "the watch")
SIGNED, DUE, OVERDUE = "signed", "due", "overdue"
SUBJECTS = {
    SIGNED: "Permit {permit} is signed as emergency work",
    DUE: "Permit {permit}: follow up the emergency work",
    OVERDUE: "Permit {permit}: the follow-up of the emergency work is overdue",
}
TEXTS = {
    SIGNED: "{name}, permit {permit} at {site} is signed as emergency work, dug without waiting for all owners' plans, on the decision of {decider}. "
    "If that is not so, stop the work.\n\nTo see how it stands, {page}",
    DUE: "{name}, the emergency work by permit {permit} at {site} is over. Through {day} it is to be recorded which owners were told and what they answered, "
    "what was found, and what was damaged.\n\nTo record it, {address}",
    OVERDUE: "{name}, the emergency work by permit {permit} at {site} should have been followed up through {day}. Until that is recorded "
    "no other emergency permit of this site is signed.\n\nTo record it, {address}",
}


def tell(at: datetime) -> int:
    """Post the letters that are owed by now; how many were new. Never twice, however often and by however many it is asked."""
    owed = [one for one in work(Permit.objects.all(), at) if one.owed(at) or at < one.over_at]
    if not owed:
        return 0
    managers = list(Person.objects.filter(roles__contains=SAFETY_MANAGER).order_by("pk"))
    with errand(WATCH, at, may_be_empty=True) as underway:
        return len(post_all(underway, [new for one in owed for new in _letters(one, managers, at)], at))


def _letters(one: Done, managers: list[Person], at: datetime) -> Iterator[New]:
    what = SIGNED if at < one.over_at else OVERDUE if one.overdue(at) else DUE
    permit, decider = one.permit, one.permit.emergency.decided_by
    people = {person.pk: person for person in (decider, *managers, *([] if what == SIGNED else [permit.issuer]))}
    said = {"permit": permit.pk, "site": permit.site.name, "day": one.last_day, "decider": decider.name}
    said |= {"address": at_page(reverse("follow_up", args=[permit.pk])), "page": at_page(reverse("permit", args=[permit.pk]))}
    for person in people.values():
        key = f"emergency/{what}/{permit.pk}/{person.pk}"
        yield New(key, person, SUBJECTS[what].format(**said), TEXTS[what].format(name=person.name, **said), pressing=what != DUE)
