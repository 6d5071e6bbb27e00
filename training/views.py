"""People × authorisations: the matrix, who could stand in for whom, and what lapses ahead."""

from datetime import date

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from records import clock
from records.access import fetch, may
from records.firm.facts import own_zone
from records.firm.models import Person
from records.paging import kept
from records.rules.dates import day_says, instant_says, local_day
from records.rules.words import AUTHORISATIONS, spoken
from records.spreadsheet import answered
from training import cover
from training.facts import posted_with, rows_of
from training.paper import ahead_pdf, ahead_svg, cover_pdf
from training.rules.matrix import AHEAD, Row, counted, gaps_by_thing, stand_ins

PAGE = 50
SHOWN_STAND_INS = 30


def _asked(request: HttpRequest) -> cover.Asked:
    if not may(request.user, cover.ACT):
        raise Http404
    return cover.asked(request.user, clock.now(), request.GET)


@require_safe
def matrix(request: HttpRequest) -> HttpResponse:
    found = _asked(request)
    page = Paginator(found.rows, PAGE).get_page(request.GET.get("page"))
    gaps = gaps_by_thing(found.rows)
    shown = {
        "form": found.form,
        "narrowed": found.form.narrowed(),
        "page": page,
        "kept": kept(request),
        "heads": [(spoken(thing), gaps[thing]) for thing in AUTHORISATIONS],
        "rows": [(row, cover.cells(row, found.day, may_enter=may(request.user, "award.enter"))) for row in page.object_list],
        "gaps": sum(gaps.values()),
        "may_enter": may(request.user, "person.enter"),
        "day": day_says(found.day),
        "zone": found.zone.key,
    }
    return render(request, "training/matrix.html", shown)


@require_safe
def matrix_csv(request: HttpRequest) -> HttpResponse:
    found = _asked(request)
    return answered("cover", found.now, cover.csv_rows(found))


@require_safe
def matrix_pdf(request: HttpRequest) -> HttpResponse:
    found = _asked(request)
    heads = ("Person", *(spoken(thing) for thing in AUTHORISATIONS))
    rows = [(f"{row.name} ({row.person})", *_words(row, found.day)) for row in found.rows]
    asked = f"{len(rows)} {'person' if len(rows) == 1 else 'people'}; a gap is what a role needs and somebody is not in date for. {_made(request, found)}"
    return _pdf(cover_pdf("People and what they are authorised for", asked, day_says(found.day), heads, rows), "cover")


def _made(request: HttpRequest, found: cover.Asked) -> str:
    """From whose page the paper was made, when, of which people, and by which clock its days run."""
    whose = f"Made {instant_says(found.now, found.zone)} from the page of {request.user.name} ({request.user.pk})."
    return " ".join([whose, *cover.narrowed_says(found.form), f"Days by the clock of {found.zone.key}."])


def _words(row: Row, day: date) -> list[str]:
    return [f"GAP: {cell.word}" if cell.gap else cell.word for cell in cover.cells(row, day, may_enter=False)]


def _pdf(made: bytes, name: str) -> HttpResponse:
    return HttpResponse(made, content_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{name}.pdf"'})


@require_safe
def ahead(request: HttpRequest) -> HttpResponse:
    found = _asked(request)
    every = cover.ahead(found)
    counts, alike = counted(every), cover.together(every)
    groups = [("Lapsed already", 0), *((f"Within {days} days", days) for days in AHEAD)]
    shown = {
        "form": found.form,
        "narrowed": found.form.narrowed(),
        "kept": kept(request),
        "figures": [(title, counts[days]) for title, days in groups],
        "groups": [(title, [(one, cover.lapse_says(one)) for one in every if one.within == days]) for title, days in groups],
        # drawn by our own paper, which escapes every word in it
        "chart": mark_safe(ahead_svg(cover.chart(found, alike[: cover.MOST_BARS]))) if every else "",
        "more": max(len(alike) - cover.MOST_BARS, 0),
        "day": day_says(found.day),
        "zone": found.zone.key,
    }
    return render(request, "training/ahead.html", shown)


@require_safe
def ahead_csv(request: HttpRequest) -> HttpResponse:
    found = _asked(request)
    heads = ["person", "name", "authorisation", "state", "good_through", "since", "within_days"]
    rows = (
        [
            one.row.person,
            one.row.name,
            one.standing.thing,
            one.standing.state,
            str(one.standing.good_through or ""),
            str(one.standing.since or ""),
            str(one.within),
        ]
        for one in cover.ahead(found)
    )
    return answered("lapses", found.now, (heads, *rows))


@require_safe
def ahead_paper(request: HttpRequest) -> HttpResponse:
    found = _asked(request)
    every = cover.ahead(found)
    rows = [(f"{one.row.name} ({one.row.person})", spoken(one.standing.thing), cover.lapse_says(one)) for one in every]
    return _pdf(ahead_pdf(_made(request, found), day_says(found.day), cover.chart(found, cover.together(every)), rows), "lapses")


@require_safe
def stand_in(request: HttpRequest, person: str) -> HttpResponse:
    """Who could do today what this person's roles need, or one thing of it."""
    at, zone = clock.now(), own_zone(request.user, clock.now())
    if not may(request.user, cover.ACT):
        raise Http404
    whom = fetch(Person.objects.all(), request.user, cover.ACT, cover.TIES, person, at)
    of = rows_of([whom], zone, at)[0]
    wanted = [thing for thing in AUTHORISATIONS if thing in (request.GET.getlist("thing") or of.needed)]
    others = rows_of(cover.still_here(cover.people(request.user, at), local_day(at, zone)), zone, at)
    every = stand_ins(of, wanted, others, posted_with(whom, at)) if wanted else []
    shown = {
        "whom": whom,
        "things": [(thing, spoken(thing), thing in wanted) for thing in AUTHORISATIONS],
        "wanted": ", ".join(map(spoken, wanted)),
        "can": [(one, day_says(one.good_through) if one.good_through else "") for one in every if not one.lacks][:SHOWN_STAND_INS],
        "almost": [(one, ", ".join(map(spoken, one.lacks))) for one in every if one.lacks and len(one.lacks) < max(len(wanted), 2)][:SHOWN_STAND_INS],
        "day": day_says(local_day(at, zone)),
        "zone": zone.key,
    }
    return render(request, "training/stand_in.html", shown)
