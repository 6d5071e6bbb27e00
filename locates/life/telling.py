"""Who is told that work was stopped, and how: a letter at once, and a note on the first page until it is dealt with."""

from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import QuerySet
from django.urls import reverse

from locates.life.facts import stops
from locates.life.models import Step
from records.firm.models import Person
from records.ledger.actions import Errand
from records.letters.actions import post
from records.letters.facts import at_page
from records.rules.dates import instant_says
from records.rules.words import SAFETY_MANAGER

STOPPED = (
    "{name}, {by} stopped the work of permit {permit} at {site} on {when}: {why} "
    "Nobody digs by it until its issuer has looked and resumed it. How it stands:\n\n{address}"
)


def tell_of_stop(underway: Errand, made: Step, root: str) -> None:
    """Write to the permit's issuer and to every safety manager, but not to whoever stopped it. `root`: where the site is open, if that is known."""
    site, permit = made.permit.site, made.permit_id
    when = instant_says(made.done_at, ZoneInfo(site.time_zone))
    words = {"by": made.printed_name, "permit": permit, "site": site.name, "when": when, "why": cause(made)}
    address = at_page(reverse("permit", args=[permit]), root)
    for person in heard(made):
        text = STOPPED.format(name=person.name, address=address, **words)
        post(underway, f"permit/{made}/{person.pk}", person, f"Permit {permit} was stopped", text, made.done_at)


def cause(made: Step) -> str:
    """Why the work was stopped, in a sentence."""
    return made.why or "something was found that is not on the plan."


def heard(made: Step) -> list[Person]:
    """The issuer and the safety managers who have not left, without whoever stopped it."""
    found = Person.objects.filter(roles__contains=SAFETY_MANAGER) | Person.objects.filter(pk=made.permit.issuer_id)
    return [one for one in found.exclude(pk=made.person_id).order_by("pk") if not one.has_left(made.done_at)]


def notes(person: Person) -> list[dict[str, Any]]:
    """The stops that wait for this person: as issuer of the permit, or as safety manager."""
    every: QuerySet[Step] = stops()
    mine = every if SAFETY_MANAGER in person.roles else every.filter(permit__issuer=person.pk)
    return [
        {
            "permit": one.permit_id,
            "site": one.permit.site.name,
            "by": one.printed_name,
            "why": cause(one),
            "when": instant_says(one.done_at, ZoneInfo(one.permit.site.time_zone)),
        }
        for one in mine
    ]
