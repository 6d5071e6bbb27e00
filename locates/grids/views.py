"""The pages of a site's grid: how it lies on the Earth, a position tried either way round, and tracks brought into its metres."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods, require_safe

from locates.grids.books import GRIDS
from locates.grids.facts import grid_of
from locates.grids.forms import FromEarth, FromSite, TrackForm
from locates.grids.rules.shapes import AREA, LINE, POINT
from locates.grids.rules.tracks import Offer
from locates.grids.rules.words import lie_says
from records import clock
from records.access import may
from records.books.catalogue import books
from records.books.reaching import found
from records.firm.models import Person
from records.rules.text import Unfit

# by the kind of a shape: the books whose forms take it, and their columns for it
TAKEN_BY = {
    POINT: (("holes", ("x", "y")),),
    LINE: (("traces", ("line",)), ("planned-lines", ("line",))),
    AREA: (("sweeps", ("area",)), ("enquiries", ("area",))),
}
LONGEST_IN_AN_ADDRESS = 2_000


@require_safe
def grid(request: HttpRequest, site: str) -> HttpResponse:
    stored = found(GRIDS, request.user, GRIDS.see, site, clock.now())
    try:
        made = stored.projection()
    except Unfit as fault:
        return render(request, "grids/grid.html", {"grid": stored, "fault": str(fault)})
    shown = {"from_earth": FromEarth(made, request.GET), "from_site": FromSite(made, request.GET), "lie": lie_says(made.lie())}
    return render(request, "grids/grid.html", {"grid": stored, **shown})


@dataclass(frozen=True)
class Taken:
    """A shape that is offered, and where it may be taken: what as, and the address of the form that begins with it."""

    offer: Offer
    by: tuple[tuple[str, str], ...]


@require_http_methods(["GET", "POST"])
def track(request: HttpRequest, site: str) -> HttpResponse:
    """A track file read and shown in the site's metres. Nothing is stored: what is of use is taken from here into a form."""
    stored = found(GRIDS, request.user, GRIDS.see, site, clock.now())
    made = grid_of(site)
    if made is None:
        raise Http404
    form = TrackForm(made, data=request.POST or None, files=request.FILES or None)
    shown = [Taken(one, tuple(_takers(one, site, request.user, request.GET.get("locate", "")))) for one in form.made] if form.is_valid() else []
    return render(request, "grids/track.html", {"grid": stored, "form": form, "shown": shown})


def _takers(offer: Offer, site: str, person: Person, locate: str) -> Iterator[tuple[str, str]]:
    """`locate`: the one that it is taken for, where it is of one."""
    for slug, columns in TAKEN_BY[offer.kind]:
        cells = [offer.typed] if len(columns) == 1 else offer.typed.split()
        if slug in books() and may(person, books()[slug].enter) and len(offer.typed) <= LONGEST_IN_AN_ADDRESS:
            asked = dict(zip(columns, cells, strict=True)) | ({"site": site} if books()[slug].site == "site" else {})
            asked |= {"locate": locate} if locate and any(one.column == "locate" for one in books()[slug].asks) else {}
            yield books()[slug].one, f"{reverse('enter', args=[slug])}?{urlencode(asked)}"
