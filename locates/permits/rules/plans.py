"""The owners' plans: asked, answered, still good, for this ground, before the locate, and entered."""

from collections.abc import Iterator
from datetime import datetime

from locates.permits.rules.evidence import Enquiry, PlanService
from locates.permits.rules.frame import Frame
from locates.permits.rules.window import PERMIT
from locates.rules.ground import covers, united
from records.rules.dates import day_start
from records.rules.names import owner_key
from records.rules.verdict import Finding
from records.rules.words import spoken


def blocks(frame: Frame) -> Iterator[Finding]:
    site = frame.evidence.site
    if not frame.live:
        yield Finding("plans.none", PERMIT, f"No enquiry to any service owner is open or answered for {site.name}.", "Ask every service owner for plans.")
    for owner in site.owners_to_ask:
        if owner_key(owner) not in frame.live_by_owner:
            told = f"{owner} must be asked for plans of {site.name}, and has not been."
            yield Finding("plans.not_asked", f"owner:{owner}", told, f"Send an enquiry to {owner} and enter the answer.")
    for owned in frame.live_by_owner.values():
        yield from _owner(frame, owned)
    for answer in frame.good_answers:
        if not answer.services and not answer.nothing_shown and frame.meets_needed(answer):
            told = f"The answer of {answer.service_owner} ({answer.enquiry}) has no services entered and is not marked as showing none."
            yield Finding("plans.not_entered", _subject(answer), told, "Enter each service that the plans show, or mark that they show nothing.")


def _subject(enquiry: Enquiry) -> str:
    return f"enquiry:{enquiry.enquiry}"


def _owner(frame: Frame, owned: list[Enquiry]) -> Iterator[Finding]:
    answered = [one for one in owned if frame.answered(one)]
    if not answered:
        latest = max(owned, key=lambda one: (one.sent_on, one.enquiry))
        told = f"{latest.service_owner} has not answered the enquiry {latest.enquiry} of {frame.says(latest.sent_on)}."
        yield Finding("plans.unanswered", _subject(latest), told, f"Get the answer of {latest.service_owner} before signing.")
        return
    latest = max(answered, key=lambda one: (one.answered_at, one.enquiry))
    yield from _still_good(frame, answered, latest)
    yield from _before_the_locate(frame, latest)


def _still_good(frame: Frame, answered: list[Enquiry], latest: Enquiry) -> Iterator[Finding]:
    good = [one for one in answered if frame.good_at(one, frame.at)]
    if not good:
        since = max(_ends(frame, one) for one in answered)
        told = f"The plans of {latest.service_owner} ({latest.enquiry}) were good through {frame.last_day(since)}."
        yield Finding("plans.lapsed", _subject(latest), told, f"Ask {latest.service_owner} again.", since)
    elif all(one.area is not None for one in good) and not covers(united(one.area for one in good), frame.needed):
        told = f"The plans of {latest.service_owner} ({latest.enquiry}) do not cover all of the ground needed for this dig."
        yield Finding("plans.other_ground", _subject(latest), told, f"Ask {latest.service_owner} for plans of the whole ground, margin included.")


def _ends(frame: Frame, answered: Enquiry) -> datetime:
    # an answer whose end never comes is good from the moment it is given, so each here has one
    span = frame.answer_span(answered)
    return span.ends


def _before_the_locate(frame: Frame, latest: Enquiry) -> Iterator[Finding]:
    locate = frame.locate
    if locate is None:
        return
    owned = frame.by_owner[owner_key(latest.service_owner)]
    if any(frame.meets_needed(one) and frame.good_at(one, locate.started_at) for one in owned):
        return
    told = f"No plans of {latest.service_owner} for this ground were at hand and good when locate {locate.locate} began on {frame.says(locate.started_at)}."
    yield Finding("plans.after_locate", _subject(latest), told, "Locate again with the plans at hand.")


def said(service: PlanService) -> str:
    return f"The {spoken(service.utility)} service {service.service}"


def cautions(frame: Frame) -> Iterator[Finding]:
    for one in frame.enquiries:
        if frame.closed(one) and owner_key(one.service_owner) not in frame.live_by_owner:
            told = f"The enquiry {one.enquiry} to {one.service_owner} was closed unanswered on {frame.says(one.closed_on)} ({one.closed_because.rstrip('.')})."
            since = day_start(one.closed_on, frame.zone)
            yield Finding("plans.closed", _subject(one), told, f"Be sure that {one.service_owner} has nothing here, or ask again.", since)
    yield from _dropped(frame)


def _dropped(frame: Frame) -> Iterator[Finding]:
    answers = [one for one in frame.live if frame.answered(one)]
    replaced = {name for one in answers for name in one.replaces}
    shown_now = {service.service for one in answers for service in one.services}
    for one in frame.enquiries:
        if one.enquiry not in replaced or not frame.answered(one):
            continue
        for service in one.services:
            if not frame.same[service.service] & shown_now:
                told = f"{said(service)} on the earlier plans of {one.service_owner} ({one.enquiry}) is on no later one."
                yield Finding("plans.dropped", f"service:{service.service}", told, f"Ask {one.service_owner} whether it is gone; take it as there until then.")
