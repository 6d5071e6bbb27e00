"""The guided locate's pages. A piece of it is a plain form that is posted; a phone may send it later, and more than once."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from locates.fieldwork import facts, guide, offering, sketching
from locates.fieldwork.actions import Finished, finish
from locates.fieldwork.beginning import begin as begun
from locates.fieldwork.beginning import sheet_for
from locates.fieldwork.forms import FinishForm
from locates.fieldwork.models import FieldSheet
from locates.fieldwork.pieces import PIECES, Clash, Piece
from locates.fieldwork.receiving import CONFLICT, UNFIT, Receipt, clash, faulty, received
from locates.fieldwork.rules import steps
from locates.surveys.books import LOCATES
from locates.surveys.models import Locate
from records import clock
from records.access import fetch, may
from records.firm import throttle
from records.firm.facts import own_sites
from records.firm.forms import TOO_MANY
from records.firm.models import Site
from records.firm.views.door import TOO_MANY_REQUESTS, whence
from records.headers import asks_json, keep_for

PAGE = 20
OVER = "Locate {locate} is finished: it no longer changes. Nothing was recorded."
CLASHED = "Nothing was recorded: somebody else changed this since you opened it. What is stored now stands here; record yours again if it still holds."


def allowed(request: HttpRequest, key: str, at: datetime) -> FieldSheet:
    """The sheet, if this person may write on it; to anyone else it is not there."""
    return fetch(facts.sheets(), request.user, facts.ENTER, facts.TIES, key, at)


@require_safe
def field(request: HttpRequest) -> HttpResponse:
    """One's own locates under way, and the sites at which one may be begun."""
    if not may(request.user, facts.ENTER):
        raise Http404
    at = clock.now()
    shown = {
        "page": Paginator(facts.under_way(request.user), PAGE).get_page(request.GET.get("page")),
        "sites": own_sites(request.user, facts.ENTER, at),
    }
    return keep_for(request.user, render(request, "fieldwork/field.html", shown))


@require_http_methods(["GET", "POST"])
def begin(request: HttpRequest, site: str) -> HttpResponse:
    at = clock.now()
    found = own_sites(request.user, facts.ENTER, at).filter(pk=site.replace("\0", "")).first() if may(request.user, facts.ENTER) else None
    if found is None:
        raise Http404
    if request.method == "POST":
        return received(request, at, lambda receipt: _begun(request, found, receipt))
    dig = request.GET.get("dig", "")
    sheet = facts.fresh(found, request.user, at, dig)
    return keep_for(request.user, _beginning(request, sheet, offering.begin_form(sheet, request.user, at, dig=dig), at))


def _begun(request: HttpRequest, site: Site, receipt: Receipt) -> HttpResponse:
    sheet = facts.fresh(site, request.user, receipt.at)
    form = offering.begin_form(sheet, request.user, receipt.at, data=request.POST)
    if form.is_valid():
        if (stored := facts.sheets().filter(pk=form.cleaned_data["sheet"]).first()) is not None:
            return _stands(request, stored)
        begun(site, form, receipt)
    if form.is_valid():
        return receipt.done(request)
    return faulty(form.errors) if asks_json(request) else _beginning(request, sheet, form, receipt.at, UNFIT)


def _stands(request: HttpRequest, stored: FieldSheet) -> HttpResponse:
    """The form was sent twice: the locate that it began stands."""
    if stored.locate.operator_id != request.user.pk:
        raise Http404
    address = offering.address(stored.pk)
    return JsonResponse({"done": True, "says": f"Locate {stored.locate_id} is begun.", "next": address}) if asks_json(request) else redirect(address)


def _beginning(request: HttpRequest, sheet: FieldSheet, form: Any, at: datetime, status: int | None = None) -> HttpResponse:
    return render(request, "fieldwork/begin.html", {"form": form} | guide.page(sheet, request.user, at, begun=False), status=status)


@require_http_methods(["GET", "POST"])
def field_of(request: HttpRequest, locate: str) -> HttpResponse:
    """From a locate to its page here. One that was begun elsewhere, by a register or a form, gets its sheet when somebody goes on with it."""
    at = clock.now()
    found = fetch(Locate.objects.select_related("site", "operator"), request.user, "locate.enter", LOCATES.ties, locate, at)
    if (stored := facts.sheets().filter(locate=found).first()) is not None:
        return redirect("locating", stored.pk)
    if found.finished_at is not None:
        messages.info(request, OVER.format(locate=found.pk))
        return redirect("leaf", "locates", found.pk)
    if request.method == "POST":
        return redirect("locating", sheet_for(found, request.user, at))
    return render(request, "fieldwork/field_of.html", {"locate": found})


@require_safe
def locating(request: HttpRequest, key: str) -> HttpResponse:
    """The guide: one page with every step."""
    at = clock.now()
    found = allowed(request, key, at)
    if found.locate.finished_at is not None:
        return redirect("leaf", "locates", found.locate_id)
    return kept(request, found, render(request, "fieldwork/locate.html", guide.page(found, request.user, at)))


def kept(request: HttpRequest, found: FieldSheet, answer: HttpResponse) -> HttpResponse:
    """The operator's own phone may keep it."""
    return keep_for(request.user, answer) if found.locate.operator_id == request.user.pk else answer


@require_POST
def piece(request: HttpRequest, key: str, what: str) -> HttpResponse:
    """A piece of the locate, recorded."""
    if what not in PIECES:
        raise Http404
    at = clock.now()
    return received(request, at, lambda receipt: _piece(request, what, Piece(allowed(request, key, at), receipt, request.POST, request.FILES)))


def _piece(request: HttpRequest, what: str, handed: Piece) -> HttpResponse:
    try:
        if handed.sheet.locate.finished_at is not None:
            raise Finished(handed.sheet.locate_id)
        form = PIECES[what](handed)
    except Finished as over:
        return _over(request, handed.sheet, OVER.format(locate=over))
    except Clash as clashed:
        return clash(CLASHED, clashed.mine, clashed.theirs) if asks_json(request) else _again(request, handed, None, CLASHED, CONFLICT)
    if form.is_valid():
        return handed.receipt.done(request)
    bound = offering.Bound(what, handed.place, form)
    return faulty(form.errors) if asks_json(request) else _again(request, handed, bound, "", UNFIT)


def _over(request: HttpRequest, sheet: FieldSheet, says: str) -> HttpResponse:
    if asks_json(request):
        return faulty({"": [says]})
    messages.error(request, says)
    return redirect("leaf", "locates", sheet.locate_id)


def _again(request: HttpRequest, handed: Piece, bound: offering.Bound | None, refusal: str, status: int) -> HttpResponse:
    fresh = facts.sheets().get(pk=handed.sheet.pk)
    shown = guide.page(fresh, request.user, handed.receipt.at, bound) | {"refusal": refusal, "bound": bound}
    return render(request, "fieldwork/locate.html", shown, status=status)


@sensitive_post_parameters("password")
@require_POST
def finishing(request: HttpRequest, key: str) -> HttpResponse:
    """Finish the locate with the operator's own password. It freezes."""
    at = clock.now()
    found = allowed(request, key, at)
    if found.locate.finished_at is not None:
        return _over(request, found, OVER.format(locate=found.locate_id))
    if found.locate.operator_id != request.user.pk:
        messages.error(request, f"Only {found.locate.operator.name}, who makes this locate, can finish it.")
        return redirect("locating", found.pk)
    lacking = steps.missing(steps.steps(*facts.gathered(found, at), at))
    form = FinishForm(request.user, lacking=bool(lacking), data=request.POST)
    proving = (throttle.inside(request.user.pk), throttle.inside(whence(request)))
    if not throttle.knock(*proving, at):
        return _unfinished(request, found, FinishForm(request.user, lacking=bool(lacking)), at, TOO_MANY, TOO_MANY_REQUESTS)
    if not form.is_valid():
        return _unfinished(request, found, form, at)
    throttle.welcome(*proving)
    ended = clock.now()  # proving the password took its time
    entered = finish(found, request.user, ended, form.cleaned_data.get("short_of", ""))
    if not entered.right:
        return _unfinished(request, found, form, at, "; ".join(one.says for one in entered.problems), CONFLICT)
    messages.success(request, f"Locate {found.locate_id} is finished, and no longer changes.")
    return redirect("leaf", "locates", found.locate_id)


def _unfinished(request: HttpRequest, found: FieldSheet, form: FinishForm, at: datetime, refusal: str = "", status: int = UNFIT) -> HttpResponse:
    bound = offering.Bound("finish", "", form)
    return render(request, "fieldwork/locate.html", guide.page(found, request.user, at, bound) | {"refusal": refusal, "bound": bound}, status=status)


# the sketch


@require_safe
def sketch(request: HttpRequest, key: str) -> HttpResponse:
    """What lies on the ground, for the sketch, in the site's own metre grid."""
    at = clock.now()
    found = allowed(request, key, at)
    return kept(request, found, JsonResponse(sketching.collection(found, at)))


@require_POST
def ground(request: HttpRequest, key: str) -> HttpResponse:
    """The ground's arithmetic with what is being drawn, in words. Nothing is stored."""
    at = clock.now()
    return render(request, "fieldwork/_ground.html", sketching.with_draft(allowed(request, key, at), request.POST, at))
