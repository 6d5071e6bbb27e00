"""The pages of a dig's diary. What is handed in is a plain form; a phone may send it later, and more than once."""

from collections.abc import Callable, Mapping
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from locates.fieldwork.receiving import UNFIT, Receipt, faulty, received
from locates.life.facts import lives
from locates.lookovers import desk, forms, offering, sifting
from locates.lookovers.actions import Making, NotOpen, Told, expose, write
from locates.lookovers.facts import SEE, doubted, may_write
from locates.lookovers.models import DiaryRow
from locates.lookovers.paper import diary_pdf
from locates.lookovers.rules.words import EVENT, EXPOSURE, LOOK_OVER, OWNERS, SWEEP
from locates.permits import lists
from locates.permits.models import Permit
from locates.permits.views import allowed
from records import clock
from records.access import may
from records.exchange.entering import Entered
from records.firm import later
from records.headers import asks_json, keep_for
from records.letters.actions import deliver
from records.paging import kept
from records.rules.dates import instant_says
from records.spreadsheet import answered

PAGE = 50
CLOSED = "Only those on permit {permit} write in its diary, and only while it runs. Nothing was recorded."
STOPPED = "Recorded, and the work is stopped. Keep everyone clear; the permit’s issuer and the safety manager are told."
NOT_STOPPED = "Recorded. The work was not stopped by it, for nobody digs by this permit as it stands now: read how it stands."
Do = Callable[[Permit, Receipt, Any], DiaryRow | Entered]


def _page(request: HttpRequest, permit: str, form: Callable[[Permit, Mapping[str, Any] | None, int], dict[str, Any]], what: tuple[str, Do]) -> HttpResponse:
    """The page of a form, or what came of it. `form` gives what the page shows, under `form` the one that was handed in; `what`: its template, its doing."""
    at = clock.now()
    found = allowed(request, permit, at)
    if request.method == "POST":
        return received(request, at, lambda receipt: _handed(request, found, receipt, form, what))
    if not may_write(lives([found], at)[found.pk], request.user.pk):
        messages.info(request, CLOSED.format(permit=permit))
        return redirect("permit", permit)
    page = render(request, what[0], _shown(request, found, form(found, None, DiaryRow.objects.filter(permit=found).count())))
    return keep_for(request.user, page) if lists.own_ahead(request.user, at).filter(pk=permit).exists() else page


def _handed(request: HttpRequest, found: Permit, receipt: Receipt, form: Any, what: tuple[str, Do]) -> HttpResponse:
    shown = form(found, request.POST, 0)
    bound = shown["form"]
    try:
        row = what[1](found, receipt, bound) if bound.is_valid() else None
    except NotOpen:
        return _closed(request, found)
    if isinstance(row, Entered):
        bound.say(row.problems)
    if not bound.is_valid():
        return faulty(bound.errors) if asks_json(request) else render(request, what[0], _shown(request, found, shown), status=UNFIT)
    if row.stop_id:
        later.after_the_answer(deliver, receipt.at)
    if receipt.answer:
        return receipt.done(request)
    when = instant_says(row.happened_at, ZoneInfo(found.site.time_zone))
    messages.info(request, f"That was handed in twice. It was recorded once, on {when}.")
    return redirect("permit", found.pk)


def _shown(request: HttpRequest, found: Permit, form: dict[str, Any]) -> dict[str, Any]:
    # what waits on a phone to be sent is told apart by where its form stands
    return {"permit": found, "here": {"sheet": request.path}} | form


def _closed(request: HttpRequest, found: Permit) -> HttpResponse:
    says = CLOSED.format(permit=found.pk)
    if asks_json(request):
        return faulty({"": [says]})
    messages.error(request, says)
    return redirect("permit", found.pk)


def _root(request: HttpRequest) -> str:
    return request.build_absolute_uri("/")


def _answer(receipt: Receipt, found: Permit, says: str) -> Making:
    """What is answered: that it stopped the work, where it did; and the permit's page comes next."""

    def made(row: DiaryRow) -> Any:
        told = says if row.sound else STOPPED if row.stop_id else NOT_STOPPED
        return receipt.beside(told, reverse("permit", args=[found.pk]))

    return made


def _told(kind: str, receipt: Receipt, form: Any, **columns: Any) -> Told:
    # a phone's own key tells its pieces apart; what a page showed says nothing where the page was kept for days
    return Told(kind, receipt.happened, form.cleaned_data["seen"] if receipt.key is None else None, **columns)


# what is recorded


@require_http_methods(["GET", "POST"])
def look_over(request: HttpRequest, permit: str) -> HttpResponse:
    """The look-over before work: all as it should be in one tap, or what is not, which stops the work."""

    def done(found: Permit, receipt: Receipt, form: Any) -> DiaryRow:
        columns = {name: form.cleaned_data[name] for name in ("wrong", "note", "action", "further") if name in form.cleaned_data}
        columns |= {"wrong": tuple(columns.get("wrong", ())), "agreed": OWNERS in form.shown}
        says = "The look-over is recorded: all as it should be. Every service is still taken as live."
        return write(found.pk, request.user, _told(LOOK_OVER, receipt, form, **columns), receipt.at, root=_root(request), answer=_answer(receipt, found, says))

    return _page(request, permit, offering.look_over, ("lookovers/look_over.html", done))


@require_http_methods(["GET", "POST"])
def sweep_again(request: HttpRequest, permit: str) -> HttpResponse:
    """A sweep made again as the dig goes deeper. What is not on the plan stops the work."""

    def done(found: Permit, receipt: Receipt, form: Any) -> DiaryRow:
        given = form.cleaned_data
        columns = {"techniques": tuple(given["techniques"]), "receiver_id": given["receiver"], "found": given["found"] == forms.SOMETHING}
        columns |= {name: given[name] for name in ("place", "depth_m", "note")}
        says = "The sweep is recorded. That nothing new came up is no proof that nothing is there."
        return write(found.pk, request.user, _told(SWEEP, receipt, form, **columns), receipt.at, root=_root(request), answer=_answer(receipt, found, says))

    return _page(request, permit, offering.sweep, ("lookovers/sweep.html", done))


@require_http_methods(["GET", "POST"])
def exposed(request: HttpRequest, permit: str) -> HttpResponse:
    """A service exposed by hand: a trial hole of the permit's locate. One that no trace shows stops the work."""
    at = clock.now()
    if allowed(request, permit, at).locate_id is None:
        raise Http404

    def done(found: Permit, receipt: Receipt, form: Any) -> DiaryRow | Entered:
        told = _told(EXPOSURE, receipt, form, note=form.cleaned_data["note"], found=not form.cleaned_data["trace"])
        answer = _answer(receipt, found, "The exposure is recorded, as a trial hole of the permit’s locate.")
        return expose(found.pk, request.user, offering.hole(found, receipt, form, request.user), told, receipt.at, root=_root(request), answer=answer)

    return _page(request, permit, lambda found, data, seen: offering.expose(found, data, seen, request.GET), ("lookovers/expose.html", done))


@require_http_methods(["GET", "POST"])
def happened(request: HttpRequest, permit: str) -> HttpResponse:
    """It rained, or something happened: a look-over is owed again."""

    def done(found: Permit, receipt: Receipt, form: Any) -> DiaryRow:
        columns = {name: form.cleaned_data[name] for name in ("occasion", "note")}
        says = "Recorded. Nobody digs before the ground is looked over again."
        return write(found.pk, request.user, _told(EVENT, receipt, form, **columns), receipt.at, answer=_answer(receipt, found, says))

    return _page(request, permit, offering.event, ("lookovers/happened.html", done))


# what was recorded


@require_safe
def diary(request: HttpRequest, permit: str) -> HttpResponse:
    """The whole diary of one permit, day by day."""
    at = clock.now()
    found = allowed(request, permit, at)
    life = lives([found], at)[found.pk]
    return render(
        request,
        "lookovers/diary.html",
        desk.diary(found, life, request.user, at) | {"heading": desk.heading(found, life, at), "may_diaries": may(request.user, SEE)},
    )


@require_safe
def diary_paper(request: HttpRequest, permit: str) -> HttpResponse:
    at = clock.now()
    found = allowed(request, permit, at)
    paper = diary_pdf(desk.on_paper(found, lives([found], at)[found.pk], request.user, at))
    return HttpResponse(paper, content_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{found.pk}-diary.pdf"'})


@require_safe
def diaries(request: HttpRequest) -> HttpResponse:
    """What was recorded at all digs, the latest first."""
    if not may(request.user, SEE):
        raise Http404
    at = clock.now()
    asked = sifting.asked(request.GET, request.user, at)
    page = Paginator(asked.rows, PAGE).get_page(request.GET.get("page"))
    doubts = doubted(page.object_list, at)
    lines = [(row, desk.line(row, doubts.get(row.pk, ()))) for row in page.object_list]
    return render(
        request, "lookovers/diaries.html", {"form": asked.form, "narrowed": asked.form.narrowed(), "page": page, "lines": lines, "kept": kept(request)}
    )


@require_safe
def diaries_csv(request: HttpRequest) -> HttpResponse:
    if not may(request.user, SEE):
        raise Http404
    at = clock.now()
    return answered("diaries", at, sifting.csv_rows(sifting.asked(request.GET, request.user, at).rows))
