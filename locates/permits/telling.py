"""Letters on emergency work, each once: to whoever is said to have decided and the safety managers when it is signed; to these and its issuer when its
follow-up falls due, and when that is overdue."""

from collections.abc import Iterator
from datetime import datetime, timedelta

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
SIGNED_OVER = "signed, and over"  # the same letter, where the watch came only once the work was done
NEWS = timedelta(days=14)  # for so long people are told whose decision it was, though the work is over; when a watch begins to run, nothing older is stirred up
SUBJECTS = {
    SIGNED: "Permit {permit} is signed as emergency work",
    SIGNED_OVER: "Permit {permit} was signed as emergency work",
    DUE: "Permit {permit}: follow up the emergency work",
    OVERDUE: "Permit {permit}: the follow-up of the emergency work is overdue",
}
TEXTS = {
    SIGNED: "{name}, permit {permit} at {site} is signed as emergency work, dug without waiting for all owners' plans, on the decision of {decider}. "
    "If that is not so, stop the work.\n\nTo see how it stands, {page}",
    SIGNED_OVER: "{name}, permit {permit} at {site} was signed as emergency work, dug without waiting for all owners' plans, on the decision of {decider}. "
    "That work is over. If that is not so, take it up with {issuer}, who issued it, and with your safety managers.\n\nTo see how it stands, {page}",
    DUE: "{name}, the emergency work by permit {permit} at {site} is over. Through {day} it is to be recorded which owners were told and what they answered, "
    "what was found, and what was damaged.\n\nTo record it, {address}",
    OVERDUE: "{name}, the emergency work by permit {permit} at {site} should have been followed up through {day}. Until that is recorded "
    "no other emergency permit of this site is signed.\n\nTo record it, {address}",
}


def tell(at: datetime) -> int:
    """Post the letters that are owed by now; how many were new. Never twice, however often and by however many it is asked."""
    owed = [(what, one) for one in work(Permit.objects.all(), at) for what in _owed(one, at)]
    if not owed:
        return 0
    managers = list(Person.objects.filter(roles__contains=SAFETY_MANAGER).order_by("pk"))
    with errand(WATCH, at, may_be_empty=True) as underway:
        return len(post_all(underway, [new for what, one in owed for new in _letters(what, one, managers)], at))


def _owed(one: Done, at: datetime) -> Iterator[str]:
    """What is to be told of it by now. That it was signed is told whatever else is due: a watch that runs once a day may find it over already."""
    if at < one.over_at:
        yield SIGNED
    elif one.accepted_at > at - NEWS:
        yield SIGNED_OVER
    if one.owed(at):
        yield OVERDUE if one.overdue(at) else DUE


def _letters(what: str, one: Done, managers: list[Person]) -> Iterator[New]:
    permit, decider = one.permit, one.permit.emergency.decided_by
    signed = what in (SIGNED, SIGNED_OVER)
    people = {person.pk: person for person in (decider, *managers, *([] if signed else [permit.issuer]))}
    said = {"permit": permit.pk, "site": permit.site.name, "day": one.last_day, "decider": decider.name, "issuer": permit.issuer.name}
    said |= {"address": at_page(reverse("follow_up", args=[permit.pk])), "page": at_page(reverse("permit", args=[permit.pk]))}
    for person in people.values():
        key = f"emergency/{SIGNED if signed else what}/{permit.pk}/{person.pk}"
        yield New(key, person, SUBJECTS[what].format(**said), TEXTS[what].format(name=person.name, **said), pressing=what != DUE)
