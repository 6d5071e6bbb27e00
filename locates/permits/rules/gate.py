"""May this permit be signed, until when, and if not, why: the sections of the gate put together."""

from collections.abc import Iterator
from datetime import datetime

from locates.permits.rules import clearance, kit, people, plans, readings, search, window
from locates.permits.rules.evidence import Evidence
from locates.permits.rules.frame import Frame, framed
from records.rules.verdict import Finding, Verdict, settled


def assess(evidence: Evidence, at: datetime) -> Verdict:
    """Judge one permit on its evidence at one instant. Pure: the same evidence and instant give the same verdict."""
    frame = framed(evidence, at)
    nearby, accounts = clearance.near(frame), search.accounts(frame)
    good_until, limited_by = window.until(frame)
    area, volume = clearance.hand_zone(frame, nearby)
    return Verdict(
        permit=frame.permit.permit,
        at=frame.at,
        zone=frame.zone,
        blocks=settled(_blocks(frame, accounts, nearby)),
        cautions=settled(_cautions(frame, accounts)),
        conditions=settled((*search.conditions(accounts), *clearance.conditions(frame, nearby))),
        good_until=good_until,
        limited_by=limited_by,
        hand_area_m2=area,
        hand_volume_m3=volume,
    )


def _blocks(frame: Frame, accounts: list[search.Account], nearby: list[clearance.Near]) -> Iterator[Finding]:
    yield from window.blocks(frame)
    yield from plans.blocks(frame)
    yield from search.blocks(frame, accounts)
    yield from people.operator_blocks(frame)
    yield from kit.blocks(frame)
    yield from people.blocks(frame)
    yield from clearance.blocks(frame, nearby)


def _cautions(frame: Frame, accounts: list[search.Account]) -> Iterator[Finding]:
    yield from plans.cautions(frame)
    yield from search.cautions(frame, accounts)
    yield from people.operator_cautions(frame)
    yield from kit.cautions(frame)
    yield from readings.trace_cautions(frame)
    yield from readings.sweep_cautions(frame)
    yield from people.due_cautions(frame)
    yield from kit.due_cautions(frame)
    yield from window.cautions(frame)
    yield from readings.rule_cautions(frame)
