"""The history as pages: its entries, the newest first, and each of them whole. Nothing is ever changed there."""

from collections.abc import Iterator
from datetime import UTC, datetime, time
from typing import Any

from django.conf import settings
from django.db.models import Q, QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.module_loading import import_string
from django.views.decorators.http import require_safe

from records import clock
from records.access import may
from records.ledger.chain import instant
from records.ledger.facts import as_told, each, kinds
from records.ledger.forms import HistoryForm
from records.ledger.models import Entry
from records.paging import kept
from records.rules.kinds import UTC_ZONE
from records.spreadsheet import answered

ACT = "history.see"
PAGE = 50
COLUMNS = ("entry", "recorded_at", "happened", "by", "by_name", "act", "about", "identifier", "printed", "why", "before_and_after", "hash")


def _asked(request: HttpRequest) -> tuple[HistoryForm, QuerySet[Entry]]:
    if not may(request.user, ACT):
        raise Http404
    form = HistoryForm(kinds(), data=request.GET)
    return form, _like(form.chosen())


def _like(asked: dict[str, Any]) -> QuerySet[Entry]:
    """The entries asked for, the newest first."""
    rows = Entry.objects.order_by("-seq")
    if kind := asked.get("kind"):
        rows = rows.filter(kind=kind)
    if subject := asked.get("subject"):
        rows = rows.filter(subject_id=subject)
    if by := asked.get("actor"):
        rows = rows.filter(_by(by))
    if act := asked.get("act"):
        rows = rows.filter(act__in=[one for one in each("act") if act in one])
    if since := asked.get("since"):
        rows = rows.filter(recorded_at__gte=datetime.combine(since, time(), UTC))
    if through := asked.get("through"):
        rows = rows.filter(recorded_at__lte=datetime.combine(through, time.max, UTC))
    return rows


def _by(text: str) -> Q:
    """By whom: an identifier as it stands, else part of a name. The names are few beside the entries, so they are looked through first."""
    if Entry.objects.filter(actor_id=text).exists():
        return Q(actor_id=text)
    return Q(actor_name__in=[one for one in each("actor_name") if text.casefold() in one.casefold()])


@require_safe
def history(request: HttpRequest) -> HttpResponse:
    """A page of entries; the next begins below the last one shown, so that the millionth is found as quickly as the first."""
    form, rows = _asked(request)
    below = request.GET.get("below", "")
    if below.isdecimal() and len(below) < 10:
        rows = rows.filter(seq__lt=int(below))
    some = list(rows[: PAGE + 1])
    shown = {
        "form": form,
        "narrowed": form.narrowed(),
        "lines": [(one, as_told(one, UTC_ZONE)) for one in some[:PAGE]],
        "below": some[PAGE - 1].seq if len(some) > PAGE else None,
        "later": bool(below),
        "kept": kept(request, "below"),
    }
    return render(request, "ledger/history.html", shown)


@require_safe
def history_csv(request: HttpRequest) -> HttpResponse:
    _, rows = _asked(request)
    return answered("history", clock.now(), _csv(rows))


def _csv(rows: QuerySet[Entry]) -> Iterator[tuple[str, ...]]:
    yield COLUMNS
    for one in rows.iterator(chunk_size=500):
        yield (
            str(one.seq),
            instant(one.recorded_at),
            one.happened,
            one.actor_id,
            one.actor_name,
            one.act,
            one.kind,
            one.subject_id,
            one.label,
            one.why,
            one.body,
            one.hash,
        )


@require_safe
def entry(request: HttpRequest, seq: int) -> HttpResponse:
    """One entry, whole."""
    if not may(request.user, ACT) or seq > 2**31:
        raise Http404
    found, zone = get_object_or_404(Entry, seq=seq), import_string(settings.LEDGER_ZONE)(request.user, clock.now())
    return render(request, "ledger/entry.html", {"entry": found, "told": as_told(found, zone)})
