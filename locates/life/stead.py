"""Who may act on a permit that does not name them: the safety managers, and whoever acts in the place of a receiver or issuer who is gone."""

from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

from locates.life.facts import lives, steps_of
from locates.life.rules.acts import CANCEL_FOR, HANDING_BACK
from locates.life.rules.stead import ISSUES, RECEIVES, THINGS, WAIT_FOR, fit, gone
from locates.life.rules.story import Life, may_come
from locates.permits.facts import people_of
from locates.permits.models import Permit
from records.access import sites_within
from records.firm.models import Person, Site
from records.rules.words import SAFETY_MANAGER

REACH = "permit.enter"


def life_for(permit: Permit, person: Person, at: datetime) -> Life:
    """How the permit stands at the instant, and whether this person may act on it for the office, or stand in for whose turn it is."""
    return for_whom(lives([permit], at)[permit.pk], permit, person, at)


def for_whom(life: Life, permit: Permit, person: Person, at: datetime) -> Life:
    """The life, with the person as what they are to it beside what it names them."""
    ours = SAFETY_MANAGER in person.roles and not person.has_left(at)
    return with_stand_in(replace(life, office=frozenset({person.pk})) if ours else life, permit, person, at)


def with_stand_in(life: Life, permit: Permit, person: Person, at: datetime) -> Life:
    """The life, with the person among its stand-ins if they may be: whose turn it is is gone, and they are the safety manager, or authorised for it.

    They reach the site, are neither the issuer nor the receiver, and do not cancel what they handed back.
    """
    act = next((name for name in THINGS if may_come(life, name)), "")
    if not act or person.pk in (life.issuer, life.receiver) or not sites_within(Site.objects.filter(pk=permit.site_id), person, REACH, at).exists():
        return life
    if act == CANCEL_FOR and any(one.person_id == person.pk for one in steps_of([permit.pk])[permit.pk] if one.act in HANDING_BACK):
        return life
    missing = life.receiver if THINGS[act] == RECEIVES else life.issuer
    zone, people = ZoneInfo(permit.site.time_zone), people_of({person.pk, missing})
    able = (SAFETY_MANAGER in person.roles and not person.has_left(at)) or fit(people[person.pk], THINGS[act], zone, at)
    return replace(life, stand_ins=frozenset({person.pk})) if able and gone(people[missing], THINGS[act], zone, at) else life


def absent(permit: Permit, life: Life, at: datetime) -> dict[str, str]:
    """By the thing they are authorised for, the names of those whom the permit waits for in this state, and who are gone."""
    zone, parts = ZoneInfo(permit.site.time_zone), {ISSUES: life.issuer, RECEIVES: life.receiver}
    waits = {thing: parts[thing] for thing in WAIT_FOR.get(life.state, ())}
    people = people_of(set(waits.values())) if waits else {}
    return {thing: people[one].name for thing, one in waits.items() if gone(people[one], thing, zone, at)}
