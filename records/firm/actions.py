"""Acts upon people."""

from datetime import datetime

from records.firm.models import Person
from records.ledger.actions import errand
from records.ledger.chain import Actor


def actor(person: Person) -> Actor:
    """The person as the history names them."""
    return Actor(person.person, person.name)


def set_password(person: str, password: str, by: Actor, at: datetime) -> Person:
    """Give the person a new password. The history tells that it was done, never the password nor its hash. Raises Person.DoesNotExist."""
    with errand(by, at) as underway:
        found = Person.objects.get(person=person)
        found.set_password(password)
        found.save(update_fields=["password"])
        underway.write("person.set_password", "person", found.person, str(found), at)
    return found
