"""Bringing a log in: the file, its columns, and a last look at how it reads. All that was chosen stands in the address, and nothing is kept until the end."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.contrib import messages
from django.core.files import File
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods, require_safe

from locates.logs import coming, facts, waiting
from locates.logs.actions import KeptAlready, New, Retired, keep_log
from locates.logs.forms import FileForm, KeepForm
from locates.logs.models import Layout, Log
from locates.logs.rules.layout import How, with_words
from locates.logs.rules.reading import Fault, Rows
from locates.logs.rules.use import account
from locates.surveys.books import LOCATES
from locates.surveys.models import Locate
from records import clock
from records.access import fetch
from records.firm.actions import actor
from records.rules.text import Unfit


@dataclass(frozen=True)
class Waiting:
    """The locate, and the file that waits to be tied to it; `path` None: it is gone."""

    locate: Locate
    token: str
    path: Path | None
    name: str


def _locate(request: HttpRequest, key: str, at: datetime) -> Locate:
    """The locate, for who may tie a log to it."""
    return fetch(LOCATES.rows(), request.user, facts.ENTER, LOCATES.ties, key, at)


def _waiting(request: HttpRequest, key: str, at: datetime) -> Waiting:
    locate, token = _locate(request, key, at), request.GET.get("file", "")
    path, name = waiting.found(token, locate.pk, request.user.pk) or (None, "")
    return Waiting(locate, token, path, name)


def _gone(request: HttpRequest, one: Waiting) -> HttpResponse:
    if one.token:
        messages.error(request, "That file waits no longer: it was kept already, was chosen more than a day ago, or by somebody else. Choose it again.")
    return redirect("add_log", one.locate.pk)


@require_http_methods(["GET", "POST"])
def add(request: HttpRequest, locate: str) -> HttpResponse:
    """The first step: the file. One with a known header is read by its layout, any other is mapped."""
    at = clock.now()
    found = _locate(request, locate, at)
    form = FileForm(data=request.POST, files=request.FILES) if request.method == "POST" else FileForm()
    if request.method == "POST" and form.is_valid():
        path, token = waiting.put_by(form.cleaned_data["file"], found.pk, request.user.pk, at)
        known = coming.fitting(path)
        asked = {"file": token} | ({"layout": known[0].pk} if len(known) == 1 else {})
        return redirect(f"{reverse('read_log' if len(known) == 1 else 'map_log', args=[found.pk])}?{urlencode(asked)}")
    return render(request, "logs/add.html", {"locate": found, "span": facts.span_says(found), "form": form})


@require_safe
def map_columns(request: HttpRequest, locate: str) -> HttpResponse:
    """The second step: how the file is written, and which of its columns is what."""
    one = _waiting(request, locate, clock.now())
    if one.path is None:
        return _gone(request, one)
    mapped = coming.mapped(one.path, request.GET, one.locate)
    if mapped.how is not None and "change" not in request.GET:
        return redirect(f"{reverse('read_log', args=[one.locate.pk])}?{request.GET.urlencode()}")
    return render(request, "logs/map.html", {"one": one, "locate": one.locate, "mapped": mapped, "known": coming.fitting(one.path)})


@require_http_methods(["GET", "POST"])
def read_log(request: HttpRequest, locate: str) -> HttpResponse:
    """The last look: how the file reads, and what its words mean; and then it is kept, all of it or nothing."""
    at = clock.now()
    one = _waiting(request, locate, at)
    if one.path is None:
        return _gone(request, one)
    layout = get_object_or_404(Layout, pk=request.GET["layout"].replace("\0", ""), retired_at=None) if "layout" in request.GET else None
    how = layout.reads if layout else coming.mapped(one.path, request.GET, one.locate).how
    if how is None:
        return redirect(f"{reverse('map_log', args=[one.locate.pk])}?{request.GET.urlencode()}")
    rows = coming.readings(one.path, how, one.locate)
    form = KeepForm(coming.unknown(rows, how), layout is None, data=request.POST if request.method == "POST" else None)
    if request.method == "POST" and not rows.faults and form.is_valid():
        made = _keep(request, one, New(form.cleaned_data["name"], with_words(how, form.meanings())) if layout is None else layout, form, rows, at)
        if made is not None:
            messages.success(request, f"The log is kept with locate {one.locate} as {made}.")
            return redirect("log", made.pk)
    shown = {"one": one, "locate": one.locate, "layout": layout, "rows": rows, "form": form, "preview": coming.preview(rows, how, one.locate)}
    return render(request, "logs/read.html", shown | {"span": facts.span_says(one.locate), "again": coming.again(request.GET)})


def _keep(request: HttpRequest, one: Waiting, by: New | Layout, form: KeepForm, rows: Rows, at: datetime) -> Log | None:
    """Keep it; where it cannot be, that is said with what was read."""
    words = form.meanings()
    how: How = by.how if isinstance(by, New) else with_words(by.reads, words)
    try:
        summed = account(rows, how.words, facts.zone_of(one.locate), facts.yardstick(one.locate.site, one.locate.started_at), facts.cuts(one.locate))
        with one.path.open("rb") as opened:
            made = keep_log(one.locate, File(opened, one.name), by, words, summed, actor(request.user), at)
    except (Unfit, KeptAlready) as fault:
        rows.say(Fault(0, "", str(fault)))
        return None
    except Retired:
        raise Http404 from None
    waiting.let_go(one.path)
    return made
