"""Who and what a permit in preparation could name: the gate's own words on each locate of the site and on each person, one by one."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from locates.permits.rules import people
from locates.permits.rules.evidence import Evidence, Locate, Person
from locates.permits.rules.frame import framed
from locates.permits.rules.gate import assess
from records.rules.cover import cover_end
from records.rules.verdict import Finding

THINGS = {"issuer": "issue_permit", "receiver": "receive_permit", "crew": "dig"}
OF_A_LOCATE = ("locate", "operator", "instrument", "service", "clearance")
OF_ITS_GROUND = ("locate.not_swept", "locate.one_direction", "service.", "clearance.")


@dataclass(frozen=True, slots=True)
class Candidate:
    """A person for a role: until when they stay covered (None: for ever), or why they cannot be it now."""

    person: Person
    ends: datetime | None
    against: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Search:
    """A locate for the permit: until when it is good, or why not."""

    locate: Locate
    ends: datetime | None
    against: tuple[Finding, ...]


def for_role(evidence: Evidence, everyone: Iterable[Person], role: str, at: datetime) -> list[Candidate]:
    """Each person as issuer, receiver or crew of the permit, judged at the instant at its site."""
    frame, thing = framed(evidence, at), THINGS[role]
    return [
        Candidate(one, cover_end(one.awards, thing, frame.zone, frame.today, frame.at, one.left_on), tuple(people.asked(frame, role, one, thing)))
        for one in everyone
    ]


def of_site(evidence: Evidence, locates: Iterable[Locate], at: datetime, *, outlined: bool) -> list[Search]:
    """Each locate as the permit's. Before there is an outline nothing is said of its ground."""
    return [_search(replace(evidence, locate=one), at, outlined) for one in locates]


def _search(evidence: Evidence, at: datetime, outlined: bool) -> Search:
    span = framed(evidence, at).locate_span
    blocks = [one for one in assess(evidence, at).blocks if one.code.startswith(OF_A_LOCATE) and (outlined or not one.code.startswith(OF_ITS_GROUND))]
    return Search(evidence.locate, span.ends if span else None, tuple(blocks))
