"""What owners are still to be told, of all locates within somebody's reach, a page of locates at a time."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, OuterRef, QuerySet

from locates.surveys.books import LOCATES
from locates.surveys.models import Locate, Trace
from locates.trials.comparing import Compared, Marked, compared_by
from locates.trials.gathering import gathered
from locates.trials.models import PlannedLine, Report, TrialHole
from records.access import within
from records.base import ByCodePoint
from records.firm.facts import own_sites
from records.firm.models import Person
from records.rules.dates import instant_says

BATCH = 100


@dataclass(frozen=True)
class Owing:
    """A locate with what was found and is reported to nobody yet. `permit`: for whose dig that was reckoned."""

    locate: Locate
    permit: str
    when: str
    marked: list[Marked]


def candidates(person: Person, site: str, at: datetime) -> QuerySet[Locate]:
    """The locates that may have something to report, the latest first. Whether one has, its plans and its ground tell together.

    They have a line on no plan or a trial hole on no trace that no report is of; or lines that plans show, at a site where it is known where.
    """
    of = {"locate": OuterRef("pk")}
    loose = Trace.objects.filter(~Exists(Report.objects.filter(trace=OuterRef("pk"), service=None)), services=None, **of)
    dug = TrialHole.objects.filter(~Exists(Report.objects.filter(hole=OuterRef("pk"), service=None)), trace=None, **of)
    drawn = PlannedLine.objects.filter(service__enquiry__site=OuterRef("site"))
    shown = Exists(Trace.objects.filter(services__isnull=False, **of)) & Exists(drawn)
    rows = within(Locate.objects.filter(Exists(loose) | Exists(dug) | shown), person, LOCATES.see, LOCATES.ties, at)
    return (rows.filter(site=site) if site else rows).select_related("site", "operator").order_by("-started_at", ByCodePoint("locate"))


def owing(locates: Sequence[Locate], person: Person, at: datetime) -> list[Owing]:
    """Those of the locates that have something to report still, in their order. As many queries for one as for a thousand."""
    known = gathered(locates)
    return [one for locate in locates if (one := _owing(compared_by(known, locate, "", person, at))).marked]


def _owing(found: Compared) -> Owing:
    return Owing(found.locate, found.permit, instant_says(found.frame.at, found.zone), [one for one in found.marked if not one.reports])


def csv_rows(rows: QuerySet[Locate], person: Person, at: datetime) -> Iterator[list[str]]:
    """All of them as CSV, a batch of locates at a time, so that memory stays bounded."""
    yield ["site", "locate", "what", "owner", "trace", "hole", "service"]
    keys = list(rows.values_list("pk", flat=True))
    for start in range(0, len(keys), BATCH):
        for one in owing(list(rows.filter(locate__among=keys[start : start + BATCH])), person, at):
            told = [each.told for each in one.marked]
            yield from ([one.locate.site_id, one.locate.pk, each.says, each.owner, each.trace, each.hole, each.service] for each in told)


def sites_of(person: Person, at: datetime) -> list[tuple[str, str]]:
    """The sites to choose from."""
    return [(site.pk, str(site)) for site in own_sites(person, "site.see", at)]
