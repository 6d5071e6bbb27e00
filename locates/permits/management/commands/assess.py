"""May these permits be signed, until when, and if not, why."""

import json
import sys
from argparse import ArgumentParser
from collections.abc import Iterator
from datetime import datetime
from itertools import islice
from typing import Any

from django.db.models import QuerySet

from locates.permits.facts import gather
from locates.permits.models import Permit
from locates.permits.rules.gate import assess
from locates.permits.since import not_over
from records.base import ByCodePoint
from records.clock import now
from records.command import WRONG_CALL, OwnCommand, WrongCall, instant
from records.firm.models import Site
from records.rules.dates import instant_says
from records.rules.verdict import Finding, Verdict, as_data

BATCH = 1000
ALL_CLEAR, BLOCKED = 0, 1


class Command(OwnCommand):
    help = "Says of each permit whether it may be signed, until when, and if not why. Exit status: 0 all may be, 1 at least one is blocked, 2 wrong call."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("permits", nargs="*", metavar="PERMIT", help="by default all that are neither handed back, cancelled nor ended")
        parser.add_argument("--site", help="only permits of this site")
        parser.add_argument("--at", metavar="INSTANT", help="judge at this instant, such as 2027-03-04T07:30+10:00; by default now")
        parser.add_argument("--json", action="store_true", help="print the verdicts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            at = instant(options["at"], now())
            chosen = choose(options["permits"], options["site"])
        except WrongCall as wrong:
            self.stderr.write(str(wrong))
            sys.exit(WRONG_CALL)
        write = self.as_json if options["json"] else self.as_text
        sys.exit(BLOCKED if write(verdicts(chosen, at)) else ALL_CLEAR)

    def as_json(self, judged: Iterator[Verdict]) -> bool:
        """One verdict a line, so that any number of them need not be held at once."""
        blocked, opening = False, "["
        for verdict in judged:
            blocked |= not verdict.clear
            self.stdout.write(opening + json.dumps(as_data(verdict)), ending="")
            opening = ",\n "
        self.stdout.write("]" if opening != "[" else "[]")
        return blocked

    def as_text(self, judged: Iterator[Verdict]) -> bool:
        blocked = False
        for verdict in judged:
            blocked |= not verdict.clear
            self.stdout.write("\n".join(lines(verdict)) + "\n")
        return blocked


def choose(names: list[str], site: str | None) -> QuerySet[Permit]:
    """The permits named, of the site; both must hold. Raises WrongCall for a name that nothing bears."""
    chosen = Permit.objects.order_by(ByCodePoint("permit"))
    if site is not None:
        if not Site.objects.filter(site=site).exists():
            raise WrongCall(f"there is no site {site}")
        chosen = chosen.filter(site=site)
    if not names:
        return not_over(chosen)
    known = set(Permit.objects.filter(permit__among=names).values_list("permit", flat=True))
    if unknown := [name for name in names if name not in known]:
        raise WrongCall(f"there is no permit {', '.join(unknown)}")
    return chosen.filter(permit__among=names)


def verdicts(chosen: QuerySet[Permit], at: datetime) -> Iterator[Verdict]:
    """Judge in batches, so that memory stays bounded."""
    keys = chosen.values_list("permit", flat=True).iterator()
    while batch := list(islice(keys, BATCH)):
        for evidence in gather(chosen.filter(permit__among=batch)):
            yield assess(evidence, at)


def lines(verdict: Verdict) -> Iterator[str]:
    until = f"good until {instant_says(verdict.good_until, verdict.zone)} ({', '.join(verdict.limited_by)})"
    yield f"{verdict.permit}: " + (f"no block; {until}" if verdict.clear else "NOT TO DIG")
    for word, findings in (("blocked", verdict.blocks), ("caution", verdict.cautions)):
        for finding in findings:
            yield f"  {word}  {finding.code}  {finding.subject}{since(finding, verdict)}\n      {finding.says} {finding.remedy}"
    for condition in verdict.conditions:
        yield f"  keep to  {condition.code}  {condition.subject}\n      {condition.says}"


def since(finding: Finding, verdict: Verdict) -> str:
    return f"  since {instant_says(finding.since, verdict.zone)}" if finding.since else ""
