"""What each role needs to be authorised for. Defaults stand here; a firm sets its own, each from a day on."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from records.rules.words import CREW, OPERATOR, SUPERVISOR

SOURCE = "house; common practice at best"
DEFAULTS: dict[str, tuple[str, ...]] = {
    # both passive modes, always, and the two active techniques that every set of instruments offers
    OPERATOR: ("passive_power", "passive_radio", "induction", "direct_connection"),
    SUPERVISOR: ("issue_permit",),
    CREW: ("dig",),
}


@dataclass(frozen=True, slots=True)
class Row:
    """A firm's own need of a role, from a day on."""

    role: str
    effective_from: date
    authorises: tuple[str, ...]


def in_force(rows: Iterable[Row], day: date) -> dict[str, tuple[str, ...]]:
    """What each role needs on the day: the latest row not after it, else the default."""
    latest: dict[str, Row] = {}
    for row in sorted(rows, key=lambda row: row.effective_from):
        if row.effective_from <= day:
            latest[row.role] = row
    return {role: latest[role].authorises if role in latest else things for role, things in DEFAULTS.items()}


def needed(roles: Iterable[str], by_role: dict[str, tuple[str, ...]]) -> frozenset[str]:
    """What somebody of these roles needs. Whoever has none is of the crew; a safety manager needs nothing to see."""
    own = tuple(roles) or (CREW,)
    return frozenset(thing for role in own for thing in by_role.get(role, ()))
