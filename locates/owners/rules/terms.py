"""What a rule set needs of owners, what is known of their services, and what they agreed to, as plain values.

Dates are site days, instants zone-aware, lengths decimals in metres, voltages in kV, pressures in bar above the air's.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from shapely.geometry import MultiPolygon, Polygon

CONSULT, ATTEND, ISOLATE = NEEDED = ("consult", "attend", "isolate")
NOTHING = "nothing"  # a later row that lifts a need

# what each asks of the owner, as sentences say it
OWED = {CONSULT: "be consulted", ATTEND: "stand by", ISOLATE: "isolate the service"}
AGREED = {CONSULT: "consulted, and agreed", ATTEND: "stands by", ISOLATE: "isolates the service"}
UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Need:
    """One row of a rule set: near such services the owner must do something. Blank (`utility`, `owner`, `methods`): any.

    `above_kv`, `above_bar`: only of services over that voltage or pressure, and of those of which it is not on record.
    """

    need: str
    effective_from: date
    needed: str
    within_m: Decimal | None = None
    utility: str = ""
    owner: str = ""
    methods: tuple[str, ...] = ()
    above_kv: Decimal | None = None
    above_bar: Decimal | None = None
    blocks: bool = True
    source: str = ""


@dataclass(frozen=True, slots=True)
class Rating:
    """At what voltage and pressure a service runs, as its owner told on a day."""

    service: str
    told_on: date
    voltage_kv: Decimal | None = None
    pressure_bar: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Agreement:
    """What one owner agreed to, for the services it names: one, those of a utility, or all of the owner's. `area` None: the whole site."""

    agreement: str
    owner: str
    agreed: tuple[str, ...]
    agreed_with: str
    agreed_at: datetime
    good_from: date
    good_through: date
    utility: str = ""
    service: str = ""
    reference_no: str = ""
    conditions: str = ""
    area: Polygon | MultiPolygon | None = None
    proved_by: str = ""
    proved_at: datetime | None = None
    withdrawn_on: date | None = None


@dataclass(frozen=True, slots=True)
class Terms:
    """All that is on record about the owners at one site: the needs of its rule set, ratings of its services, agreements."""

    needs: tuple[Need, ...] = ()
    ratings: tuple[Rating, ...] = ()
    agreements: tuple[Agreement, ...] = ()


NO_TERMS = Terms()


def in_force(needs: Iterable[Need], today: date) -> list[Need]:
    """Of each name the latest row not after the day, sorted by name, but for those that lift it."""
    latest: dict[str, Need] = {}
    for one in needs:
        if one.effective_from <= today and (one.need not in latest or one.effective_from > latest[one.need].effective_from):
            latest[one.need] = one
    return [latest[name] for name in sorted(latest) if latest[name].needed != NOTHING]
