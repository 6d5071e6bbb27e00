"""Which permits a permit follows and which follow it, as pages tell it: with a link to those that the reader may see, by number alone to the others."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Exists, OuterRef, Q

from locates.permits.among import withdrawn
from locates.permits.models import Following, Permit, SignOff
from locates.permits.rules.evidence import Evidence
from locates.permits.rules.following import changes
from locates.permits.rules.signing import ISSUE
from locates.permits.ties import TIES
from records.access import within
from records.base import ByCodePoint
from records.firm.models import Person

FOLLOWS, FOLLOWED, WITHDRAWN = "Follows permit", "Followed by permit", "withdrawn before it was accepted"


@dataclass(frozen=True)
class Other:
    """Another permit: how it is related, its name, whether the reader may see it, and what is still to be said of it."""

    words: str
    permit: str
    seen: bool
    beside: str = ""


def related(permits: Collection[str], reader: Person, at: datetime) -> dict[str, list[Other]]:
    """By permit the others, what it follows first. The number of queries does not depend on how many permits there are."""
    issued = Exists(SignOff.objects.filter(permit=OuterRef("permit"), meaning=ISSUE))
    rows = Following.objects.filter(Q(permit__permit__among=permits) | Q(follows__permit__among=permits)).annotate(issued=issued)
    pairs = list(rows.order_by(ByCodePoint("permit_id")).values_list("permit_id", "follows_id", "issued"))
    named = Permit.objects.filter(permit__among=[one for new, old, _ in pairs for one in (new, old)])
    seen = set(within(named, reader, "permit.see", TIES, at).values_list("pk", flat=True)) if pairs else set()
    gone = withdrawn([new for new, _, is_issued in pairs if is_issued]) if pairs else set()
    found: dict[str, list[Other]] = defaultdict(list)
    for new, old, _ in pairs:
        found[new].append(Other(FOLLOWS, old, old in seen))
    for new, old, is_issued in pairs:
        beside = WITHDRAWN if new in gone else "" if is_issued else "prepared, nobody has signed it"
        found[old].append(Other(FOLLOWED, new, new in seen, beside))
    return found


def page(permit: str, evidence: Evidence, reader: Person, at: datetime) -> dict[str, Any] | None:
    """What stands of it on the permit's own page; None where there is nothing."""
    others = related([permit], reader, at).get(permit)
    before = evidence.follows
    side = [one for one in changes(before.permit, evidence.permit, evidence.site.zone) if one.differs] if before else []
    return {"others": others, "before": before, "side": side} if others else None
