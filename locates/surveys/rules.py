"""What makes an enquiry, a service of the plans, a locate, a trace or an outcome wrong."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

from records.rules.dates import local_day
from records.rules.names import owner_key
from records.rules.text import shown
from records.rules.words import EXPOSED, INSTRUMENT_KINDS, PASSIVE
from records.rules.wrong import Wrong, not_before, reason_owed

LONGEST_GOOD = timedelta(days=366)


def enquiry_wrongs(enquiry: Any, site: Any) -> Iterator[Wrong]:
    """The faults of an enquiry; those of its days at its site too, where that is known."""
    yield from not_before(enquiry, "closed_on", "sent_on")
    yield from reason_owed(enquiry, "closed_on", "closed_because")
    if enquiry.answered_at is None:
        yield from _answer_owed(enquiry)
        return
    if enquiry.closed_on is not None:
        yield Wrong("closed_on", "the enquiry is answered: closed_on or answered_at was expected, not both", ("answered_at",))
    if site is not None:
        yield from _days_wrong(enquiry, ZoneInfo(site.time_zone))


def _answer_owed(enquiry: Any) -> Iterator[Wrong]:
    for column in ("good_through", "nothing_shown"):
        if getattr(enquiry, column):
            yield Wrong(column, "the enquiry is not answered: this was expected only with answered_at", ("answered_at",))


def _days_wrong(enquiry: Any, zone: ZoneInfo) -> Iterator[Wrong]:
    answered_on = local_day(enquiry.answered_at, zone)
    if enquiry.sent_on is not None and answered_on < enquiry.sent_on:
        says = f"the answer's day at the site, {answered_on}, is before sent_on {enquiry.sent_on}: that day or a later one was expected"
        yield Wrong("answered_at", says, ("sent_on", "site"))
    good = enquiry.good_through
    if good is not None and good < answered_on:
        says = f"{good} is before the answer's day at the site, {answered_on}: that day or a later one was expected"
        yield Wrong("good_through", says, ("answered_at", "site"))
    if good is not None and good > answered_on + LONGEST_GOOD:
        says = f"{good} is over {LONGEST_GOOD.days} days after the answer's day at the site, {answered_on}: an earlier day was expected"
        yield Wrong("good_through", says, ("answered_at", "site"))


def wrong_plan_wrongs(found: Any, enquiry: Any) -> Iterator[Wrong]:
    """The faults of a plan found wrong beside the enquiry whose answer it is, where that is known."""
    if enquiry is None or found.found_at is None:
        return
    if enquiry.answered_at is None:
        yield Wrong("enquiry", f"enquiry {enquiry.enquiry} is not answered: only an answer can be found wrong")
    elif found.found_at < enquiry.answered_at:
        yield Wrong("found_at", f"it is before the answer of enquiry {enquiry.enquiry}: that instant or a later one was expected", ("enquiry",))


def replacement_faults(new: Any, old: Any) -> Iterator[tuple[str, str]]:
    """Why an enquiry cannot replace another: the column in which they do not fit, and a sentence."""
    if new.site_id != old.site_id:
        yield "site", f"enquiry {old.enquiry} is of site {old.site_id}, not {new.site_id}: an enquiry of the same site was expected"
    if owner_key(new.service_owner) != owner_key(old.service_owner):
        yield "service_owner", f"enquiry {old.enquiry} is to {shown(old.service_owner)}, not {shown(new.service_owner)}: one to the same owner was expected"
    if old.sent_on > new.sent_on:
        yield "sent_on", f"enquiry {old.enquiry} was sent on {old.sent_on}, later than {new.enquiry} on {new.sent_on}: an earlier enquiry was expected"


def rings(edges: dict[str, set[str]]) -> set[str]:
    """The names that lead back to themselves, found in time that grows with the edges and no faster."""
    back: dict[str, set[str]] = {}
    for name, near in edges.items():
        for other in near:
            back.setdefault(other, set()).add(name)
    last_left: list[str] = []
    gone: set[str] = set()
    for start in edges:
        last_left += _left_in_turn(start, edges, gone)
    found, gone = set(), set()
    # from the one left last, the way back reaches just those that it leads to and that lead to it
    for start in reversed(last_left):
        together = _left_in_turn(start, back, gone)
        if len(together) > 1 or start in edges.get(start, ()):
            found.update(together)
    return found


def _left_in_turn(start: str, edges: dict[str, set[str]], gone: set[str]) -> list[str]:
    """The names reached from one along the edges, but for those gone to before, each after all that are reached from it."""
    left: list[str] = []
    if start in gone:
        return left
    gone.add(start)
    path = [(start, iter(edges.get(start, ())))]
    while path:
        name, others = path[-1]
        for other in others:
            if other not in gone:
                gone.add(other)
                path.append((other, iter(edges.get(other, ()))))
                break
        else:
            left.append(name)
            path.pop()
    return left


def sameness_faults(new: Any, old: Any) -> Iterator[tuple[str, str]]:
    """Why a service cannot be the same as another: the column in which they do not fit, and a sentence."""
    if new.service == old.service:
        yield "same_as", "a service is not the same as itself: services of earlier answers were expected"
        return
    asked, before = new.enquiry, old.enquiry
    if asked.site_id != before.site_id:
        yield "enquiry", f"service {old.service} is of site {before.site_id}, not {asked.site_id}: one of the same site was expected"
    if owner_key(asked.service_owner) != owner_key(before.service_owner):
        yield "enquiry", f"service {old.service} is {shown(before.service_owner)}'s, not {shown(asked.service_owner)}'s: one of the same owner was expected"
    if new.utility != old.utility:
        yield "utility", f"service {old.service} is {old.utility}, not {new.utility}: one of the same utility was expected"
    if new.conductive != old.conductive:
        yield "conductive", f"service {old.service} differs in conductive: one that is the same there was expected"
    if None not in (asked.answered_at, before.answered_at) and before.answered_at >= asked.answered_at:
        yield "enquiry", f"service {old.service} is of an answer not given before that of {new.service}: one of an earlier answer was expected"


def service_wrongs(service: Any, enquiry: Any) -> Iterator[Wrong]:
    """The faults of a service of the plans beside its enquiry, where that is known."""
    if enquiry is None:
        return
    if enquiry.answered_at is None:
        yield Wrong("enquiry", f"enquiry {enquiry.enquiry} is not answered: services were expected only of an answer")
    if enquiry.nothing_shown:
        yield Wrong("enquiry", f"the answer of enquiry {enquiry.enquiry} says nothing_shown: no services were expected of it")


def locate_wrongs(locate: Any) -> Iterator[Wrong]:
    """The faults of a locate; those of its instruments' kinds too, where they are known."""
    if None not in (locate.started_at, locate.finished_at) and locate.finished_at <= locate.started_at:
        yield Wrong("finished_at", "it is not after started_at: a later instant was expected", ("started_at",))
    for kind in INSTRUMENT_KINDS:
        instrument = locate.known(kind)
        if instrument is not None and instrument.kind != kind:
            yield Wrong(kind, f"instrument {instrument.instrument} is a {instrument.kind}: a {kind} was expected")


def trace_wrongs(trace: Any) -> Iterator[Wrong]:
    """The faults of a trace by itself."""
    technique, level = trace.technique, trace.quality_level
    if technique and level and (level == "A") != (technique == EXPOSED):
        yield Wrong("quality_level", f"{level} does not go with {technique}: A was expected where the service is exposed, and only there", ("technique",))
    if technique in PASSIVE and level == "B":
        yield Wrong("quality_level", f"B does not go with {technique}: C or D was expected of a passive technique", ("technique",))
    for column, other in (("raised_by_m", "raised_depth_m"), ("raised_depth_m", "raised_by_m")):
        if getattr(trace, column) is not None and getattr(trace, other) is None:
            yield Wrong(column, f"{other} is missing: both or neither were expected", (other,))
    if trace.depth_m is None and None not in (trace.raised_by_m, trace.raised_depth_m):
        yield Wrong("depth_m", "it is missing: one was expected with raised_by_m and raised_depth_m", ("raised_by_m", "raised_depth_m"))


def outcome_wrongs(locate: Any, service: Any) -> Iterator[Wrong]:
    """The fault of an outcome whose service is of another site than its locate."""
    if locate is not None and service is not None and service.enquiry.site_id != locate.site_id:
        says = f"service {service.service} is of site {service.enquiry.site_id}: one of the locate's own site, {locate.site_id}, was expected"
        yield Wrong("service", says, ("locate",))
