"""The page of a site's grid: how it lies on the Earth, and a position tried either way round."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from locates.grids.books import GRIDS
from locates.grids.forms import FromEarth, FromSite
from locates.grids.rules.words import lie_says
from records import clock
from records.books.reaching import found
from records.rules.text import Unfit


@require_safe
def grid(request: HttpRequest, site: str) -> HttpResponse:
    stored = found(GRIDS, request.user, GRIDS.see, site, clock.now())
    try:
        made = stored.projection()
    except Unfit as fault:
        return render(request, "grids/grid.html", {"grid": stored, "fault": str(fault)})
    shown = {"from_earth": FromEarth(made, request.GET), "from_site": FromSite(made, request.GET), "lie": lie_says(made.lie())}
    return render(request, "grids/grid.html", {"grid": stored, **shown})
