"""What lapses: everything that has a last good day ahead, with whom and which sites it concerns, gathered in a number of queries that does not grow with it."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef

from locates.desks.facts import LATELY
from locates.desks.own import all_of
from locates.instruments.models import Check
from locates.permits.facts import gather
from locates.permits.models import Permit, SignOff
from locates.permits.rules.answers import in_use
from locates.permits.rules.frame import Frame, framed
from locates.permits.rules.signing import ACCEPT
from locates.permits.since import still_open
from locates.rules import due
from locates.rules.fitness import Instrument
from locates.surveys.models import Locate
from locates.watch.rules.ahead import Thing
from locates.watch.rules.arrangement import ANSWERS, AWARDS, INSTRUMENTS, LOCATES, PERMITS
from records.firm.facts import posted_now
from records.firm.models import Person
from records.rules.cover import Span
from records.rules.dates import local_day
from records.rules.words import INSTRUMENT_KINDS, SUPERVISOR
from training.facts import rows_of
from training.rules.matrix import Row
from training.rules.standing import gap_before

MOMENT = timedelta(seconds=1)
NAMED = 3  # permits named with what they rest on


@dataclass(frozen=True, slots=True)
class About:
    """A thing, whom it is about, and at which sites it matters."""

    thing: Thing
    people: frozenset[str]
    sites: frozenset[str]


@dataclass
class Posted:
    """Who is posted where: sites by person, and by person the sites that they supervise."""

    sites: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    supervised: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))


def posted(at: datetime) -> Posted:
    found = Posted()
    for person, site, role in posted_now(at).values_list("person", "site", "role"):
        found.sites[person].add(site)
        if role == SUPERVISOR:
            found.supervised[person].add(site)
    return found


# people's authorisations


def awards(people: Iterable[Person], zones: dict[str, ZoneInfo], where: Posted, at: datetime) -> Iterator[About]:
    """What is in date now and ends, by the day of whom it is; not where its renewal is booked without a gap. Two queries for each zone."""
    by_zone: dict[ZoneInfo, list[Person]] = defaultdict(list)
    for one in people:
        by_zone[zones[one.pk]].append(one)
    for zone, some in by_zone.items():
        leaving = {one.pk: one.left_on for one in some}
        for row in rows_of(some, zone, at):
            yield from _awards_of(row, leaving[row.person], frozenset(where.sites.get(row.person, ())), local_day(at, zone))


def _awards_of(row: Row, leaves: date | None, sites: frozenset[str], today: date) -> Iterator[About]:
    alike: dict[tuple[str, date, date], list[str]] = defaultdict(list)
    for one in row.standings.values():
        renewed = one.booked and gap_before(one) is None
        if one.in_date and one.good_through is not None and one.good_through != leaves and not renewed:
            alike[one.award.award, one.award.awarded_on, one.good_through].append(one.thing)
    for (award, begins, last_day), things in alike.items():
        thing = Thing(AWARDS, f"{AWARDS}/{award}", begins, last_day, today, all_of(things), award, row.name)
        yield About(thing, frozenset([row.person]), sites)


# instruments


@dataclass(frozen=True)
class Using:
    """By instrument, who used or checked it lately, and at which sites locates named it lately."""

    people: dict[str, set[str]]
    sites: dict[str, set[str]]


def using(at: datetime) -> Using:
    """Two queries."""
    people, sites = defaultdict(set), defaultdict(set)
    lately = Locate.objects.filter(started_at__gte=at - LATELY, started_at__lte=at)
    for person, site, *kit in lately.values_list("operator", "site", *(f"{kind}_id" for kind in INSTRUMENT_KINDS)).distinct():
        for one in filter(None, kit):
            people[one].add(person)
            sites[one].add(site)
    for person, one in Check.objects.filter(checked_at__gte=at - LATELY, checked_at__lte=at).values_list("person", "instrument").distinct():
        people[one].add(person)
    return Using(people, sites)


def instruments(kit: dict[str, Instrument], used: Using, zone: ZoneInfo, at: datetime) -> Iterator[About]:
    """What instruments in service need and have, by the day in a zone."""
    today = local_day(at, zone)
    for key, one in kit.items():
        for need in due.needs(one, zone, at) if due.in_service(one, today) else ():
            if need.good and need.through is not None:
                says = f"{one.kind.capitalize()} {key}, {need.what.replace('_', '-')}"
                thing = Thing(INSTRUMENTS, f"{INSTRUMENTS}/{key}/{need.what}", _begun(one, need, zone, today), need.through, today, says)
                yield About(thing, frozenset(used.people.get(key, ())), frozenset(used.sites.get(key, ())))


def _begun(one: Instrument, need: due.Due, zone: ZoneInfo, today: date) -> date:
    """The day of what it rests on: the latest calibration or self-test by now."""
    made = [each.calibrated_on for each in one.calibrations] if need.what == due.CALIBRATION else [local_day(each.checked_at, zone) for each in one.checks]
    return max(day for day in made if day <= today)


# permits, and what they rest on


def digs(at: datetime) -> Iterator[About]:
    """Permits that both have signed, and the locates and owners' answers that open permits rest on: all by their sites' days."""
    accepted = Exists(SignOff.objects.filter(permit=OuterRef("pk"), meaning=ACCEPT))
    still = still_open(Permit.objects.annotate(accepted=accepted), at).order_by("permit")
    signed = set(still.filter(accepted=True).values_list("pk", flat=True))
    resting: dict[str, list[Frame]] = defaultdict(list)
    sites: dict[str, Frame] = {}
    for frame in (framed(evidence, at) for evidence in gather(still)):
        sites.setdefault(frame.evidence.site.site, frame)
        if frame.permit.permit in signed:
            yield _permit(frame)
        if frame.locate_span is not None and frame.locate_span.ends is not None:
            resting[frame.locate.locate].append(frame)
    yield from map(_locate, resting.values())
    for frame in sites.values():
        yield from _answers(frame)


def _about(frame: Frame, subject: str, key: str, span: Span, says: str, *people: str, name: str = "") -> About:
    site = frame.evidence.site
    thing = Thing(subject, f"{subject}/{key}", frame.day_of(span.begins), frame.day_of(span.ends - MOMENT), frame.today, says, name)
    return About(thing, frozenset(people), frozenset([site.site]))


def _permit(frame: Frame) -> About:
    one = frame.permit
    says = f"Permit {one.permit} at {frame.evidence.site.name}"
    return _about(frame, PERMITS, one.permit, Span(one.valid_from, one.valid_to), says, one.issuer.person, one.receiver.person)


def _locate(frames: list[Frame]) -> About:
    first, permits = frames[0], [frame.permit.permit for frame in frames]
    more = f" and {len(permits) - NAMED} more" if len(permits) > NAMED else ""
    says = f"Locate {first.locate.locate} at {first.evidence.site.name}, under {', '.join(permits[:NAMED])}{more}"
    return _about(first, LOCATES, first.locate.locate, first.locate_span, says, first.locate.operator.person)


def _answers(frame: Frame) -> Iterator[About]:
    for owed in in_use(frame):
        if owed.answered and owed.ends is not None:
            span, key = Span(owed.enquiry.answered_at, owed.ends), owed.enquiry.enquiry
            yield _about(frame, ANSWERS, key, span, f"{owed.owner} at {frame.evidence.site.name}", name=key)
