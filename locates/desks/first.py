"""A person's first page: for each of their roles, what that role asks first."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.conf import settings
from django.urls import reverse
from django.utils.module_loading import import_string

from locates.desks import exposure, facts, own
from locates.fieldwork import facts as fieldwork
from locates.life.telling import notes
from locates.lookovers import facts as diaries
from locates.permits import following_up, lists
from records.access import may
from records.firm.models import Person
from records.rules.dates import day_says, local_day
from records.rules.words import OPERATOR, SAFETY_MANAGER, SUPERVISOR

TODAY, HELD, COMING = "today", "held", "coming"
SHOWN = {TODAY: 20, HELD: 10, COMING: 5}
GROUPS = {lists.TODAY: TODAY, **dict.fromkeys(lists.WAITING, HELD), lists.COMING: COMING}
SHOWN_DATES = 5
FEW = 3  # so many permits of today can be seen at one look
KEPT_DAYS = 7  # as kept.js has it
MOST_PERMITS = 50


def page(person: Person, at: datetime, data: Mapping[str, Any]) -> dict[str, Any]:
    """Everything that the page shows. `data`: what its address asks for."""
    shown: dict[str, Any] = {"today": day_says(local_day(at, facts.own_zone(person, at)))}
    shown |= {"may_prepare": may(person, "permit.enter"), "digging": set(person.roles) != {SAFETY_MANAGER}}
    shown |= {"stops": notes(person), "may_diaries": may(person, diaries.SEE)}
    shown["parts"] = [part for name in settings.FIRST_PAGE_PARTS if (part := import_string(name)(person, at)) is not None]
    shown["follow_ups"] = following_up.owed_to(person, at)
    if shown["digging"]:
        shown |= digs(person, at)
    if OPERATOR in person.roles or not set(person.roles) & {SUPERVISOR, SAFETY_MANAGER}:
        shown |= dates(person, at) | {"dates_shown": True, "dates_first": OPERATOR in person.roles and SUPERVISOR not in person.roles}
    if SAFETY_MANAGER in person.roles:
        shown["exposure"] = exposure.page(person, at, data)
        shown["unlooked"] = diaries.unlooked(lists.visible(person, at).filter(accepted=True), at)
    return shown


def digs(person: Person, at: datetime) -> dict[str, Any]:
    """The permits that the person may see: those of today, those that are held or to be closed, and the next to come."""
    every = lists.chosen(lists.visible(person, at), {}, at).filter(place__in=GROUPS)
    names: dict[str, list[str]] = {group: [] for group in SHOWN}
    for name, place in every.values_list("pk", "place"):
        names[GROUPS[place]].append(name)
    shown = [name for group, most in SHOWN.items() for name in names[group][:most]]
    found: dict[str, list[lists.Line]] = {group: [] for group in SHOWN}
    # judged together: what they share is gathered once
    for one in lists.lines(every.filter(permit__among=shown), at, person):
        found[GROUPS[one.permit.place]].append(one)
    lines = sorted(found[TODAY], key=lambda one: one.stands)
    counts = {f"{group}_count": len(some) for group, some in names.items()}
    return {"lines": lines, "at_a_glance": _at_a_glance(lines) if len(lines) > FEW else [], HELD: found[HELD], COMING: found[COMING], **counts}


def _at_a_glance(lines: list[lists.Line]) -> list[tuple[str, str, list[str]]]:
    """Under each word and its mark the permits that stand so, those first that stand: among many, whoever asks "may we dig" has not to search for it."""
    found: dict[tuple[str, str], list[str]] = {}
    for one in sorted(lines, key=lambda one: not one.stands):
        stands = (f"{one.word}, look-over owed", "mind") if one.owing and one.stands else (one.word, "go" if one.stands else "stop")
        found.setdefault(stands, []).append(one.permit.pk)
    return [(word, mark, these) for (word, mark), these in found.items()]


def dates(person: Person, at: datetime) -> dict[str, Any]:
    """The person's own dates, the next to lapse first, and their instruments."""
    known = facts.own(person, at)
    today = own.as_of(at, known)
    return {"dates": own.lines(known, today)[:SHOWN_DATES], "tools": own.tools(known, today)}


def along(person: Person, at: datetime) -> list[str]:
    """The addresses of what the person's phone may take along: their first page and dates, their locates, their own permits of today and to come,
    and the look-overs of those that they may make.
    """
    permits = list(lists.own_ahead(person, at).values_list("pk", flat=True)[:MOST_PERMITS])
    mine = [reverse("home"), reverse("phone"), reverse("mine")]
    theirs = [reverse("permit", args=[one]) for one in permits]
    return [*mine, *fieldwork.along(person, at), *theirs, *(reverse("look_over", args=[one]) for one in diaries.open_to(permits, person, at))]
