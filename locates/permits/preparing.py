"""A permit in preparation: what the form holds, judged by the gate as if it were stored. Nothing is written here."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Q
from shapely import from_wkt
from shapely.errors import ShapelyError

from locates.permits import among, emergencies
from locates.permits.actions import Prospect
from locates.permits.facts import AtHand, at_hand
from locates.permits.rules import candidates, sweeping
from locates.permits.rules.emergency import FOLLOW_UP_DAYS, MOST_HOURS
from locates.permits.rules.evidence import Before, Emergency, Evidence, Permit, Person
from locates.permits.rules.gate import assess
from locates.permits.rules.signing import ISSUE
from locates.permits.sheet import sheet
from locates.surveys.models import Locate
from records.firm import models as firm
from records.rules.columns import INSTANT, METRES, OUTLINE
from records.rules.dates import day_start, end_of_day, local_day
from records.rules.kinds import Kind
from records.rules.numbers import InForce
from records.rules.text import Unfit

LOOKED_BACK = timedelta(days=60)  # older locates are no longer good anywhere, and are not offered
LEFT_LATELY = timedelta(days=31)
MOST_LOCATES = 40
OWED = (
    ("outline", OUTLINE, "the outline"),
    ("depth_m", METRES, "the depth"),
    ("valid_from", INSTANT, "when it begins"),
    ("valid_to", INSTANT, "when it ends"),
)
NOBODY = "nobody named yet"
SOMEWHERE = from_wkt("POLYGON ((0 0, 1 0, 1 1, 0 1, 0 0))")  # stands in while there is no outline; nothing is said of it


@dataclass(frozen=True)
class Draft:
    """The cells of a permit that is being prepared, as its register would have them, and what of them could be read.

    `key`: the stored permit that is being changed; `before`: the permit that it follows; `emergency`: why it is for emergency work, its
    decider by identifier alone.
    """

    site: firm.Site
    cells: dict[str, str]
    found: AtHand
    at: datetime
    key: str = ""
    before: Before | None = None
    emergency: Emergency | None = None

    def value(self, column: str, kind: Kind) -> Any:
        """The value of a cell; None where it is blank or cannot be read, which the form says at its field."""
        try:
            return kind.read(self.cells[column]) if self.cells.get(column) else None
        except (Unfit, ShapelyError):
            return None

    @property
    def outlined(self) -> bool:
        return bool(self.value("outline", OUTLINE))

    @property
    def missing(self) -> list[str]:
        """What must be given before the gate can be asked."""
        return [words for column, kind, words in OWED if self.value(column, kind) is None]

    def evidence(self) -> Evidence:
        """As the gate would find it, with something harmless where nothing can be read yet."""
        begins = self.value("valid_from", INSTANT) or self.at
        outline = self.value("outline", OUTLINE)
        permit = Permit(
            self.cells.get("permit") or self.key,
            self.cells.get("work") or "",
            from_wkt(outline) if outline else SOMEWHERE,
            self.value("depth_m", METRES) or Decimal(1),
            self.cells.get("method") or "hand",
            begins,
            self.value("valid_to", INSTANT) or begins + timedelta(hours=8),
            self.person("issuer"),
            self.person("receiver"),
            tuple(self.found.people[one] for one in sorted(self.cells.get("crew", "").split(";")) if one in self.found.people),
        )
        return self.found.evidence(permit, self.cells.get("locate") or "", self.before, self.decided())

    def decided(self) -> Emergency | None:
        """The emergency with its decider as they are on record."""
        if self.emergency is None:
            return None
        who = self.emergency.decided_by.person
        return replace(self.emergency, decided_by=self.found.people.get(who) or Person("decider", NOBODY, None, ()))

    def urgency(self) -> dict[str, int]:
        """The numbers of emergency work at the site: its hours, and days until its follow-up."""
        numbers = InForce(self.found.urgent, local_day(self.at, self.found.site.zone))
        return {"hours": numbers.whole(MOST_HOURS), "days": numbers.whole(FOLLOW_UP_DAYS)}

    def person(self, role: str) -> Person:
        return self.found.people.get(self.cells.get(role) or "") or Person(role, NOBODY, None, ())

    def prospect(self) -> Prospect:
        """The verdict and the sheet as the permit's own page would show them."""
        evidence = self.evidence()
        verdict = assess(evidence, self.at)
        return Prospect(evidence, verdict, sheet(evidence, verdict, []), (), ISSUE)

    def searches(self) -> list[candidates.Search]:
        """The site's locates, newest first, each with the gate's words on it."""
        newest = sorted(self.found.locates.values(), key=lambda one: (one.started_at, one.locate), reverse=True)
        return candidates.of_site(self.evidence(), newest, self.at, outlined=self.outlined)

    def swept(self) -> sweeping.Swept | None:
        """How the chosen locate swept the ground that the outline needs; None where no locate of the site is chosen."""
        return sweeping.of_outline(self.evidence(), self.at)

    def for_role(self, role: str) -> list[candidates.Candidate]:
        everyone = sorted(self.found.people.values(), key=lambda one: (one.name, one.person))
        return candidates.for_role(self.evidence(), everyone, role, self.at)


def draft(site: firm.Site, cells: dict[str, str], at: datetime, key: str = "", before: Before | None = None, emergency: Emergency | None = None) -> Draft:
    """The draft with all that it could rest on, in a fixed number of queries."""
    recent = Locate.objects.filter(site=site).filter(Q(finished_at=None) | Q(finished_at__gte=at - LOOKED_BACK)).order_by("-started_at", "locate")
    locates = [*recent.values_list("pk", flat=True)[:MOST_LOCATES], *filter(None, [cells.get("locate")])]
    named = {emergency.decided_by.person if emergency else "", cells.get("issuer"), cells.get("receiver"), *cells.get("crew", "").split(";")}
    people = firm.Person.objects.filter(Q(left_on=None) | Q(left_on__gte=(at - LEFT_LATELY).date()) | Q(pk__in=[one for one in named if one]))
    made = Draft(site, cells, at_hand(site, locates, people.values_list("pk", flat=True)), at, key, before, emergency)
    return replace(made, found=replace(made.found, **_related(made)))


def _related(draft: Draft) -> dict[str, Any]:
    """What other permits are to it: those that follow it, those that are issued in its time, and of emergency work the site's others."""
    permit = draft.evidence().permit
    followers = among.followings([draft.key]).followers.get(draft.key, ()) if draft.key else ()
    digs = emergencies.digs([draft.site.pk]).get(draft.site.pk, ()) if draft.emergency else ()
    return {"issued": among.issued([draft.site.pk], (permit.valid_from, permit.valid_to)), "followers": followers, "digs": digs}


def usual_window(zone: Any, at: datetime) -> tuple[datetime, datetime]:
    """From now, in whole minutes, until the end of the day at the site; late in a day, until the end of the next."""
    at = at.replace(second=0, microsecond=0)
    ends = end_of_day(local_day(at, zone), zone)
    if ends - at < timedelta(hours=4):
        ends = end_of_day(local_day(ends, zone), zone)
    return max(at, day_start(local_day(at, zone), zone)), ends
