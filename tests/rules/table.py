"""A row of a table: a clear permit with a few changes, at an instant, and one code that the gate says of it, or does not."""

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from locates.permits.rules.evidence import Evidence
from locates.permits.rules.gate import assess
from records.rules.verdict import Condition, Finding, Verdict
from tests.rules.cast import AUCKLAND, DAY, clear, instant
from tests.rules.changes import Change, together

Codes = tuple[str, ...]


@dataclass(frozen=True)
class Row:
    """`stops`: the code is a block's. `blocks` are the codes of all blocks of its verdict."""

    stops: bool
    code: str
    subject: str
    said: bool
    evidence: Evidence
    at: datetime
    since: datetime | None
    blocks: set[str]

    def __str__(self) -> str:
        return f"{self.code} {'said' if self.said else 'not said'}"

    @cached_property
    def verdict(self) -> Verdict:
        return assess(self.evidence, self.at)

    @property
    def key(self) -> tuple[str, str]:
        return (self.code, self.subject)


@dataclass(frozen=True)
class About:
    """Makes the rows of one code: `fails` where it is said, `passes` where it is not. `also` names the other blocks."""

    code: str
    subject: str
    blocks: bool = True

    def fails(self, *changes: Change, since: str | None = None, also: Codes = (), subject: str = "", **when: str) -> Row:
        evidence, at = _judged(changes, **when)
        told = None if since is None else instant(since, evidence.site.zone)
        own = {self.code} if self.blocks else set()
        return Row(self.blocks, self.code, subject or self.subject, True, evidence, at, told, own.union(also))

    def passes(self, *changes: Change, also: Codes = (), subject: str = "", **when: str) -> Row:
        evidence, at = _judged(changes, **when)
        return Row(self.blocks, self.code, subject or self.subject, False, evidence, at, None, set(also))


def _judged(changes: tuple[Change, ...], at: str = "", day: str = DAY, zone: str = AUCKLAND) -> tuple[Evidence, datetime]:
    evidence = together(*changes)(clear(zone, day))
    return evidence, instant(at or f"{day}T09:00", evidence.site.zone)


def judged(*changes: Change, **when: str) -> Verdict:
    """The verdict on the clear permit so changed: `at`, `day`, `zone` as in the rows."""
    return assess(*_judged(changes, **when))


def block(code: str, subject: str) -> About:
    return About(code, subject)


def caution(code: str, subject: str) -> About:
    """A caution or a condition: said or not, it stops nothing."""
    return About(code, subject, blocks=False)


def said(verdict: Verdict) -> dict[tuple[str, str], Finding | Condition]:
    return {(one.code, one.subject): one for one in (*verdict.blocks, *verdict.cautions, *verdict.conditions)}


def found(row: Row) -> tuple:
    """What the gate says of the row's code and subject (whether, and since when), and the codes of all blocks."""
    verdict = row.verdict
    among = verdict.blocks if row.stops else (*verdict.cautions, *verdict.conditions)
    one = next((one for one in among if (one.code, one.subject) == row.key), None)
    return one is not None, getattr(one, "since", None), {other.code for other in verdict.blocks}


def wanted(row: Row) -> tuple:
    return row.said, row.since, row.blocks
