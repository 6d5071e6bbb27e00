"""Who is told that work was stopped or is over, or that something ran out: a letter at once; and of a stop a note on the first page until it is dealt with."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from datetime import UTC
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import QuerySet
from django.urls import reverse

from locates.life.facts import lives, stops
from locates.life.models import Step
from locates.life.rules.acts import FORBID, TIME_UP
from locates.life.rules.story import Life
from locates.permits.models import Permit
from records.firm.models import Person
from records.ledger.actions import Errand
from records.letters.actions import New, post, post_all
from records.letters.facts import at_page
from records.letters.rules import KEPT_TRYING
from records.rules.dates import instant_says
from records.rules.verdict import Finding
from records.rules.words import SAFETY_MANAGER

STOPPED = (
    "{name}, {by} stopped the work of permit {permit} at {site} on {when}: {why} "
    "Nobody digs by it until its issuer has looked and resumed it.\n\nTo see how it stands, {address}"
)
UNDONE_SAYS = (
    "{name}, permit {permit} at {site} is suspended since {when}, for what it rests on does not hold any more: {why} "
    "Nobody digs by it until that is mended and its issuer has looked and resumed it.\n\nTo see how it stands, {address}"
)
OVER_SAYS = (
    "{name}, the time of permit {permit} at {site} ended on {ends}. Nobody digs by it any more; {receiver} to hand it back.\n\nTo see how it stands, {address}"
)
WITHDRAWN_SAYS = (
    "{name}, {by} withdrew permit {permit} at {site} on {when}, before you accepted it. Why: {why} Nobody digs by it.\n\nTo see how it stands, {address}"
)
RAN_OUT_SAYS = (
    "{name}, since permit {permit} at {site} was last signed, something that it rests on has run out: {why} Its locate stands, and the permit goes on "
    "to its end, {ends}; but nothing more is signed upon it until that is mended. {remedy}\n\nTo see how it stands, {address}"
)


def on_it(life: Life) -> set[str]:
    """Everyone on the permit: its issuer, whoever holds it or is to take it over, its crew, the operator of its locate."""
    return {life.issuer, life.receiver, life.named, *life.others} - {""}


def tell_unaided(underway: Errand, made: Step, life: Life, root: str) -> None:
    """Write to everyone on the permit what the watch did with it by itself; of an end that is no news any more, nothing."""
    site, permit = made.permit.site, made.permit_id
    zone = ZoneInfo(site.time_zone)
    words = {"permit": permit, "site": site.name, "why": made.why, "when": instant_says(made.done_at, zone), "ends": instant_says(life.ends, zone)}
    words["address"] = at_page(reverse("permit", args=[permit]), root)
    told = Person.objects.filter(person__among=on_it(life))
    if made.act == TIME_UP:
        words["receiver"] = f"{Person.objects.get(pk=life.receiver).name} is"
        subject, says = f"The time of permit {permit} is over", OVER_SAYS
        told = told if made.done_at - life.ends < KEPT_TRYING else told.none()
    else:
        subject, says = f"Permit {permit} is suspended", UNDONE_SAYS
        told |= managers()
    own = {life.receiver: {"receiver": "you are"}}
    new = ((one, says.format_map(words | {"name": one.name} | own.get(one.pk, {}))) for one in told.order_by("pk"))
    post_all(underway, [New(f"permit/{made}/{one.pk}", one, subject, text) for one, text in new], made.done_at)


def tell_of_withdrawal(underway: Errand, made: Step, root: str) -> None:
    """Write to whoever was to accept the permit."""
    row = made.permit
    words = {
        "by": made.printed_name,
        "permit": row.pk,
        "site": row.site.name,
        "why": made.why,
        "when": instant_says(made.done_at, ZoneInfo(row.site.time_zone)),
    }
    text = WITHDRAWN_SAYS.format(name=row.receiver.name, address=at_page(reverse("permit", args=[row.pk]), root), **words)
    post(underway, f"permit/{made}/{row.receiver_id}", row.receiver, f"Permit {row.pk} is withdrawn", text, made.done_at)


def managers() -> QuerySet[Person]:
    return Person.objects.filter(roles__contains=SAFETY_MANAGER)


def of_running_out(permit: Permit, life: Life, ran_out: Iterable[Finding], to: Collection[Person], root: str) -> Iterator[New]:
    """The letters that tell these people of what merely ran out: once, however often it is looked at. The permit comes with its site.

    Of an award that ran out for several techniques at once there is one letter.
    """
    words = {"permit": permit.pk, "site": permit.site.name, "ends": instant_says(life.ends, ZoneInfo(permit.site.time_zone))}
    words["address"] = at_page(reverse("permit", args=[permit.pk]), root)
    subject = f"Something that permit {permit.pk} rests on has run out"
    for (code, whose, since), some in _alike(ran_out).items():
        said = {"why": " ".join(one.says for one in some), "remedy": some[0].remedy}
        for person in to:
            yield New(f"permit/{permit.pk}/{code}/{whose}/{since}/{person.pk}", person, subject, RAN_OUT_SAYS.format(name=person.name, **words, **said))


def _alike(ran_out: Iterable[Finding]) -> dict[tuple[str, str, str], list[Finding]]:
    """By what ran out, whose it is and since when."""
    found: dict[tuple[str, str, str], list[Finding]] = defaultdict(list)
    for one in ran_out:
        since = one.since.astimezone(UTC).strftime("%Y%m%d%H%M") if one.since else ""
        found[one.code, one.subject.partition("/")[0], since].append(one)
    return found


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
    return f"{made.why.rstrip('.')}." if made.why else "something was found that is not on the plan."


def heard(made: Step) -> list[Person]:
    """The issuer and the safety managers who have not left, without whoever stopped it; if that was the office, everyone on the permit."""
    found = managers() | Person.objects.filter(pk=made.permit.issuer_id)
    if made.act == FORBID:
        found |= Person.objects.filter(person__among=on_it(lives([made.permit], made.done_at)[made.permit_id]))
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
