"""Every finding on record that casts doubt, and what rested on it: for all of them or one, in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from shapely import from_wkt

from locates.instruments.facts import histories
from locates.instruments.models import Calibration, Check
from locates.recall.rules.doubts import AWARD, CALIBRATION, CHECK, PLAN, ByPlan, Doubt, answer_counts, by_calibrations, by_checks, by_withdrawals
from locates.rules.fitness import IN
from locates.surveys.models import Enquiry, WrongPlan
from records.firm.facts import in_force_at
from records.firm.models import Site
from records.rules.dates import local_day
from records.rules.names import owner_key
from training.facts import awards_of
from training.models import Award

FARTHEST_EAST = ZoneInfo("Pacific/Kiritimati")  # where a day begins first


@dataclass(frozen=True, slots=True)
class Asked:
    """Of which things doubts are asked: these instruments, people and sites; None: of all."""

    instruments: Collection[str] | None = None
    people: Collection[str] | None = None
    sites: Collection[str] | None = None


EVERYTHING = Asked()


def doubts(asked: Asked, at: datetime) -> list[Doubt]:
    """Every doubt that is known at the instant. A day has come once it has come anywhere."""
    today = local_day(at, FARTHEST_EAST)
    return [*_of_instruments(asked.instruments, at, today), *_of_awards(asked.people, today), *_of_plans(asked.sites, at)]


def doubt_of(kind: str, key: str, at: datetime) -> Doubt | None:
    """The doubt that a finding casts; None where it casts none. A check failed after another one goes by the first of them."""
    asked = {
        CALIBRATION: lambda: Asked(_of(Calibration, key, "instrument_id"), (), ()),
        CHECK: lambda: Asked(_of(Check, key, "instrument_id"), (), ()),
        AWARD: lambda: Asked((), _of(Award, key, "person_id"), ()),
        PLAN: lambda: Asked((), (), _of(WrongPlan, key, "enquiry__site_id")),
    }[kind]()
    return next((one for one in doubts(asked, at) if one.kind == kind and key in one.keys), None)


def _of(model: type[Any], key: str, column: str) -> list[str]:
    return list(model.objects.filter(pk=key).values_list(column, flat=True))


def _within(rows: Any, column: str, keys: Collection[str] | None) -> Any:
    return rows if keys is None else rows.filter(**{f"{column}__pk__among": keys})


def _of_instruments(keys: Collection[str] | None, at: datetime, today: date) -> Iterator[Doubt]:
    bad = _within(Calibration.objects.exclude(as_found=IN, as_left=IN), "instrument", keys).values_list("instrument_id", flat=True)
    failed = _within(Check.objects.filter(result="fail"), "instrument", keys).values_list("instrument_id", flat=True)
    for instrument in histories({*bad, *failed}).values():
        yield from by_calibrations(instrument, today)
        yield from by_checks(instrument, at)


def _of_awards(people: Collection[str] | None, today: date) -> Iterator[Doubt]:
    withdrawn = _within(Award.objects.filter(withdrawn_on__lte=today), "person", people).values_list("person_id", flat=True)
    for person, awards in awards_of(set(withdrawn)).items():
        yield from by_withdrawals(person, awards, today)


def _of_plans(sites: Collection[str] | None, at: datetime) -> Iterator[Doubt]:
    told = list(_within(WrongPlan.objects.filter(found_at__lte=at), "enquiry__site", sites).select_related("enquiry").order_by("found_at", "wrong"))
    places = {row.pk: row for row in Site.objects.filter(site__among={one.enquiry.site_id for one in told})}
    answered = list(Enquiry.objects.filter(site__pk__among=places, answered_at__lte=at))
    replaced = Enquiry.replaces.through.objects.filter(from_enquiry__site__pk__among=places).values_list("from_enquiry_id", "to_enquiry_id")
    groups: dict[str, list[WrongPlan]] = defaultdict(list)
    for one in told:
        groups[one.enquiry_id].append(one)
    days = {site: one.whole("plan_valid_days") for site, one in in_force_at(places.values(), at).items()}
    known = Answers(places, answered, list(replaced), frozenset(groups), days)
    yield from (known.doubt(*some) for some in groups.values())


@dataclass(frozen=True)
class Answers:
    """The answers of some sites: which took the place of which, which were found wrong, and for how many days one is good."""

    places: dict[str, Site]
    answered: list[Enquiry]
    replaced: list[tuple[str, str]]
    wrong: frozenset[str]
    days: dict[str, int]

    def counts(self, one: Enquiry) -> Any:
        return answer_counts(one, self.days[one.site_id], ZoneInfo(self.places[one.site_id].time_zone))

    def doubt(self, told: WrongPlan, *also: WrongPlan) -> ByPlan:
        """The doubt that the first finding casts. `also`: what else was found wrong in the same answer."""
        one = told.enquiry
        owner = (one.site_id, owner_key(one.service_owner))
        later = [other for other in self.answered if (other.site_id, owner_key(other.service_owner)) == owner and other.answered_at > told.found_at]
        right = tuple((self.counts(other), _area(other)) for other in later if other.pk not in self.wrong)
        given = {other.pk: other.answered_at for other in self.answered}
        dropped = min((given[new] for new, old in self.replaced if old == one.pk and new in given), default=None)
        return ByPlan(told.pk, one.pk, one.site_id, told.found_at, self.counts(one), dropped, _area(one), right, also=tuple(more.pk for more in also))


def _area(one: Enquiry) -> Any:
    return from_wkt(one.area) if one.area else None
