"""The permit pages. Each asks the gate and shows what it said."""

import json
from datetime import datetime
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_safe

from locates.permits import desk, following_up, handing_in, lists, offering
from locates.permits.actions import Changed, NeedsSecondFactor, NotTheirs, OutOfTurn, Prospect, Refused, WrongCode, asks_twofold, preview, sign
from locates.permits.beside import parts
from locates.permits.desk import drawings
from locates.permits.forms import ShowForm, SignForm
from locates.permits.handing_in import CONFLICT
from locates.permits.models import Permit, SignOff
from locates.permits.paper import permit_pdf
from locates.permits.printing import as_signed, sheet_to_print
from locates.permits.related import page as related_page
from locates.permits.since import page as life_of
from locates.permits.since import told
from records import clock
from records.access import fetch, may
from records.books.actions import as_seen
from records.firm import factor, throttle
from records.firm.facts import own_sites
from records.firm.forms import TOO_MANY
from records.firm.views.door import TOO_MANY_REQUESTS, whence
from records.headers import keep_for
from records.paging import kept
from records.spreadsheet import answered

PAGE = 50


def allowed(request: HttpRequest, permit: str, at: datetime) -> Permit:
    """The permit, if this person may see it; to anyone else it is not there."""
    rows = Permit.objects.select_related("site", "issuer", "receiver", "locate")
    return fetch(rows, request.user, "permit.see", lists.TIES, permit, at)


# the list


@require_safe
def permits(request: HttpRequest) -> HttpResponse:
    at = clock.now()
    form, visible = _asked_for(request, at)
    found = lists.chosen(visible, form.chosen(), at)
    page = Paginator(found, PAGE).get_page(request.GET.get("page"))
    shown = {
        "form": form,
        "page": page,
        "lines": lists.lines(page.object_list, at, request.user),
        "narrowed": form.narrowed(),
        "in_places": not form.chosen().get("sort"),
        "kept": kept(request),
        "tallies": lists.tallies(visible, form.chosen(), at),
        "beside": kept(request, "state"),
        "any": form.narrowed() or page.paginator.count,
        "may_prepare": may(request.user, offering.ACT),
    }
    return render(request, "permits/list.html", shown)


@require_safe
def permits_csv(request: HttpRequest) -> HttpResponse:
    """What the list shows, all its pages, as a file for spreadsheets."""
    at = clock.now()
    form, visible = _asked_for(request, at)
    return answered("permits", at, lists.csv_rows(lists.chosen(visible, form.chosen(), at), at))


def _asked_for(request: HttpRequest, at: datetime) -> tuple[ShowForm, QuerySet[Permit]]:
    visible = lists.visible(request.user, at)
    return ShowForm(lists.sites_of(visible), data=request.GET), visible


# one permit


@require_safe
def permit(request: HttpRequest, permit: str) -> HttpResponse:
    at = clock.now()
    found = allowed(request, permit, at)
    prospect = preview(permit, at)
    sheet = prospect.sheet
    shown = {
        "permit": found,
        "turn": desk.turn(prospect, request.user),
        **desk.evidence(sheet, at),
        "signatures": desk.signatures(prospect),
        **drawings(sheet),
        **desk.answer(prospect, at, request.user),
        "may_change": not prospect.signatures and may(request.user, offering.ACT),
        "may_prepare": may(request.user, offering.ACT),
        "life": life_of(found, request.user, at) if prospect.signatures else None,
        "parts": parts(settings.PERMIT_PARTS, found, request.user, at),
        "related": related_page(found.pk, prospect.evidence, request.user, at),
    }
    page = render(request, "permits/permit.html", shown | {"places": desk.places(shown)})
    return keep_for(request.user, page) if lists.own_ahead(request.user, at).filter(pk=permit).exists() else page


@require_safe
def paper(request: HttpRequest, permit: str) -> HttpResponse:
    at = clock.now()
    allowed(request, permit, at)
    # what is signed by now is printed as signed, though this server's clock be behind the one that signed
    signed = SignOff.objects.filter(permit=permit).values_list("signed_at", flat=True)
    return _pdf(sheet_to_print(permit, max([at, *signed])), permit)


def _pdf(sheet: dict[str, Any], name: str) -> HttpResponse:
    return HttpResponse(permit_pdf(sheet), content_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{name}.pdf"'})


# what was signed


def _sign_off(request: HttpRequest, permit: str, meaning: str) -> SignOff:
    found = SignOff.objects.filter(permit=allowed(request, permit, clock.now()), meaning=meaning).select_related("permit__site").first()
    if found is None:
        raise Http404
    return found


@require_safe
def signed(request: HttpRequest, permit: str, meaning: str) -> HttpResponse:
    """Exactly what was signed: the frozen sheet, with its digest."""
    one = _sign_off(request, permit, meaning)
    sheet = json.loads(one.sheet)
    return render(request, "permits/signed.html", {"sign_off": one, "sheet": sheet, **drawings(sheet), **desk.record(one, sheet)})


@require_safe
def signed_paper(request: HttpRequest, permit: str, meaning: str) -> HttpResponse:
    one = _sign_off(request, permit, meaning)
    at = max(clock.now(), one.signed_at)
    return _pdf(as_signed(one.sheet, preview(permit, at), told([permit], at).get(permit)), f"{permit}-{meaning}")


# signing


@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def sign_page(request: HttpRequest, permit: str) -> HttpResponse:
    at = clock.now()
    found = allowed(request, permit, at)
    prospect = preview(permit, at)
    turn = desk.turn(prospect, request.user)
    if turn is None or not turn.mine:
        messages.info(request, desk.out_of_turn(prospect, request.user))
        return redirect("permit", permit)
    twofold = asks_twofold(found, at)
    if twofold and factor.of(request.user) is None:
        return to_second_factor(request)
    if request.method == "GET":
        return _slip(request, found, prospect, SignForm(request.user, twofold=twofold))
    if not knocked(request, at):
        return _slip(request, found, prospect, SignForm(request.user, twofold=twofold), TOO_MANY, TOO_MANY_REQUESTS)
    form = SignForm(request.user, twofold=twofold, data=request.POST)
    if not proved(request, form, at):
        return _slip(request, found, prospect, form)
    code = form.cleaned_data["code"] if twofold else ""
    return _sign(request, found, turn.meaning, clock.now(), code)  # proving the password took its time


def to_second_factor(request: HttpRequest) -> HttpResponse:
    messages.error(request, "Here whoever signs proves it with a second factor too. Set yours up, and come back to sign.")
    return redirect("second_factor")


def knocked(request: HttpRequest, at: datetime) -> bool:
    """May they try their password now? Guessing is slow."""
    return throttle.knock(*_proving(request), at)


def proved(request: HttpRequest, form: SignForm, at: datetime) -> bool:
    """Is the form right, and its password and its code, where it asks for one, good?"""
    if form.is_valid() and "code" in form.fields and not factor.fits(request.user, form.cleaned_data["code"], at):
        form.add_error("code", "That code is not good, or was used already. Nothing was signed.")
    if form.is_valid():
        throttle.welcome(*_proving(request))
    return form.is_valid()


def _proving(request: HttpRequest) -> tuple[str, str]:
    """Who proves who they are, and from where, as tries are counted."""
    return throttle.inside(request.user.pk), throttle.inside(whence(request))


def _sign(request: HttpRequest, found: Permit, meaning: str, at: datetime, code: str) -> HttpResponse:
    try:
        made = sign(found.pk, request.user.pk, meaning, at, request.POST.get("seen", ""), code=code)
    except (Refused, Changed, WrongCode) as refusal:
        return _slip(request, found, preview(found.pk, at), SignForm(request.user, twofold=bool(code)), desk.REFUSALS[type(refusal)], CONFLICT)
    except (OutOfTurn, NotTheirs, NeedsSecondFactor) as refusal:
        messages.error(request, desk.REFUSALS[type(refusal)])
        return redirect("permit", found.pk)
    messages.success(request, f"Signed: {made.printed_name} {desk.DEEDS[meaning][1]} permit {found.pk}.")
    return redirect("permit", found.pk)


def _slip(request: HttpRequest, found: Permit, prospect: Prospect, form: SignForm, refusal: str = "", status: int | None = None) -> HttpResponse:
    at = prospect.verdict.at
    shown = {"permit": found, "form": form, "refusal": refusal, "seen": prospect.seen, "turn": desk.turn(prospect, request.user)}
    return render(request, "permits/sign.html", shown | drawings(prospect.sheet) | desk.answer(prospect, at, request.user), status=status)


@require_http_methods(["GET", "POST"])
def follow_up(request: HttpRequest, permit: str) -> HttpResponse:
    """What was done after emergency work, told by its issuer, whoever decided, a supervisor of the site or the safety manager."""
    at = clock.now()
    rows = Permit.objects.select_related("site", "emergency__decided_by")
    return following_up.page(request, fetch(rows.filter(emergency__isnull=False), request.user, following_up.ACT, following_up.TIES, permit, at), at)


@require_safe
def notice(request: HttpRequest) -> HttpResponse:
    return render(request, "permits/notice.html")


# preparing


@require_http_methods(["GET", "POST"])
def prepare(request: HttpRequest) -> HttpResponse:
    """A new permit: one page on which the gate is asked again at each change, and nothing is written until it is saved."""
    if not may(request.user, offering.ACT):
        raise Http404
    at = clock.now()
    if request.method == "POST":
        return handing_in.prepared(request, at)
    start = offering.begun(request.user, at, request.GET)
    if like := request.GET.get("like"):
        start = offering.stored(allowed(request, like, at)) | {"permit": start["permit"]}
    if follows := request.GET.get("follows"):
        start = offering.after(allowed(request, follows, at)) | {"permit": start["permit"]}
    site = own_sites(request.user, offering.ACT, at).filter(pk=start.get("site", "").replace("\0", "")).first()
    return handing_in.preparing(request, offering.offer(request.user, at, initial=offering.with_window(start, site, at)), at)


@require_http_methods(["GET", "POST"])
def change(request: HttpRequest, permit: str) -> HttpResponse:
    """A permit that nobody has signed, changed. Once somebody has, it takes a new one."""
    at = clock.now()
    found = fetch(Permit.objects.select_related("site"), request.user, offering.ACT, lists.TIES, permit, at)
    if found.sign_offs.exists():
        messages.info(request, "A signed permit never changes. What is different takes a new one: prepare another like it.")
        return redirect("permit", permit)
    if request.method == "POST":
        return handing_in.prepared(request, at, found)
    return handing_in.preparing(
        request, offering.offer(request.user, at, initial=offering.whole(found), fixed=found.pk), at, found, seen=as_seen(offering.SLIP, permit)
    )
