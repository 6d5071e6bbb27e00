"""Posting letters, inside the errand of what they tell of, and sending them afterwards."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from records.firm.models import Person
from records.ledger.actions import Errand
from records.ledger.chain import digest
from records.letters.models import Letter
from records.letters.rules import SIGNED, one_line
from records.letters.sending import send_out

A_FEW = 50
LONGEST_KEY = 200


@dataclass(frozen=True, slots=True)
class New:
    """A letter to be: `key` tells it from every other, for ever. `text`: without the closing line, which every letter has.

    `pressing`: it goes before those that are not.
    """

    key: str
    person: Person
    subject: str
    text: str
    pressing: bool = True


def post(underway: Errand, key: str, person: Person, subject: str, text: str, at: datetime) -> bool:
    """Write to the person, once under this key; whether that is new. It stands or falls with the errand, and goes when letters are sent next.

    Whoever has left gets none. Without an address on record it stands as such, and goes nowhere.
    """
    return bool(post_all(underway, [New(key, person, subject, text)], at))


def post_all(underway: Errand, some: Iterable[New], at: datetime) -> list[Letter]:
    """The same of any number of letters; those that are new."""
    asked = {_short(one.key): one for one in some if not one.person.has_left(at)}
    known = set(Letter.objects.filter(key__among=list(asked)).values_list("key", flat=True)) if asked else set()
    return Letter.objects.bulk_create([_letter(key, one, at) for key, one in asked.items() if key not in known])


def _short(key: str) -> str:
    """The key as it is stored: a long one, which may hold the name of an owner, by its digest."""
    return key if len(key) <= LONGEST_KEY else digest(key)


def _letter(key: str, one: New, at: datetime) -> Letter:
    said = {"subject": one_line(one.subject), "text": one.text + SIGNED, "pressing": one.pressing}
    return Letter(key=key, person=one.person, address=one.person.email.strip(), posted_at=at, **said)


def deliver(at: datetime, limit: int = A_FEW) -> Counter[str]:
    """Send the letters that wait, so many at most; how many came to stand how, by the states of `records.letters.rules`.

    Never inside an errand: each letter is taken, and that committed, before it is sent. Any number of deliverers at once is safe.
    """
    return send_out(at, limit)
