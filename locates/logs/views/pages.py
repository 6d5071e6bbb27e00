"""The pages of logs and layouts."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from locates.logs import desk, facts
from locates.logs.actions import rename, retire
from locates.logs.forms import NameForm, RetireForm, SieveForm
from locates.logs.models import Layout
from locates.surveys.books import LOCATES
from records import clock
from records.access import fetch, may, within
from records.firm.actions import actor
from records.firm.facts import own_zone
from records.ledger.facts import told_of
from records.paging import kept
from records.spreadsheet import answered

PAGE = 25


@require_safe
def log(request: HttpRequest, log: str) -> HttpResponse:
    """One log: what it shows beside the locate, with all others that count for that locate."""
    at = clock.now()
    found = fetch(facts.logs_within(request.user, at), request.user, facts.SEE, facts.TIES, log, at)
    logs = facts.of_locate(found.locate_id)
    beside = next(iter(facts.compared(logs)), None)
    zone = facts.zone_of(found.locate)
    shown = {
        "log": found,
        "others": [one for one in logs if one.pk != found.pk],
        "compared": beside,
        "techniques": desk.shown(beside) if beside else [],
        "facts": desk.log_facts(found, zone),
        "span": facts.span_says(found.locate),
        "measured": desk.measured_says(found.account),
        "may_strike": _may_enter(request, found.locate_id, at),
        "history": told_of("log", found.pk, zone),
    }
    return render(request, "logs/log.html", shown)


def _may_enter(request: HttpRequest, locate: str, at: Any) -> bool:
    return may(request.user, LOCATES.enter) and within(LOCATES.rows(), request.user, LOCATES.enter, LOCATES.ties, at).filter(pk=locate).exists()


@require_safe
def logs(request: HttpRequest) -> HttpResponse:
    """Locates whose log differs from what they claim."""
    at = clock.now()
    form, lines = _asked(request, at)
    page = Paginator(lines, PAGE).get_page(request.GET.get("page"))
    asked = form.chosen()
    shown = {"form": form, "page": page, "narrowed": bool(asked or form.errors), "kept": kept(request), "since": desk.since_says(asked, at)}
    return render(request, "logs/list.html", shown)


@require_safe
def logs_csv(request: HttpRequest) -> HttpResponse:
    at = clock.now()
    return answered("receiver-logs", at, desk.csv_rows(_asked(request, at)[1]))


def _asked(request: HttpRequest, at: Any) -> tuple[SieveForm, list[desk.Line]]:
    form = SieveForm(desk.sites_of(request.user, at), data=request.GET)
    return form, desk.lines(request.user, form.chosen(), at)


# layouts


@require_safe
def layouts(request: HttpRequest) -> HttpResponse:
    """Every layout that was ever told, those in use first."""
    if not may(request.user, facts.LAYOUT_SEE):
        raise Http404
    page = Paginator(facts.layouts(), PAGE).get_page(request.GET.get("page"))
    return render(request, "logs/layouts.html", {"page": page, "kept": kept(request)})


@require_safe
def layout(request: HttpRequest, layout: str) -> HttpResponse:
    """One layout in words."""
    found, zone = _layout(request, layout, facts.LAYOUT_SEE), own_zone(request.user, clock.now())
    shown = {
        "layout": found,
        "facts": desk.layout_facts(found),
        "count": found.logs.count(),
        "may_enter": may(request.user, facts.LAYOUT_ENTER),
        "history": told_of("layout", found.pk, zone),
    }
    return render(request, "logs/layout.html", shown)


def _layout(request: HttpRequest, key: str, act: str) -> Layout:
    if not may(request.user, act):
        raise Http404
    return get_object_or_404(Layout, pk=key.replace("\0", ""))


@require_http_methods(["GET", "POST"])
def rename_layout(request: HttpRequest, layout: str) -> HttpResponse:
    found = _layout(request, layout, facts.LAYOUT_ENTER)
    form = NameForm(data=request.POST if request.method == "POST" else None, initial={"name": found.name})
    if request.method == "POST" and form.is_valid():
        changed = rename(found.pk, form.cleaned_data["name"], actor(request.user), clock.now())
        messages.success(request, f"The layout is called {form.cleaned_data['name']}{' now' if changed else ', as it was'}.")
        return redirect("layout", found.pk)
    return render(request, "logs/change_layout.html", {"layout": found, "form": form, "verb": "Rename"})


@require_http_methods(["GET", "POST"])
def retire_layout(request: HttpRequest, layout: str) -> HttpResponse:
    """Read no more files by it. It stays, with the reason, and so do the logs that it read."""
    found = _layout(request, layout, facts.LAYOUT_ENTER)
    if found.retired_at is not None:
        raise Http404
    form = RetireForm(data=request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        retire(found.pk, form.cleaned_data["why"], actor(request.user), clock.now())
        messages.success(request, f"Layout {found.name} is retired. It stays, with the reason.")
        return redirect("layout", found.pk)
    return render(request, "logs/change_layout.html", {"layout": found, "form": form, "verb": "Retire"})
