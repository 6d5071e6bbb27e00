"""Emergency work: a stricter kind of permit, in which owners were asked but their answers are not waited for.

It is dug by hand or vacuum, for hours, on the decision of somebody who is named; every owner has been asked, and the locate is owed as ever. What it is
spared stands among its cautions, by codes of their own.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from typing import Any

from locates.permits.rules import people, plans
from locates.permits.rules.evidence import Dug, Emergency
from locates.permits.rules.frame import HOUR, Frame
from locates.permits.rules.window import PERMIT
from locates.rules.ground import TOUCH_M2, meet, shared, six
from records.rules.cover import award_spans, first_gap
from records.rules.dates import add_days, end_of_day
from records.rules.verdict import Finding
from records.rules.words import spoken

BY_HAND = ("hand", "vacuum")
ISSUES = "issue_permit"
MOST_HOURS, DECIDED_HOURS, FOLLOW_UP_DAYS = "emergency_max_hours", "emergency_decided_hours", "emergency_follow_up_days"
# what the gate says of owners' plans that emergency work does not wait for, and how it is said of such work
EASED = {f"plans.{how}": f"emergency.{how}" for how in ("unanswered", "lapsed", "other_ground", "after_locate")}
WITHOUT = "so that this ground is dug in an emergency without these plans, and every service is taken as live"
NOBODY_ELSE = "Let somebody decide who may issue permits, and who neither receives nor digs on this one."


def eases(frame: Frame) -> bool:
    """Is it emergency work by a method that may go without answers?"""
    return frame.evidence.emergency is not None and frame.permit.method in BY_HAND


def plan_blocks(frame: Frame) -> Iterator[Finding]:
    """What the owners' plans lack, but for what this permit need not wait for."""
    for one in plans.blocks(frame):
        if not (eases(frame) and one.code in EASED):
            yield one


def cautions(frame: Frame) -> Iterator[Finding]:
    if eases(frame):
        for one in plans.blocks(frame):
            if one.code in EASED:
                remedy = "Ask the owner by telephone while the work goes on, and stop where the answer shows what was not found."
                yield Finding(EASED[one.code], one.subject, f"{one.says.rstrip('.')}, {WITHOUT}.", remedy, one.since)
    if (emergency := frame.evidence.emergency) is not None:
        yield from _again(frame, emergency)


def without(frame: Frame) -> set[str]:
    """The owners whose plans, or good plans for all of this ground, it is dug without."""
    lacking = {one.subject.partition(":")[2] for one in plans.blocks(frame) if one.code in EASED}
    return {one.service_owner for one in frame.enquiries if one.enquiry in lacking}


def blocks(frame: Frame) -> Iterator[Finding]:
    emergency = frame.evidence.emergency
    if emergency is None:
        return
    if not eases(frame):
        told = f"Emergency work is dug by hand or vacuum, and this permit is by {spoken(frame.permit.method)}."
        yield Finding("emergency.by_machine", PERMIT, told, "Dig by hand or vacuum, or wait for the plans and prepare a permit that is no emergency.")
    hours = frame.emergency_numbers.whole(MOST_HOURS)
    if frame.permit.valid_to - frame.permit.valid_from > hours * HOUR:
        told = f"The permit runs to {frame.says(frame.permit.valid_to)}, longer than the {hours} hours of emergency work."
        yield Finding("emergency.over_hours", PERMIT, told, f"End it by {frame.says(frame.permit.valid_from + hours * HOUR)}.")
    yield from _decider(frame, emergency)
    yield from _decided(frame, emergency)
    yield from _owed(frame, emergency)


def _decider(frame: Frame, emergency: Emergency) -> Iterator[Finding]:
    """The first reason why whoever decided could not."""
    who, permit = emergency.decided_by, frame.permit
    subject = f"person:{who.person}"
    if who.person == permit.receiver.person or who.person in {one.person for one in permit.crew}:
        does = "receives this permit" if who.person == permit.receiver.person else "is of its crew"
        yield Finding("emergency.decider", subject, f"{who.name}, who decided that this is an emergency, {does}.", NOBODY_ELSE)
        return
    spans = award_spans(who.awards, ISSUES, frame.zone, frame.today)
    decided_at = min(emergency.decided_at, frame.at)
    if first_gap(spans, decided_at, decided_at) is not None:
        one = people.uncovered(frame, "decider", who, ISSUES, decided_at)
        told = f"When this was decided to be an emergency, on {frame.says(decided_at)}: {one.says}"
        yield replace(one, code="emergency.decider", subject=subject, says=told, remedy=NOBODY_ELSE)
        return
    for one in people.asked(frame, "decider", who, ISSUES):
        yield replace(one, code="emergency.decider", subject=subject, says=f"Who decided that this is an emergency: {one.says}", remedy=NOBODY_ELSE)


def _decided(frame: Frame, emergency: Emergency) -> Iterator[Finding]:
    hours, begins = frame.emergency_numbers.whole(DECIDED_HOURS), frame.permit.valid_from
    if emergency.decided_at > frame.at:
        told = f"The emergency is said to be decided on {frame.says(emergency.decided_at)}, which is still to come."
        yield Finding("emergency.decided_late", PERMIT, told, "Say when it was decided: before anybody signs.")
    elif begins - emergency.decided_at > hours * HOUR:
        told = f"The emergency was decided on {frame.says(emergency.decided_at)}, more than {hours} hours before the permit begins."
        yield Finding("emergency.decided_late", PERMIT, told, "Decide afresh whether it is one still, or wait for the plans.")


def follow_up_ends(over_at: datetime, days: int, zone: Any) -> datetime:
    """The first instant at which the follow-up of work that was over then is overdue: it is due through so many days after that day at the site."""
    return end_of_day(add_days(over_at.astimezone(zone).date(), days), zone)


def _still_owed(frame: Frame, emergency: Emergency) -> Iterator[Dug]:
    """The other emergency digs of the site that are over and not followed up."""
    for one in emergency.others:
        if one.over_at <= frame.at and (one.followed_up_at is None or one.followed_up_at > frame.at):
            yield one


def _owed(frame: Frame, emergency: Emergency) -> Iterator[Finding]:
    days = frame.emergency_numbers.whole(FOLLOW_UP_DAYS)
    # one that was accepted and had begun before another fell overdue goes on to its end; nobody gets round it by an earlier beginning, or an issue in advance
    begun = max(frame.permit.valid_from, emergency.accepted_at or frame.at)
    for one in _still_owed(frame, emergency):
        overdue = follow_up_ends(one.over_at, days, frame.zone)
        if overdue <= min(frame.at, begun):
            told = f"The emergency work of permit {one.permit} at this site should have been followed up through {frame.last_day(overdue)}."
            yield Finding("emergency.follow_up_owed", f"permit:{one.permit}", told, f"Record the follow-up of {one.permit} first.", overdue)


def _again(frame: Frame, emergency: Emergency) -> Iterator[Finding]:
    for one in _still_owed(frame, emergency):
        if meet(one.outline, frame.permit.outline) and six(shared([one.outline, frame.permit.outline]).area) > TOUCH_M2:
            told = f"This ground was dug in an emergency before, by permit {one.permit}, and that is not followed up."
            yield Finding("emergency.again", f"permit:{one.permit}", told, "Ask first what the owners have answered since, and record the follow-up.")
