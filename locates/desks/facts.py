"""What a person's own page and calendar show, gathered in a fixed number of queries."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Max, Q

from locates.desks.models import FeedKey
from locates.desks.practice import Practice, practice
from locates.instruments.facts import histories
from locates.instruments.models import Check
from locates.permits.models import Permit
from locates.permits.since import still_open
from locates.rules import due
from locates.rules.fitness import Instrument
from locates.surveys.models import Locate
from records.files.facts import current
from records.files.models import Attachment
from records.firm.facts import lead_days, own_zone
from records.firm.models import Person, Site
from records.ledger.chain import digest
from records.ledger.models import Entry
from records.rules.dates import local_day
from records.rules.words import INSTRUMENT_KINDS
from training.facts import awards_of
from training.models import Award
from training.rules.standing import Standing, standings

LATELY = timedelta(days=90)


@dataclass(frozen=True)
class Kit:
    """An instrument that the person used or checked lately, what it needs, and its latest check today."""

    instrument: Instrument
    needs: list[due.Due]
    today: str
    in_service: bool


@dataclass(frozen=True)
class Proof:
    """What an award's certificate is: its file or files, and who assessed."""

    assessor: str
    files: list[Attachment]


@dataclass(frozen=True)
class Own:
    """All that a person's own page shows, as of an instant, in the zone where they read it."""

    person: Person
    at: datetime
    zone: ZoneInfo
    lead: int
    standings: dict[str, Standing]
    proofs: dict[str, Proof]
    kit: list[Kit]
    practice: Practice

    @property
    def held(self) -> list[Standing]:
        """What they were ever awarded, the next to lapse first; what lapsed already before all."""
        far = date.max
        return sorted((one for one in self.standings.values() if one.held), key=lambda one: (one.in_date, one.good_through or far))


def own(person: Person, at: datetime) -> Own:
    zone = own_zone(person, at)
    stands = standings(awards_of([person.pk]).get(person.pk, ()), person.left_on, zone, at)
    return Own(person, at, zone, lead_days(person, at), stands, proofs(person), kit(person, zone, at), practice(person, zone, at))


def proofs(person: Person) -> dict[str, Proof]:
    """Of each award of the person."""
    assessors = dict(Award.objects.filter(person=person).values_list("award", "assessor"))
    files = current("award", assessors)
    return {award: Proof(assessor, files.get(award, [])) for award, assessor in assessors.items()}


def kit(person: Person, zone: ZoneInfo, at: datetime) -> list[Kit]:
    """The instruments that they used or checked in the last 90 days."""
    used = Locate.objects.filter(operator=person, started_at__gte=at - LATELY).values_list(*(f"{kind}_id" for kind in INSTRUMENT_KINDS))
    checked = Check.objects.filter(person=person, checked_at__gte=at - LATELY).values_list("instrument_id", flat=True)
    found = histories({one for row in used for one in row if one} | set(checked))
    return [_kit(found[key], zone, at) for key in sorted(found)]


def used_at(site: Site, at: datetime) -> frozenset[str]:
    """The instruments that locates at the site named in the last 90 days, or that its open permits rest on. One query."""
    under = Q(permits__in=still_open(Permit.objects.all(), at).values("pk"))
    lately = Locate.objects.filter(Q(started_at__gte=at - LATELY) | under, site=site, started_at__lte=at)
    used = lately.values_list(*(f"{kind}_id" for kind in INSTRUMENT_KINDS))
    return frozenset(one for row in used for one in row if one)


def _kit(instrument: Instrument, zone: ZoneInfo, at: datetime) -> Kit:
    last = due.checked_today(instrument, zone, at)
    return Kit(instrument, due.needs(instrument, zone, at), last.result if last else "", due.in_service(instrument, local_day(at, zone)))


def keeper_of(key: str) -> Person | None:
    """Whose calendar the key opens; None for a key that is none, or that was ended."""
    found = FeedKey.objects.filter(digest=digest(key), ended_at=None).select_related("person").first()
    return found.person if found else None


def has_key(person: Person) -> bool:
    return FeedKey.objects.filter(person=person, ended_at=None).exists()


def last_changed(person: Person) -> tuple[int, datetime | None]:
    """The latest entry of the history that can move one of the person's days, and when it was recorded: both only ever rise.

    Of the person, their awards and the courses of these; and of postings, sites and rules, which set the day's zone and how far ahead to rebook.
    """
    awards = list(person.awards.values_list("pk", "course_id"))
    about = Q(kind="person", subject_id=person.pk) | Q(kind__in=["posting", "site", "rule"])
    about |= Q(kind="award", subject_id__in=[award for award, _ in awards]) | Q(kind="course", subject_id__in={course for _, course in awards})
    return _latest(about)


def last_of_kit() -> tuple[int, datetime | None]:
    """The same of all instruments, their calibrations and checks, and of what sets the day's zone."""
    return _latest(Q(kind__in=["instrument", "calibration", "check", "posting", "site"]))


def _latest(about: Q) -> tuple[int, datetime | None]:
    found = Entry.objects.filter(about).aggregate(seq=Max("seq"), at=Max("recorded_at"))
    return found["seq"] or 0, found["at"]


def firm_mark() -> str:
    """What tells this firm's records from another's: the first link of its history."""
    return Entry.objects.filter(seq=1).values_list("hash", flat=True).first() or ""
