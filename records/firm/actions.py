"""Acts upon people."""

from collections.abc import Iterable
from datetime import datetime

from django.contrib.auth.hashers import make_password
from django.contrib.auth.tokens import default_token_generator

from records.firm import factor, visits
from records.firm.factor import new_recovery_codes, recovery_digest
from records.firm.models import Person, RecoveryCode, SecondFactor, WayIn
from records.ledger.actions import Errand, errand
from records.ledger.chain import Actor, digest, instant

DOOR = Actor("", "sign-in page")


def actor(person: Person) -> Actor:
    """The person as the history names them."""
    return Actor(person.person, person.name)


def set_password(person: str, password: str, by: Actor, at: datetime) -> Person:
    """Give the person a new password. The history tells that it was done, never the password nor its hash. Raises Person.DoesNotExist."""
    with errand(by, at) as underway:
        found = Person.objects.get(person=person)
        _renew(underway, found, password)
    return found


def set_one_password(people: Iterable[Person], password: str, by: Actor, at: datetime) -> None:
    """Give several people the same new password, as the demo firm's is. It is hashed once, for a hash takes its time: so they also share its salt."""
    hashed = make_password(password)
    with errand(by, at) as underway:
        for person in people:
            person.password = hashed
            _told_of_new(underway, person)


def _renew(underway: Errand, person: Person, password: str) -> None:
    person.set_password(password)
    _told_of_new(underway, person)


def _told_of_new(underway: Errand, person: Person) -> None:
    person.save(update_fields=["password"])
    underway.write("person.set_password", "person", person.pk, str(person), underway.at)


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


# addresses at which a password is chosen


class NoLongerGood(Exception):
    """The address was used, is too old, or the person's password was changed since."""


def invited(person: Person, by: Person, how: str, token: str, at: datetime) -> WayIn:
    """Note that somebody was sent, or handed, an address at which to choose a password. The address itself is kept nowhere."""
    with errand(actor(by), at) as underway:
        made = _way_in(underway, person, how, token)
        underway.write("person.invited", "person", person.pk, str(person), at, after={"how": how})
    return made


def asked_for_password(person: Person, token: str, at: datetime) -> WayIn:
    """Note that a new password was asked for at the door, and that the person was written to."""
    with errand(DOOR, at) as underway:
        made = _way_in(underway, person, f"asked for at the door, by mail to {person.email}", token)
        underway.write("person.password_asked", "person", person.pk, str(person), at)
    return made


def _way_in(underway: Errand, person: Person, how: str, token: str) -> WayIn:
    by = underway.by
    return WayIn.objects.create(person=person, digest=digest(token), how=how, by_id=by.id, by_name=by.name, recorded_at=underway.at)


def opened(person: Person, token: str, at: datetime) -> None:
    """Note that an address was opened, the first time that it is."""
    with errand(DOOR, at, may_be_empty=True) as underway:
        if WayIn.objects.filter(person=person, digest=digest(token), opened_at=None).update(opened_at=at):
            underway.write("person.way_in.opened", "person", person.pk, str(person), at)


def choose_password(person: Person, token: str, password: str, at: datetime) -> None:
    """Give the person a new password at an address, which is then used up. Raises NoLongerGood; looked at inside, so that of two at once one comes."""
    with errand(actor(person), at) as underway:
        found = Person.objects.get(pk=person.pk)
        if not default_token_generator.check_token(found, token):
            raise NoLongerGood
        WayIn.objects.filter(person=found, digest=digest(token)).update(used_at=at)
        _renew(underway, found, password)


def disown(way: WayIn, password: str, at: datetime) -> Person:
    """The person says that it was not them who opened an address made for them: every session of theirs ends, and they have a new password."""
    with errand(actor(way.person), at) as underway:
        found = Person.objects.get(pk=way.person_id)
        WayIn.objects.filter(pk=way.pk).update(disowned_at=at)
        ended = visits.end(visits.open_visits(found, at), at)
        told = {"made_by": way.by_id or way.by_name, "made_at": instant(way.recorded_at), "how": way.how, "sessions": ended}
        underway.write("person.way_in.disowned", "person", found.pk, str(found), at, after=told)
        _renew(underway, found, password)
    return found


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


def spend_code(underway: Errand, person: Person, code: str) -> bool:
    """Is it a code of the person's second factor or one of their recovery codes, and not used before? Then it is used up with the errand, or not at all."""
    theirs = factor.of(person)
    if theirs is None:
        return False
    if factor.proven(theirs, code, underway.at):
        return True
    used = RecoveryCode.objects.filter(factor=theirs, digest=recovery_digest(theirs, code), used_at=None).update(used_at=underway.at)
    if used:
        underway.write("person.recovery_code.used", "person", person.pk, str(person), underway.at)
    return bool(used)


def use_code(person: Person, code: str, at: datetime) -> bool:
    """Spend a code for itself: to come in, or to change the sign-in."""
    with errand(actor(person), at, may_be_empty=True) as underway:
        return spend_code(underway, person, code)


def renew_recovery_codes(person: Person, at: datetime) -> list[str]:
    """New recovery codes, told this once; those from before are good no longer. Raises SecondFactor.DoesNotExist."""
    codes = new_recovery_codes()
    with errand(actor(person), at) as underway:
        theirs = SecondFactor.objects.get(person=person, ended_at=None)
        RecoveryCode.objects.filter(factor=theirs, used_at=None).update(used_at=at)
        RecoveryCode.objects.bulk_create([RecoveryCode(factor=theirs, digest=recovery_digest(theirs, one), recorded_at=at) for one in codes])
        underway.write("person.recovery_codes.renewed", "person", person.pk, str(person), at)
    return codes


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
