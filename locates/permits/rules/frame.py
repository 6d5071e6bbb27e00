"""What several sections of the gate ask of the same evidence, worked out once."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

from shapely.geometry.base import BaseGeometry

from locates.permits.rules.evidence import Enquiry, Evidence, Locate, Permit, PlanService
from locates.rules.fitness import Instrument, named_techniques_need
from locates.rules.ground import grown, meet
from locates.rules.quality import SCHEMES, Scheme
from records.rules.cover import Span
from records.rules.dates import add_days, day_says, day_start, end_of_day, instant_says, last_day_says, local_day
from records.rules.names import owner_key
from records.rules.numbers import SCHEME, InForce
from records.rules.words import EXPOSED

HOUR = timedelta(hours=1)


@dataclass(frozen=True)
class Frame:
    """One permit's evidence at one instant."""

    evidence: Evidence
    at: datetime

    @property
    def permit(self) -> Permit:
        return self.evidence.permit

    @property
    def zone(self) -> ZoneInfo:
        return self.evidence.site.zone

    @cached_property
    def today(self) -> date:
        return self.day_of(self.at)

    @cached_property
    def numbers(self) -> InForce:
        return InForce(self.evidence.rules, self.today)

    @cached_property
    def emergency_numbers(self) -> InForce:
        """The numbers of emergency work; the defaults where this is none."""
        emergency = self.evidence.emergency
        return InForce(emergency.rules if emergency else (), self.today)

    @cached_property
    def needed(self) -> BaseGeometry:
        """The ground that plans and sweeps must cover: the outline and its margin."""
        return grown(self.permit.outline, self.numbers.number("sweep_margin_m"))

    def day_of(self, instant: datetime) -> date:
        return local_day(instant, self.zone)

    def says(self, moment: datetime | date) -> str:
        """A day, or an instant in the site's zone, for reading."""
        return instant_says(moment, self.zone) if isinstance(moment, datetime) else day_says(moment)

    def from_says(self, begins: datetime) -> str:
        """A beginning for reading: the day, where it is the day's first instant."""
        day = self.day_of(begins)
        return self.says(day if begins == day_start(day, self.zone) else begins)

    def last_day(self, end: datetime) -> str:
        return last_day_says(end, self.zone)

    @cached_property
    def scheme(self) -> Scheme:
        """The scheme that quality levels are of: the one in force on the day when the locate began, whatever came later."""
        day = self.day_of(self.locate.started_at) if self.locate else self.today
        return SCHEMES[InForce(self.evidence.site.schemes, day).text(SCHEME)]

    # enquiries and answers

    @cached_property
    def enquiries(self) -> tuple[Enquiry, ...]:
        """The site's enquiries that exist by now."""
        return tuple(one for one in self.evidence.enquiries if one.sent_on <= self.today)

    @cached_property
    def live(self) -> tuple[Enquiry, ...]:
        """Neither closed by now nor replaced by one that is answered."""
        replaced = {name for one in self.enquiries if self.answered(one) for name in one.replaces}
        return tuple(one for one in self.enquiries if one.enquiry not in replaced and not self.closed(one))

    @cached_property
    def live_by_owner(self) -> dict[str, list[Enquiry]]:
        return by_owner(self.live)

    @cached_property
    def by_owner(self) -> dict[str, list[Enquiry]]:
        """All that exist by now, live or not."""
        return by_owner(self.enquiries)

    @cached_property
    def good_answers(self) -> tuple[Enquiry, ...]:
        """Live answers that are good now."""
        return tuple(one for one in self.live if self.good_at(one, self.at))

    def answered(self, enquiry: Enquiry) -> bool:
        return enquiry.answered_at is not None and enquiry.answered_at <= self.at

    def closed(self, enquiry: Enquiry) -> bool:
        return enquiry.closed_on is not None and enquiry.closed_on <= self.today

    def answer_span(self, enquiry: Enquiry) -> Span | None:
        """How long the answer is good; None where there is none by now."""
        if not self.answered(enquiry):
            return None
        through = enquiry.good_through or add_days(self.day_of(enquiry.answered_at), self.numbers.whole("plan_valid_days"))
        return Span(enquiry.answered_at, end_of_day(through, self.zone), enquiry.enquiry)

    def good_at(self, enquiry: Enquiry, instant: datetime) -> bool:
        span = self.answer_span(enquiry)
        return span is not None and span.holds(instant)

    def meets_needed(self, enquiry: Enquiry) -> bool:
        return enquiry.area is None or meet(enquiry.area, self.needed)

    @cached_property
    def services(self) -> tuple[PlanService, ...]:
        """The services to account for: of all good answers whose area meets the needed ground; in emergency work of what lapsed too, where that is all."""
        return tuple(service for one in (*self.good_answers, *self._lapsed_but_known) if self.meets_needed(one) for service in one.services)

    @property
    def _lapsed_but_known(self) -> Iterable[Enquiry]:
        """Emergency work goes without good answers of an owner; what that owner's old ones show is searched for all the same."""
        if self.evidence.emergency is None:
            return ()
        good = by_owner(self.good_answers)
        return (one for one in self.live if self.answered(one) and owner_key(one.service_owner) not in good)

    @cached_property
    def same(self) -> dict[str, frozenset[str]]:
        """For each service that exists by now, all that are the same one, itself included."""
        shown = [service for one in self.enquiries if self.answered(one) for service in one.services]
        return linked([(service.service, other) for service in shown for other in service.same_as], {service.service for service in shown})

    # the locate

    @property
    def locate(self) -> Locate | None:
        return self.evidence.locate

    @cached_property
    def finished_at(self) -> datetime | None:
        """When the locate was finished, if that is by now."""
        finished = self.locate.finished_at if self.locate else None
        return finished if finished is not None and finished <= self.at else None

    @property
    def begun(self) -> bool:
        """Is there a locate, and had it begun by now?"""
        return self.locate is not None and self.locate.started_at <= self.at

    @cached_property
    def locate_ends(self) -> datetime:
        """The end of the locate's span: when it finished, else now, or its start where that is later."""
        return self.finished_at or max(self.at, self.locate.started_at)

    @property
    def anew(self) -> str:
        """What a remedy adds that asks for one more record of the locate: finished, it takes none."""
        return "; that takes a whole new locate, for this one is finished" if self.finished_at else ""

    @cached_property
    def locate_span(self) -> Span | None:
        """How long the locate is good; None where it is not finished."""
        if self.finished_at is None:
            return None
        through = add_days(self.day_of(self.finished_at), self.numbers.whole("locate_valid_days"))
        return Span(self.finished_at, end_of_day(through, self.zone), self.locate.locate)

    @cached_property
    def techniques(self) -> tuple[str, ...]:
        """The techniques that sweeps and traces used, each once; exposing is none."""
        if self.locate is None:
            return ()
        used = [one.technique for one in (*self.locate.sweeps, *self.locate.traces)]
        return tuple(dict.fromkeys(technique for technique in used if technique != EXPOSED))

    @cached_property
    def instruments(self) -> tuple[tuple[str, Instrument | None], ...]:
        """The kinds needed, each with the instrument named, of a locate that had begun."""
        if not self.begun:
            return ()
        return tuple((kind, getattr(self.locate, kind)) for kind in named_techniques_need(set(self.techniques)))

    @property
    def named_instruments(self) -> tuple[Instrument, ...]:
        return tuple(instrument for _, instrument in self.instruments if instrument is not None)


def framed(evidence: Evidence, at: datetime) -> Frame:
    return Frame(evidence, at.astimezone(UTC))


def by_owner(enquiries: Iterable[Enquiry]) -> dict[str, list[Enquiry]]:
    owners: dict[str, list[Enquiry]] = {}
    for one in enquiries:
        owners.setdefault(owner_key(one.service_owner), []).append(one)
    return owners


def linked(pairs: Iterable[tuple[str, str]], names: set[str]) -> dict[str, frozenset[str]]:
    """Group names that are joined by pairs, in either direction, followed through. Pairs with a name not among them are left out."""
    groups = {name: {name} for name in names}
    for one, other in pairs:
        if one in groups and other in groups and groups[one] is not groups[other]:
            # the fewer move to the more, or a long chain would be copied at each of its links
            smaller, larger = sorted((groups[one], groups[other]), key=len)
            larger |= smaller
            groups.update(dict.fromkeys(smaller, larger))
    distinct = {id(group): group for group in groups.values()}
    whole = {key: frozenset(group) for key, group in distinct.items()}
    return {name: whole[id(group)] for name, group in groups.items()}
