"""Who may do what: roles and how far each of them reaches, as data, and the one helper that fetches and authorises together."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Protocol, TypeVar

from django.db.models import Model, Q, QuerySet
from django.http import Http404
from django.shortcuts import get_object_or_404

from records.rules.words import OPERATOR, SAFETY_MANAGER, SUPERVISOR

ALL, POSTED, OWN, NONE = "all", "posted", "own", "none"
WIDEST = (ALL, POSTED, OWN, NONE)

EVERYONE = ("", OPERATOR, SUPERVISOR, SAFETY_MANAGER)
PLAIN = dict.fromkeys(EVERYONE[1:], ALL)  # of the firm as a whole, and about nobody
OWN_OR_POSTED = {"": OWN, SUPERVISOR: POSTED, SAFETY_MANAGER: ALL}
AT_SITES = {OPERATOR: POSTED, SUPERVISOR: POSTED, SAFETY_MANAGER: ALL}
OFFICE = {SAFETY_MANAGER: ALL}
SEARCHES = ("locate", "sweep", "trace", "outcome", "trialhole", "report", "log", "fieldsheet", "fix")
OWN_SEARCHES = {OPERATOR: OWN, SUPERVISOR: POSTED, SAFETY_MANAGER: ALL}  # at which sites an operator may begin one, their postings say

# For each act how far a role reaches: all records, those of the sites to which the person is posted in that role (and their own),
# or only those that they are named on. Someone without a role still sees what bears their name. Who signs is not a role's matter:
# the permit names them. An act upon records is named by what the history calls such a record.
REACH: dict[str, dict[str, str]] = {
    "permit.see": OWN_OR_POSTED,
    "permit.print": OWN_OR_POSTED,
    "permit.enter": {SUPERVISOR: POSTED, SAFETY_MANAGER: ALL},
    "followup.enter": OWN_OR_POSTED,
    "site.see": {"": OWN, **AT_SITES},
    "site.enter": OFFICE,
    "grid.see": AT_SITES,
    "grid.enter": OFFICE,
    "person.see": OWN_OR_POSTED,
    "person.enter": OFFICE,
    "posting.see": OWN_OR_POSTED,
    "posting.enter": OFFICE,
    "rule.see": PLAIN,
    "rule.enter": OFFICE,
    "course.see": PLAIN,
    "course.enter": OFFICE,
    "need.see": PLAIN,
    "need.enter": OFFICE,
    "award.see": OWN_OR_POSTED,
    "award.enter": OFFICE,
    "instrument.see": PLAIN,
    "instrument.enter": OFFICE,
    "calibration.see": PLAIN,
    "calibration.enter": OFFICE,
    "check.see": PLAIN,
    "check.enter": {OPERATOR: OWN, SUPERVISOR: OWN, SAFETY_MANAGER: ALL},  # nobody signs for another
    "enquiry.see": AT_SITES,
    "enquiry.enter": {SUPERVISOR: POSTED, SAFETY_MANAGER: ALL},
    "wrongplan.see": AT_SITES,
    "wrongplan.enter": {SUPERVISOR: POSTED, SAFETY_MANAGER: ALL},
    "recall.see": PLAIN,
    "recall.decide": OFFICE,
    "planservice.see": AT_SITES,
    "planservice.enter": {SUPERVISOR: POSTED, SAFETY_MANAGER: ALL},
    "plannedline.see": AT_SITES,
    "plannedline.enter": {SUPERVISOR: POSTED, SAFETY_MANAGER: ALL},
    "ownerneed.see": PLAIN,
    "ownerneed.enter": OFFICE,
    "rating.see": AT_SITES,
    "rating.enter": {SUPERVISOR: POSTED, SAFETY_MANAGER: ALL},
    "owneragreement.see": AT_SITES,
    "owneragreement.enter": {SUPERVISOR: POSTED, SAFETY_MANAGER: ALL},
    **{f"{kind}.see": OWN_OR_POSTED for kind in SEARCHES},
    **{f"{kind}.enter": OWN_SEARCHES for kind in SEARCHES},
    "layout.see": PLAIN,
    "layout.enter": OFFICE,
    "history.see": OFFICE,
    "arranged.enter": OFFICE,
    "letter.see": {"": OWN, SAFETY_MANAGER: ALL},
    "agreement.see": OFFICE,
    "diary.see": {SUPERVISOR: POSTED, SAFETY_MANAGER: ALL},
    "cover.see": {SUPERVISOR: POSTED, SAFETY_MANAGER: ALL},
}

Found = TypeVar("Found", bound=Model)


class Visitor(Protocol):
    """Whoever is signed in. `posts` gives the keys of the sites to which they are posted in the role at the instant."""

    pk: Any
    roles: tuple[str, ...]

    def posts(self, role: str, at: datetime) -> Any: ...


@dataclass(frozen=True, slots=True)
class Ties:
    """By which lookups records of a kind name people, and by which their site. None: they name none."""

    people: tuple[str, ...] = ()
    site: str = ""


def reaches(person: Visitor, act: str) -> dict[str, str]:
    """How far each of the person's roles reaches for the act; the role "" is everyone's. Raises KeyError for an act that is not in the table."""
    return {role: REACH[act].get(role, NONE) for role in ("", *person.roles)}


def reach(person: Visitor, act: str) -> str:
    """The widest reach that any of the person's roles gives for the act."""
    given = set(reaches(person, act).values())
    return next(one for one in WIDEST if one in given)


def may(person: Visitor, act: str) -> bool:
    """Does any of the person's roles reach anything for the act?"""
    return reach(person, act) != NONE


def within(rows: QuerySet[Found], person: Visitor, act: str, ties: Ties, at: datetime) -> QuerySet[Found]:
    """The rows that the person may do this to at the instant."""
    given = reaches(person, act)
    if ALL in given.values():
        return rows
    theirs = Q(pk__in=[])
    for role, how_far in given.items():
        theirs |= _theirs(person, role, how_far, ties, at)
    # by their keys: someone named twice on a record still sees it once
    return rows.filter(pk__in=rows.model._default_manager.filter(theirs).values("pk"))


def _theirs(person: Visitor, role: str, how_far: str, ties: Ties, at: datetime) -> Q:
    """What one of the person's roles reaches, short of everything."""
    found = Q(pk__in=[])
    if how_far in (OWN, POSTED):
        for lookup in ties.people:
            found |= Q(**{lookup: person.pk})
    if how_far == POSTED and ties.site:
        found |= Q(**{f"{ties.site}__in": person.posts(role, at)})
    return found


def sites_within(sites: QuerySet[Found], person: Visitor, act: str, at: datetime) -> QuerySet[Found]:
    """The sites at which the person may do this: those they are posted to in a role that reaches anything for the act, or all."""
    given = reaches(person, act)
    if ALL in given.values():
        return sites
    theirs = Q(pk__in=[])
    for role, how_far in given.items():
        if role and how_far != NONE:
            theirs |= Q(pk__in=person.posts(role, at))
    return sites.filter(theirs)


def fetch(rows: QuerySet[Found], person: Visitor, act: str, ties: Ties, key: Any, at: datetime) -> Found:
    """The record with this key, if the person may do this to it. To anyone else it is not there: Http404."""
    if "\0" in str(key):  # no key holds one, and PostgreSQL takes it for an error
        raise Http404
    return get_object_or_404(within(rows, person, act, ties, at), pk=key)
