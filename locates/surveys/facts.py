"""What traces say, in the only words in which it is to be read, by the numbers in force at their sites."""

from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from locates.rules import depth
from locates.rules.quality import SCHEMES, Scheme, promise
from locates.surveys.models import Locate, Trace
from records.books.words import Said
from records.firm.facts import in_force, in_force_at, rows_of
from records.firm.models import Person, Site
from records.rules.dates import local_day
from records.rules.numbers import SCHEME, InForce

Words = dict[Any, str]


def depths(traces: Sequence[Trace], at: datetime) -> Words:
    """The depth of each trace in words."""
    return _told(traces, at, depth.says)


def raised_by(traces: Sequence[Trace], at: datetime) -> Words:
    """By how much the receiver was raised over each."""
    return _told(traces, at, lambda one, by: depth.raised_says(one, by, one.raised_by_m))


def raised_depths(traces: Sequence[Trace], at: datetime) -> Words:
    """What was read then."""
    return _told(traces, at, lambda one, by: depth.raised_says(one, by, one.raised_depth_m))


def limits_at(sites: Sequence[Site], at: datetime) -> dict[str, depth.Limits]:
    """By site the limits of depth readings in force. One query."""
    return {site: depth.limits(numbers) for site, numbers in in_force_at(sites, at).items()}


def levels(traces: Sequence[Trace], at: datetime) -> Words:
    """The quality level of each trace, with the scheme that its letter is of."""
    schemes = schemes_of([one.locate for one in traces])
    return {one.pk: schemes[one.locate_id].level(one.quality_level) for one in traces}


def schemes_of(locates: Iterable[Locate]) -> dict[str, Scheme]:
    """By locate, the scheme in force at its site on the day when it began: a later one does not change what a letter meant. One query."""
    every = list(locates)
    rows = rows_of([one.site for one in every])
    days = {one.pk: local_day(one.started_at, ZoneInfo(one.site.time_zone)) for one in every}
    return {one.pk: SCHEMES[InForce(rows[one.site.rule_set_id], days[one.pk]).text(SCHEME)] for one in every}


def promise_of_level(trace: Trace, person: Person, at: datetime) -> Said:
    """What a trace's quality level says: a line on its own page."""
    site, letter = trace.locate.site, trace.quality_level
    numbers = in_force(site, at)
    deep = depth.number(trace, depth.limits(numbers))
    return Said("What its level says", promise(schemes_of([trace.locate])[trace.locate_id], letter, deep, numbers.number(f"position_tolerance_{letter}_m")))


def _told(traces: Sequence[Trace], at: datetime, says: Callable[[Trace, depth.Limits], str]) -> Words:
    sites = {one.locate.site_id: one.locate.site for one in traces}
    by = limits_at(list(sites.values()), at)
    return {one.pk: says(one, by[one.locate.site_id]) for one in traces}
