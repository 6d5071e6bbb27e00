"""When somebody else may act on a permit in the place of whose turn it is: who is gone, and who is fit to stand in."""

from datetime import datetime
from zoneinfo import ZoneInfo

from locates.life.rules.acts import ACTS, CANCEL_FOR, HAND_BACK_FOR, SUSPENDED, WITHDRAW_FOR
from locates.permits.rules.evidence import Person
from records.rules.cover import award_failure, award_spans, first_gap
from records.rules.dates import local_day

ISSUES, RECEIVES = "issue_permit", "receive_permit"
THINGS = {WITHDRAW_FOR: ISSUES, HAND_BACK_FOR: RECEIVES, CANCEL_FOR: ISSUES}  # for what whose turn it would be is authorised
# by state, whose going leaves the permit waiting for them: one that is suspended waits for its issuer too, whom nobody stands in for to resume it
WAIT_FOR = {state: (thing,) for act, thing in THINGS.items() for state in ACTS[act].froms} | {SUSPENDED: (ISSUES, RECEIVES)}


def gone(person: Person, thing: str, zone: ZoneInfo, at: datetime) -> bool:
    """Have they left, or was it taken from them? That it merely lapsed keeps nobody from ending what they began."""
    spans = award_spans(person.awards, thing, zone, local_day(at, zone))
    uncovered = first_gap(spans, at, at) is not None
    return _left(person, zone, at) or (uncovered and award_failure(person.awards, spans, thing, at).how == "withdrawn")


def fit(person: Person, thing: str, zone: ZoneInfo, at: datetime) -> bool:
    """Are they with the firm, and authorised for it now?"""
    return not _left(person, zone, at) and first_gap(award_spans(person.awards, thing, zone, local_day(at, zone)), at, at) is None


def _left(person: Person, zone: ZoneInfo, at: datetime) -> bool:
    return person.left_on is not None and person.left_on < local_day(at, zone)
