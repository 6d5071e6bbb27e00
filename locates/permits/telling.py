"""Letters on the follow-up of emergency work: to its issuer, whoever decided and the safety managers, once when it falls due and once when overdue."""

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
DUE, OVERDUE = "due", "overdue"
SUBJECTS = {DUE: "Permit {permit}: follow up the emergency work", OVERDUE: "Permit {permit}: the follow-up of the emergency work is overdue"}
TEXTS = {
    DUE: "{name}, the emergency work by permit {permit} at {site} is over. Through {day} it is to be recorded which owners were told and what they answered, "
    "what was found, and what was damaged:\n\n{address}",
    OVERDUE: "{name}, the emergency work by permit {permit} at {site} should have been followed up through {day}. Until that is recorded "
    "no other emergency permit of this site is signed:\n\n{address}",
}


def tell(at: datetime) -> int:
    """Post the letters that are owed by now; how many were new. Never twice, however often and by however many it is asked."""
    owed = [one for one in work(Permit.objects.all(), at) if one.owed(at)]
    if not owed:
        return 0
    managers = list(Person.objects.filter(roles__contains=SAFETY_MANAGER).order_by("pk"))
    with errand(WATCH, at, may_be_empty=True) as underway:
        return len(post_all(underway, [new for one in owed for new in _letters(one, managers, at)], at))


def _letters(one: Done, managers: list[Person], at: datetime) -> Iterator[New]:
    what = OVERDUE if one.overdue(at) else DUE
    permit = one.permit
    people = {person.pk: person for person in (permit.issuer, permit.emergency.decided_by, *managers)}
    said = {"permit": permit.pk, "site": permit.site.name, "day": one.last_day, "address": at_page(reverse("follow_up", args=[permit.pk]))}
    for person in people.values():
        key = f"follow-up/{what}/{permit.pk}/{person.pk}"
        yield New(key, person, SUBJECTS[what].format(**said), TEXTS[what].format(name=person.name, **said), pressing=what == OVERDUE)
