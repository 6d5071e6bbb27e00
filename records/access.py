"""Who may do what: roles and how far each of them reaches, as data, and the one helper that fetches and authorises together."""

from typing import Protocol, TypeVar

from django.db.models import Model, Q, QuerySet
from django.http import Http404
from django.shortcuts import get_object_or_404

from records.rules.words import OPERATOR, SAFETY_MANAGER, SUPERVISOR

ALL, OWN, NONE = "all", "own", "none"
WIDEST = (ALL, OWN, NONE)

# For each act how far a role reaches: all records, or only those that the person is named on.
# Someone without a role still sees what bears their name. Who signs is not a role's matter: the permit names them.
REACH: dict[str, dict[str, str]] = {
    "permit.see": {"": OWN, OPERATOR: OWN, SUPERVISOR: ALL, SAFETY_MANAGER: ALL},
    "registers.see": {SAFETY_MANAGER: ALL},
}

Found = TypeVar("Found", bound=Model)


class Visitor(Protocol):
    """Whoever is signed in."""

    roles: tuple[str, ...]


def reach(person: Visitor, act: str) -> str:
    """The widest reach that any of the person's roles gives for the act."""
    given = {REACH[act].get(role, NONE) for role in ("", *person.roles)}
    return next(one for one in WIDEST if one in given)


def within(rows: QuerySet[Found], person: Visitor, act: str, own: Q) -> QuerySet[Found]:
    """The rows that the person may do this to; `own` picks those that they are named on."""
    widest = reach(person, act)
    if widest == ALL:
        return rows
    # by their keys: someone named twice on a record still sees it once
    return rows.filter(pk__in=rows.model.objects.filter(own).values("pk")) if widest == OWN else rows.none()


def fetch(rows: QuerySet[Found], person: Visitor, act: str, own: Q, key: str) -> Found:
    """The record with this key, if the person may do this to it. To anyone else it is not there: Http404."""
    if "\0" in key:  # no key holds one, and PostgreSQL takes it for an error
        raise Http404
    return get_object_or_404(within(rows, person, act, own), pk=key)
