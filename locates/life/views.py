"""The page of a step: what it declares, what it owes, and the password. It asks the gate where a verdict is owed, and shows what it said."""

from dataclasses import replace
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from locates.life.actions import Outlook, Wanting, Wish, outlook, step
from locates.life.forms import StepForm, UntilForm
from locates.life.receivers import receivers
from locates.life.rules.acts import ACTS, AT_ONCE, FORBID, ONE_TAP, STEPS, STOP, TO, UNAIDED, UNTIL, WITHDRAWING
from locates.life.rules.story import open_to
from locates.life.since import DEEDS, became
from locates.life.stead import life_for
from locates.permits import desk
from locates.permits.actions import Changed, NeedsSecondFactor, NotTheirs, OutOfTurn, Prospect, Refused, WrongCode, asks_twofold
from locates.permits.beside import parts
from locates.permits.models import Permit
from locates.permits.views import CONFLICT, allowed, drawings, knocked, proved, to_second_factor
from records import clock
from records.firm import factor, later
from records.firm.forms import TOO_MANY
from records.firm.views.door import TOO_MANY_REQUESTS
from records.letters.actions import deliver


@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def step_page(request: HttpRequest, permit: str, act: str) -> HttpResponse:
    at = clock.now()
    found = allowed(request, permit, at)
    if act not in STEPS or act in (*ONE_TAP, *UNAIDED):
        raise Http404
    life = life_for(found, request.user, at)
    if act not in open_to(life, request.user.pk):
        messages.info(request, "That step is not open to you as the permit stands now. Below is how it stands.")
        return redirect("permit", permit)
    if act not in AT_ONCE and asks_twofold(found, at) and factor.of(request.user) is None:
        return to_second_factor(request)
    asked = UntilForm(life.ends, ZoneInfo(found.site.time_zone), data=request.GET if f"{UNTIL}_day" in request.GET else None)
    wish = Wish(act, until=asked.cleaned_data[UNTIL] if asked.is_valid() else None)
    if UNTIL in ACTS[act].owes and wish.until is None:
        return render(request, "life/until.html", {"permit": found, "form": asked, "words": DEEDS[act][0]})
    return _asked(request, found, wish, at)


@require_POST
def stop_now(request: HttpRequest, permit: str) -> HttpResponse:
    """One tap by anyone on the permit: the work is stopped, and the issuer and the safety managers are told."""
    at = clock.now()
    found = allowed(request, permit, at)
    try:
        step(found.pk, request.user.pk, Wish(STOP), at, "", root=request.build_absolute_uri("/"))
    except (OutOfTurn, NotTheirs):
        messages.info(request, "There is nothing for you to stop as the permit stands now. Below is how it stands.")
        return redirect("permit", permit)
    later.after_the_answer(deliver, at)
    messages.success(request, "Stopped. Keep everyone clear; the permit’s issuer and the safety manager are told.")
    return redirect("permit", permit)


def _asked(request: HttpRequest, found: Permit, wish: Wish, at: datetime) -> HttpResponse:
    view = outlook(found.pk, wish, at)
    form = _form(request, view, wish, at)
    if request.method == "GET":
        return _slip(request, view, wish, form)
    if not knocked(request, at):
        return _slip(request, view, wish, _form(request, view, wish, at, blank=True), TOO_MANY, TOO_MANY_REQUESTS)
    if not proved(request, form, at):
        return _slip(request, view, wish, form)
    given = {name: form.cleaned_data[name] for name in ACTS[wish.act].owes if name in form.cleaned_data}
    return _taken(request, found, replace(wish, **given), form, clock.now())  # proving the password took its time


def _form(request: HttpRequest, view: Outlook, wish: Wish, at: datetime, *, blank: bool = False) -> StepForm:
    choices = receivers(view.evidence, view.life, at) if TO in ACTS[wish.act].owes else []
    data = request.POST if request.method == "POST" and not blank else None
    return StepForm(request.user, ACTS[wish.act], choices, twofold=wish.act not in AT_ONCE and asks_twofold(view.permit, at), data=data)


def _taken(request: HttpRequest, found: Permit, wish: Wish, form: StepForm, at: datetime) -> HttpResponse:
    try:
        code, root = form.cleaned_data.get("code", ""), request.build_absolute_uri("/")
        made = step(found.pk, request.user.pk, wish, at, request.POST.get("seen", ""), code=code, root=root)
    except Wanting as wanting:
        form.say(wanting.names)
        return _slip(request, outlook(found.pk, wish, at), wish, form)
    except (Refused, Changed, WrongCode) as refusal:
        return _slip(request, outlook(found.pk, wish, at), wish, form, desk.REFUSALS[type(refusal)], CONFLICT)
    except (OutOfTurn, NotTheirs, NeedsSecondFactor) as refusal:
        messages.error(request, desk.REFUSALS[type(refusal)])
        return redirect("permit", found.pk)
    if made.act in (*WITHDRAWING, FORBID):
        later.after_the_answer(deliver, at)
    messages.success(request, f"Done: {made.printed_name} {DEEDS[made.act][1]}.")
    return redirect("permit", found.pk)


def _slip(request: HttpRequest, view: Outlook, wish: Wish, form: StepForm, refusal: str = "", status: int | None = None) -> HttpResponse:
    act = ACTS[wish.act]
    shown: dict[str, Any] = {"permit": view.permit, "form": form, "refusal": refusal, "seen": view.seen, "act": act, "words": DEEDS[act.name][0]}
    shown["parts"] = parts(settings.STEP_PARTS.get(act.leads, ()), view.permit, request.user, clock.now())
    # whoever signs for the cause, or for how the ground was left, is told it here
    shown["before"] = became(view.life, view.steps, ZoneInfo(view.permit.site.time_zone))
    if view.verdict is not None:
        signed = tuple(view.permit.sign_offs.order_by("pk"))
        prospect = Prospect(view.evidence, view.verdict, view.sheet, signed, None)
        shown |= drawings(view.sheet) | desk.answer(prospect, view.verdict.at, request.user)
        shown |= {"stopped": False, "wait": "", "word": "No block" if view.verdict.clear else "Not to dig"}
    return render(request, "life/step.html", shown, status=status)
