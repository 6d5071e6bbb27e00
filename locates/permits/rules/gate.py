"""May this permit be signed, until when, and if not, why: the sections of the gate put together."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from shapely.geometry.base import BaseGeometry

from locates.permits.rules import clearance, emergency, following, kit, owners, people, plans, readings, search, window, wrong_plans
from locates.permits.rules.evidence import Evidence
from locates.permits.rules.frame import Frame, framed
from locates.rules.ground import NOWHERE
from records.rules.verdict import Finding, Verdict, settled
from records.rules.words import PASSIVE


def assess(evidence: Evidence, at: datetime) -> Verdict:
    """Judge one permit on its evidence at one instant. Pure: the same evidence and instant give the same verdict."""
    frame = framed(evidence, at)
    nearby, accounts = clearance.near(frame), search.accounts(frame)
    asked = owners.asked(frame)
    ending = owners.limits(asked)
    good_until, limited_by = window.until(frame, ending)
    area, volume = clearance.hand_zone(frame, nearby)
    return Verdict(
        permit=frame.permit.permit,
        at=frame.at,
        zone=frame.zone,
        blocks=settled((*_blocks(frame, accounts, nearby, ending), *owners.blocks(asked))),
        cautions=settled((*_cautions(frame, accounts), *owners.cautions(frame, asked))),
        conditions=settled((*search.conditions(accounts), *clearance.conditions(frame, nearby), *owners.conditions(frame))),
        good_until=good_until,
        limited_by=limited_by,
        hand_area_m2=area,
        hand_volume_m3=volume,
    )


def _blocks(frame: Frame, accounts: list[search.Account], nearby: list[clearance.Near], ending: list[window.Limit]) -> Iterator[Finding]:
    yield from window.blocks(frame, ending)
    yield from following.blocks(frame)
    yield from emergency.blocks(frame)
    yield from emergency.plan_blocks(frame)
    yield from wrong_plans.blocks(frame)
    yield from search.blocks(frame, accounts)
    yield from people.operator_blocks(frame)
    yield from kit.blocks(frame)
    yield from people.blocks(frame)
    yield from clearance.blocks(frame, nearby)


def _cautions(frame: Frame, accounts: list[search.Account]) -> Iterator[Finding]:
    yield from following.cautions(frame)
    yield from emergency.cautions(frame)
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


@dataclass(frozen=True, slots=True)
class Ground:
    """The shapes behind a verdict, for drawing, in the site's metre grid."""

    needed: BaseGeometry
    swept: dict[str, BaseGeometry]  # by technique
    unswept: dict[str, BaseGeometry]  # needed ground left out, for each passive technique
    zones: dict[str, BaseGeometry]  # the hand-dig zone of each trace that comes near
    overlaps: dict[str, BaseGeometry]  # its part within the outline


def ground(evidence: Evidence, at: datetime) -> Ground:
    """The ground as the gate sees it."""
    frame = framed(evidence, at)
    swept = {technique: search.swept(search.sweeps_by(frame, technique)) for technique in frame.techniques if search.sweeps_by(frame, technique)}
    nearby = clearance.near(frame)
    return Ground(
        needed=frame.needed,
        swept=swept,
        unswept={technique: frame.needed.difference(swept.get(technique, NOWHERE)) for technique in PASSIVE if frame.locate},
        zones={one.trace.trace: clearance.zone(frame, one.trace) for one in nearby},
        overlaps={one.trace.trace: one.within for one in nearby},
    )
