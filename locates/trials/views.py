"""How far readings agree with trial holes, and owners' plans with the ground."""

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.http import urlencode
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from locates.surveys.books import LOCATES
from locates.surveys.models import Locate
from locates.trials import agreeing, comparing, facts, owed
from locates.trials.forms import OwedForm
from locates.trials.paper import against_svg
from records import clock
from records.access import fetch, may
from records.paging import kept
from records.rules.dates import day_says, instant_says, local_day
from records.rules.words import spoken
from records.spreadsheet import answered

PAGE, LOCATES_A_PAGE = 50, 25


def _asked(request: HttpRequest, at: datetime) -> agreeing.Asked:
    if not may(request.user, facts.SEE):
        raise Http404
    return agreeing.asked(request.GET, at)


@require_safe
def agreement(request: HttpRequest) -> HttpResponse:
    """Of all readings, of each receiver's and each operator's: how far they agree with what trial holes showed."""
    found = _asked(request, clock.now())
    page = Paginator(found.held, PAGE).get_page(request.GET.get("page"))
    shown = {
        "form": found.form,
        "narrowed": found.form.narrowed(),
        "any": found.any,
        "whole": found.whole,
        "groups": [("By receiver", found.by("instrument")), ("By operator", found.by("operator"))],
        "least": found.least,
        "page": page,
        "holes": [_line(one) for one in page.object_list],
        "kept": kept(request),
    }
    return render(request, "trials/agreement.html", shown)


def _line(one: facts.Held) -> tuple[facts.Held | str, ...]:
    """A hole, and in words what was exposed, when, how deep it was seen, by how much the reading was off, and how far the line."""
    day = day_says(local_day(one.hole.exposed_at, ZoneInfo(one.hole.locate.site.time_zone)))
    return one, spoken(one.hole.utility), day, f"{agreeing.plain(one.hole.depth_m)} m", agreeing.off_says(one), agreeing.beside_says(one)


@require_safe
def agreement_csv(request: HttpRequest) -> HttpResponse:
    at = clock.now()
    return answered("agreement", at, agreeing.csv_rows(_asked(request, at)))


# plans against the ground


def _compared(request: HttpRequest, locate: str, at: datetime) -> comparing.Compared:
    rows = Locate.objects.select_related("site", "operator")
    found = fetch(rows, request.user, LOCATES.see, LOCATES.ties, locate, at)
    return comparing.compare(found, request.GET.get("permit", ""), request.user, at)


@require_safe
def plans(request: HttpRequest, locate: str) -> HttpResponse:
    """Each service of the owners' plans: how it was accounted for, and how far it lies from where the plan shows it."""
    found = _compared(request, locate, clock.now())
    says = f"Plans against ground of locate {found.locate}: planned lines dashed, traced lines whole, and where they lie farthest apart."
    drawn = against_svg(found.dig.outline, found.frame.locate.traces, found.shown, found.planned, found.holes, says)
    shown = _of_both(found) | {
        "owners": comparing.by_owner(found),
        "any_planned": bool(found.planned),
        "may_plan": may(request.user, "plannedline.enter"),
        "may_ask": may(request.user, "enquiry.enter"),
        # drawn by our own paper, which escapes every word in it
        "drawing": mark_safe(drawn),
    }
    return render(request, "trials/plans.html", shown)


@require_safe
def to_report(request: HttpRequest, locate: str) -> HttpResponse:
    """What the owners are to be told, and what they were."""
    return render(request, "trials/to_report.html", _of_both(_compared(request, locate, clock.now())))


def _of_both(found: comparing.Compared) -> dict[str, Any]:
    return {
        "locate": found.locate,
        "dig": found.dig.says,
        "permit": found.permit,
        "others": [one for one in found.permits if one != found.permit],
        "asked": urlencode({"permit": found.permit}) if found.permit else "",
        "when": instant_says(found.frame.at, found.zone),
        "finished": found.frame.finished_at is not None,
        "marked": [(one, one.says(found.zone)) for one in found.marked],
        "waiting": sum(not one.reports for one in found.marked),
    }


@require_safe
def still_owed(request: HttpRequest) -> HttpResponse:
    """What owners are still to be told, of every locate within reach, or of those of one site."""
    at = clock.now()
    form, rows = _owed(request, at)
    page = Paginator(rows, LOCATES_A_PAGE).get_page(request.GET.get("page"))
    shown = {"form": form, "page": page, "owing": owed.owing(list(page.object_list), request.user, at), "kept": kept(request)}
    return render(request, "trials/owed.html", shown)


@require_safe
def still_owed_csv(request: HttpRequest) -> HttpResponse:
    at = clock.now()
    return answered("to-report", at, owed.csv_rows(_owed(request, at)[1], request.user, at))


def _owed(request: HttpRequest, at: datetime) -> tuple[OwedForm, QuerySet[Locate]]:
    if not may(request.user, LOCATES.see):
        raise Http404
    form = OwedForm(owed.sites_of(request.user, at), data=request.GET)
    return form, owed.candidates(request.user, form.chosen(), at)


@require_safe
def to_report_csv(request: HttpRequest, locate: str) -> HttpResponse:
    at = clock.now()
    return answered(f"to-report-{locate}", at, comparing.csv_rows(_compared(request, locate, at)))
