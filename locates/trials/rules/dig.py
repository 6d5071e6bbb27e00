"""The dig for which a locate's plans are held against the ground: that of a permit or a field sheet, else the ground that was swept."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from locates.permits.rules.evidence import Locate, Permit, Person
from locates.rules.ground import united

NOWHERE = Polygon(((0, 0), (1, 0), (1, 1), (0, 1)))  # stands in where nothing was swept; then nothing lies in it
# what is told of services does not depend on them, but for digging by hand or vacuum, which may go on where one was not found
SHALLOW, BY_HAND = Decimal(1), "hand"
SHORTLY = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Dig:
    """Where, how deep and how it is dug. `says`: which dig it is, in words."""

    says: str
    outline: BaseGeometry
    depth_m: Decimal = SHALLOW
    method: str = BY_HAND


def swept(locate: Locate) -> Dig:
    """The ground that was swept, where no permit or sheet says which dig it was for."""
    ground = united(one.area for one in locate.sweeps)
    return Dig("the ground that was swept, for no permit names this locate yet", NOWHERE if ground.is_empty else ground)


def stand_in(dig: Dig, person: Person, at: datetime) -> Permit:
    """The permit that the gate's reckoning of services is asked about. Nothing that it would say of people and times is told."""
    return Permit("the dig", "", dig.outline, dig.depth_m, dig.method, at, at + SHORTLY, person, person)


def moment(locate: Locate, at: datetime) -> datetime:
    """The instant as of which plans are held against the ground: when the locate was finished; while it is not, now."""
    return min(locate.finished_at or at, at)
