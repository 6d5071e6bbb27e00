"""What a permit's own page says of its papers, and what the pages say on which it is closed: which are out, and what each is worth now."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.urls import reverse

from locates.life.models import Step
from locates.life.rules.undoing import weighed
from locates.papers.actions import STEPPED, sheet_now, upon
from locates.papers.desk import GO, MIND, STOP, WORDS, standing_now
from locates.papers.models import Paper
from locates.papers.rules import CHANGED, LATEST, REPLACED, mark_of, worth
from locates.permits.desk import DEEDS
from locates.permits.lists import TIES
from locates.permits.models import Permit, SignOff
from records.access import within
from records.firm.models import Person
from records.rules.dates import instant_says

ACT = "permit.print"
WORTH = {
    LATEST: (GO, "The latest, and nothing on it has changed."),
    CHANGED: (MIND, "The latest that was printed, but the permit has changed since."),
    REPLACED: (STOP, "Replaced: nobody works on it any more."),
}
ANEW = " Print it anew."  # of one that has changed, while there can be a paper to work on


@dataclass(frozen=True)
class Issued:
    """A paper: when and by whom it was printed first, upon which sheet, what it is worth now, and where it and the page at its address are."""

    version: int
    when: str
    by: str
    upon: str
    kind: str
    worth: str
    sealed: bool
    file: str
    address: str


def part(permit: Permit, reader: Person, at: datetime) -> dict[str, Any] | None:
    """The papers of a permit, the latest first, to who may print it."""
    papers = _out(permit, reader, at)
    if not papers:
        return None
    now, sheet = sheet_now(permit.pk, at)
    kind, word, says = WORDS[standing_now(now, weighed(now.evidence, now.verdict, now.life.signed_at)).word]
    latest, *older = _told(permit, papers, upon(sheet), stopped=kind == STOP)
    held = f"{word}. {says}" if kind == STOP else ""
    return {"template": "papers/_of_permit.html", "place": ("papers", "Papers"), "latest": latest, "older": older, "held": held}


def to_bring_back(permit: Permit, reader: Person, at: datetime) -> dict[str, Any] | None:
    """The papers that are to be together again before a permit is closed."""
    zone = ZoneInfo(permit.site.time_zone)
    papers = [f"version {one.version}, printed {instant_says(one.printed_at, zone)} by {one.person.name}" for one in _out(permit, reader, at)]
    return {"template": "papers/_to_bring_back.html", "papers": papers} if papers else None


def _out(permit: Permit, reader: Person, at: datetime) -> list[Paper]:
    """All that were issued, the latest first; none to who may not print it."""
    reached = within(Permit.objects.filter(pk=permit.pk), reader, ACT, TIES, at)
    return list(Paper.objects.filter(permit__in=reached).select_related("person").order_by("-version"))


def _told(permit: Permit, papers: Sequence[Paper], now: str, *, stopped: bool) -> list[Issued]:
    zone, sheets = ZoneInfo(permit.site.time_zone), _sheets(permit)
    prints = [one.told for one in reversed(papers)]
    found = []
    for one in papers:
        told = worth(mark_of(one.told), prints, now)
        kind, says = WORTH[told]
        found.append(
            Issued(
                version=one.version,
                when=instant_says(one.printed_at, zone),
                by=one.person.name,
                upon=sheets.get(one.digest, "with what the gate found by then"),
                kind=MIND if stopped and kind == GO else kind,
                worth=says + ANEW if told == CHANGED and not stopped else says,
                sealed=bool(one.sealed_by),
                file=reverse("issued_paper", args=[permit.pk, one.version]),
                address=reverse("look_up_paper", args=[one.key, mark_of(one.told)]),
            )
        )
    return found


def _sheets(permit: Permit) -> dict[str, str]:
    """What each sheet is that was signed or stepped upon, by its digest."""
    signed = {one.digest: f"as {DEEDS[one.meaning][1]} by {one.printed_name}" for one in SignOff.objects.filter(permit=permit).defer("sheet", "verdict")}
    stepped = Step.objects.filter(permit=permit, act__in=STEPPED).defer("sheet", "verdict")
    return signed | {one.digest: f"as {STEPPED[one.act].lower()} by {one.printed_name}" for one in stepped}
