"""First pages, and people's own dates."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.utils.http import http_date, quote_etag
from django.views.decorators.http import require_POST, require_safe

from locates.desks import answers, exposure, facts, first, own
from locates.desks.actions import end_key, new_key
from locates.desks.forms import SiteForm
from locates.desks.paper import competence_pdf
from locates.desks.rules.calendar import calendar
from records import clock
from records.access import fetch, may
from records.firm import throttle
from records.firm.facts import PEOPLE_TIES
from records.firm.models import Person, Site
from records.firm.views.door import TOO_MANY_REQUESTS, whence
from records.headers import keep_for
from records.ledger.chain import digest
from records.paging import kept
from records.spreadsheet import answered

GUESSES = "calendar"  # under what tries at calendar addresses are counted


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """What each of the person's roles looks for first."""
    return keep_for(request.user, render(request, "desks/home.html", first.page(request.user, clock.now(), request.GET)))


# what their phone keeps


@require_safe
def phone(request: HttpRequest) -> HttpResponse:
    """What is kept on this phone, and what waits there to be sent. The phone itself fills it in."""
    return keep_for(request.user, render(request, "desks/phone.html", {"days": first.KEPT_DAYS}))


@require_safe
def phone_take(request: HttpRequest) -> HttpResponse:
    """The addresses of the pages that the person's phone may take along."""
    return JsonResponse({"pages": first.along(request.user, clock.now())})


# one's own dates


@require_safe
def mine(request: HttpRequest) -> HttpResponse:
    at = clock.now()
    key = request.session.pop("feed_key", "")
    answered = _dates(request, request.user, at, key=key)
    return answered if key else keep_for(request.user, answered)  # a secret that is shown once is not kept


@require_safe
def dates(request: HttpRequest, person: str) -> HttpResponse:
    """Somebody else's dates, for who may see the person."""
    at = clock.now()
    return _dates(request, _within_sight(request, person, at), at)


def _within_sight(request: HttpRequest, person: str, at: datetime) -> Person:
    return fetch(Person.objects.all(), request.user, "person.see", PEOPLE_TIES, person, at)


def _dates(request: HttpRequest, person: Person, at: datetime, key: str = "") -> HttpResponse:
    known = facts.own(person, at)
    today = own.as_of(at, known)
    shown = {
        "person": person,
        "own": person.pk == request.user.pk,
        "lines": own.lines(known, today),
        "tools": own.tools(known, today),
        "practice": own.practised_lately(known, today),
        "zone": known.zone.key,
        "feed": request.build_absolute_uri(reverse("feed", args=[key])) if key else "",
        "has_feed": facts.has_key(person),
    }
    return render(request, "desks/mine.html", shown)


@require_safe
def competence(request: HttpRequest, person: str = "") -> HttpResponse:
    """The record of competence, one's own or of somebody within sight."""
    at = clock.now()
    found = _within_sight(request, person, at) if person else request.user
    known = facts.own(found, at)
    headers = {"Content-Disposition": f'inline; filename="competence-{found.pk}.pdf"'}
    return HttpResponse(competence_pdf(own.competence(known, own.as_of(at, known))), content_type="application/pdf", headers=headers)


# what falls due, of the whole firm or of one site


@require_safe
def kit_due(request: HttpRequest) -> HttpResponse:
    """Which instruments are due, and when."""
    at, form, site = _asked(request, "instrument.see")
    return render(request, "desks/kit_due.html", _head(request, form, site) | exposure.kit_page(request.user, at, site, request.GET))


@require_safe
def kit_due_csv(request: HttpRequest) -> HttpResponse:
    at, _, site = _asked(request, "instrument.see")
    return answered("instruments-due", at, exposure.kit_rows(request.user, at, site, request.GET))


@require_safe
def answers_due(request: HttpRequest) -> HttpResponse:
    """Which owners owe an answer, and which answers in use lapse, and when."""
    at, form, site = _asked(request, answers.ACT)
    return render(request, "desks/answers_due.html", _head(request, form, site) | answers.page(request.user, at, site, request.GET))


@require_safe
def answers_due_csv(request: HttpRequest) -> HttpResponse:
    at, _, site = _asked(request, answers.ACT)
    return answered("answers-due", at, answers.csv_rows(request.user, at, site, request.GET))


def _head(request: HttpRequest, form: SiteForm, site: Site | None) -> dict[str, Any]:
    return {"form": form, "site": site, "kept": kept(request), "beside": kept(request, "within")}


def _asked(request: HttpRequest, act: str) -> tuple[datetime, SiteForm, Site | None]:
    """When it is asked, for who may, and of which site."""
    if not may(request.user, act):
        raise Http404
    at = clock.now()
    form = exposure.site_form(request.user, at, request.GET)
    return at, form, form.chosen()


# the calendar


@require_POST
def feed_made(request: HttpRequest) -> HttpResponse:
    request.session["feed_key"] = new_key(request.user, clock.now())
    messages.success(request, "Your calendar has a new address. Any address before it no longer works.")
    return redirect("mine")


@require_POST
def feed_ended(request: HttpRequest) -> HttpResponse:
    ended = end_key(request.user, clock.now())
    messages.success(request, "The calendar's address no longer works." if ended else "There was no address to end.")
    return redirect("mine")


@login_not_required
@require_safe
def feed(request: HttpRequest, key: str) -> HttpResponse:
    """The calendar of whoever the key belongs to. A key that is none, was ended, or whose keeper left opens nothing, and is slow to guess."""
    at, address = clock.now(), f"{GUESSES}: {whence(request)}"
    keeper = facts.keeper_of(key)
    if keeper is None or keeper.has_left(at):
        if not throttle.knock(GUESSES, address, at):
            return HttpResponse("Too many tries.", status=TOO_MANY_REQUESTS, content_type="text/plain")
        raise Http404
    known = facts.own(keeper, at)
    text = calendar(f"Dates of {keeper.name}", own.entries(known, facts.firm_mark()))
    etag, changed = quote_etag(digest(text)), facts.last_changed(keeper)[1] or keeper.recorded_at
    headers = {"ETag": etag, "Last-Modified": http_date(changed.timestamp()), "Cache-Control": "private, no-cache", "X-Robots-Tag": "noindex"}
    response = HttpResponse(text, content_type="text/calendar; charset=utf-8", headers=headers)
    return get_conditional_response(request, etag=etag, response=response)
