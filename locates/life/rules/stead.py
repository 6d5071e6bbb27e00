"""When somebody else may act on a permit in the place of whose turn it is: who is gone, and who is fit to stand in."""

from datetime import datetime
from zoneinfo import ZoneInfo

from locates.life.rules.acts import CANCEL_FOR, HAND_BACK_FOR
from locates.permits.rules.evidence import Person
from records.rules.cover import award_failure, award_spans, first_gap
from records.rules.dates import local_day

THINGS = {HAND_BACK_FOR: "receive_permit", CANCEL_FOR: "issue_permit"}  # for what whose turn it would be is authorised


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
