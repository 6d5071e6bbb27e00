"""Acts upon people."""

from datetime import datetime

from records.firm import visits
from records.firm.factor import new_recovery_codes, recovery_digest
from records.firm.models import Person, RecoveryCode, SecondFactor
from records.ledger.actions import errand
from records.ledger.chain import Actor

DOOR = Actor("", "sign-in page")


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


class AlreadySetUp(Exception):
    """What comes once is there already: the first person of all, or somebody's second factor."""


def set_up(person: Person, password: str, at: datetime) -> Person:
    """Record the first person of all, with their password. Raises AlreadySetUp where there is one."""
    with errand(actor(person), at) as underway:
        if Person.objects.exists():
            raise AlreadySetUp
        person.recorded_at = at
        person.set_password(password)
        person.save(force_insert=True)
        told = {"name": person.name, "email": person.email, "roles": ";".join(person.roles)}
        underway.write("person.recorded", "person", person.pk, str(person), at, after=told, why="the first person of all")
    return person


def invited(person: Person, by: Person, how: str, at: datetime) -> None:
    """Note that somebody was sent, or handed, an address at which to choose a password. The address itself is kept nowhere."""
    with errand(actor(by), at) as underway:
        underway.write("person.invited", "person", person.pk, str(person), at, after={"how": how})


def asked_for_password(person: Person, at: datetime) -> None:
    """Note that a new password was asked for at the door, and that the person was written to."""
    with errand(DOOR, at) as underway:
        underway.write("person.password_asked", "person", person.pk, str(person), at)


# the second factor


def confirm_factor(person: Person, salt: str, at: datetime) -> tuple[SecondFactor, list[str]]:
    """Put the second factor in use of which the person has just shown a code; gives it and its recovery codes, told this once. Raises AlreadySetUp."""
    codes = new_recovery_codes()
    with errand(actor(person), at) as underway:
        if SecondFactor.objects.filter(person=person, ended_at=None).exists():
            raise AlreadySetUp
        made = SecondFactor.objects.create(person=person, salt=salt, recorded_at=at)
        RecoveryCode.objects.bulk_create([RecoveryCode(factor=made, digest=recovery_digest(made, one), recorded_at=at) for one in codes])
        underway.write("person.second_factor.confirmed", "person", person.pk, str(person), at)
    return made, codes


def use_recovery_code(factor: SecondFactor, code: str, person: Person, at: datetime) -> bool:
    """Is it one of the codes, and not used before? Then it is used up, and the history tells so."""
    with errand(actor(person), at, may_be_empty=True) as underway:
        used = RecoveryCode.objects.filter(factor=factor, digest=recovery_digest(factor, code), used_at=None).update(used_at=at)
        if used:
            underway.write("person.recovery_code.used", "person", person.pk, str(person), at)
    return bool(used)


def end_factor(person: Person, by: Person, why: str, at: datetime) -> bool:
    """Take the second factor away; was there one?"""
    with errand(actor(by), at, may_be_empty=True) as underway:
        ended = SecondFactor.objects.filter(person=person, ended_at=None).update(ended_at=at)
        if ended:
            underway.write("person.second_factor.ended", "person", person.pk, str(person), at, why=why)
    return bool(ended)


def end_visits(person: Person, by: Person, at: datetime) -> int:
    """Sign somebody out wherever they are signed in, and note who did. How many sessions there were."""
    with errand(actor(by), at) as underway:
        ended = visits.end(visits.open_visits(person, at), at)
        underway.write("person.signed_out_everywhere", "person", person.pk, str(person), at, after={"sessions": ended})
    return ended
