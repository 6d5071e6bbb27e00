"""How far readings agree with trial holes."""

from datetime import datetime
from zoneinfo import ZoneInfo

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from locates.trials import agreeing, facts
from records import clock
from records.access import may
from records.paging import kept
from records.rules.dates import day_says, local_day
from records.rules.words import spoken
from records.spreadsheet import answered

PAGE = 50


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
        "holes": [(one, spoken(one.hole.utility), _day(one), f"{agreeing.plain(one.hole.depth_m)} m", agreeing.off_says(one)) for one in page.object_list],
        "kept": kept(request),
    }
    return render(request, "trials/agreement.html", shown)


def _day(one: facts.Held) -> str:
    return day_says(local_day(one.hole.exposed_at, ZoneInfo(one.hole.locate.site.time_zone)))


@require_safe
def agreement_csv(request: HttpRequest) -> HttpResponse:
    at = clock.now()
    return answered("agreement", at, agreeing.csv_rows(_asked(request, at)))
