"""What traces say, in the only words in which it is to be read, by the numbers in force at their sites."""

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any

from locates.rules import depth
from locates.surveys.models import Trace
from records.firm.facts import in_force_at
from records.firm.models import Site

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


def _told(traces: Sequence[Trace], at: datetime, says: Callable[[Trace, depth.Limits], str]) -> Words:
    sites = {one.locate.site_id: one.locate.site for one in traces}
    by = limits_at(list(sites.values()), at)
    return {one.pk: says(one, by[one.locate.site_id]) for one in traces}
