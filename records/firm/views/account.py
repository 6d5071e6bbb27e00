"""One's own account: who one is, the second factor, where one is signed in. And what the office does about somebody's."""

from datetime import datetime

from django.contrib import messages
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.safestring import mark_safe
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from records import clock
from records.access import fetch
from records.firm import factor, mail, throttle, visits
from records.firm.actions import AlreadySetUp, confirm_factor, end_factor, end_visits, invited
from records.firm.facts import PEOPLE_TIES, own_zone, posted_now
from records.firm.forms import TOO_MANY, CodeForm, OwnPasswordForm
from records.firm.models import Person, Visit
from records.firm.views.door import TOO_MANY_REQUESTS, address_for, code_holds, whence
from records.paper.square import square_svg
from records.rules.dates import day_says, instant_says
from records.rules.words import spoken

BEGUN = "second_factor"  # where the session keeps the salt of one that is being set up
LOST = "Their phone is lost, or the codes no longer come."


@require_safe
def account(request: HttpRequest) -> HttpResponse:
    at = clock.now()
    here, zone = visits.digest_of(request), own_zone(request.user, at)
    seen = [(one, instant_says(one.began_at, zone), instant_says(one.seen_at, zone), one.digest == here) for one in visits.open_visits(request.user, at)]
    posted = posted_now(at).filter(person=request.user).select_related("site").order_by("site__name", "role")
    shown = {
        "roles": [spoken(role) for role in request.user.roles],
        "postings": [(one.site.name, spoken(one.role), day_says(one.begins_on), day_says(one.ends_on) if one.ends_on else "") for one in posted],
        "factor": factor.of(request.user),
        "visits": seen,
    }
    return render(request, "firm/account.html", shown)


@require_http_methods(["GET", "POST"])
def second_factor(request: HttpRequest) -> HttpResponse:
    """Set up a second factor: the drawn square, and a first code that shows that the phone has it. Until then nothing is on record."""
    if factor.of(request.user) is not None:
        return redirect("account")
    at, salt = clock.now(), request.session.setdefault(BEGUN, factor.new_salt())
    if request.method == "GET":
        return _square(request, salt, CodeForm())
    if not throttle.knock(throttle.inside(f"code: {request.user.pk}"), throttle.inside(whence(request)), at):
        return _square(request, salt, CodeForm(), TOO_MANY)
    form = CodeForm(data=request.POST)
    step = factor.step_of(salt, form.cleaned_data["code"], at) if form.is_valid() else None
    if step is None:
        form.is_valid() and form.add_error("code", "That is not the code that your phone should show now. Is its clock right?")
        return _square(request, salt, form)
    del request.session[BEGUN]
    try:
        made, codes = confirm_factor(request.user, salt, at)
    except AlreadySetUp:
        messages.info(request, "A second factor was set up meanwhile, on another page.")
        return redirect("account")
    factor.used_now(made, step, at)
    mail.write(request.user, "Your second factor is in use", mail.CHANGED, what="the second factor")
    return render(request, "firm/recovery_codes.html", {"codes": codes})


def _square(request: HttpRequest, salt: str, form: CodeForm, refusal: str = "") -> HttpResponse:
    secret = factor.secret_of(salt)
    grouped = " ".join(secret[start : start + 4] for start in range(0, len(secret), 4))
    # drawn by our own paper from letters and digits
    shown = {"form": form, "square": mark_safe(square_svg(factor.address_of(salt, request.user))), "secret": grouped, "refusal": refusal}
    return render(request, "firm/second_factor.html", shown, status=TOO_MANY_REQUESTS if refusal else None)


@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def second_factor_off(request: HttpRequest) -> HttpResponse:
    """Take one's own second factor away, with the password and a code of it."""
    if factor.of(request.user) is None:
        return redirect("account")
    at, form = clock.now(), OwnPasswordForm(request.user, code=True, data=request.POST or None)
    if request.method == "POST" and not throttle.knock(throttle.inside(request.user.pk), throttle.inside(whence(request)), at):
        shown = {"form": OwnPasswordForm(request.user, code=True), "refusal": TOO_MANY}
        return render(request, "firm/second_factor_off.html", shown, status=TOO_MANY_REQUESTS)
    if form.is_valid() and not code_holds(request.user, form.cleaned_data["code"], at):
        form.add_error("code", "That code is not good, or was used already.")
    if request.method == "GET" or not form.is_valid():
        return render(request, "firm/second_factor_off.html", {"form": form})
    end_factor(request.user, request.user, "by themselves", at)
    mail.write(request.user, "Your second factor was taken away", mail.CHANGED, what="the second factor")
    messages.success(request, "Your second factor is taken away.")
    return redirect("account")


@require_POST
def end_visit(request: HttpRequest, visit: int) -> HttpResponse:
    """End one of one's own sessions; 0: all but this one."""
    at = clock.now()
    mine: QuerySet[Visit] = visits.open_visits(request.user, at)
    chosen = mine.filter(pk=visit) if visit else mine.exclude(digest=visits.digest_of(request))
    if visit and not chosen.exists():
        raise Http404
    ended = visits.end(chosen, at)
    messages.success(request, f"{ended} session{'s' if ended != 1 else ''} ended.")
    return redirect("account")


# the office


def _somebody(request: HttpRequest, person: str, at: datetime) -> Person:
    return fetch(Person.objects.all(), request.user, "person.enter", PEOPLE_TIES, person, at)


@require_http_methods(["GET", "POST"])
def access(request: HttpRequest, person: str) -> HttpResponse:
    """How somebody comes in: an invitation, their sessions, a second factor that is lost."""
    at = clock.now()
    whom = _somebody(request, person, at)
    form = OwnPasswordForm(request.user, reason=True, initial={"why": LOST})
    shown = {"whom": whom, "factor": factor.of(whom), "visits": visits.open_visits(whom, at).count(), "form": form, "left": whom.has_left(at)}
    if request.method == "POST" and not whom.has_left(at):
        shown |= _invite(request, whom, at)
    return render(request, "firm/access.html", shown)


def _invite(request: HttpRequest, whom: Person, at: datetime) -> dict[str, str]:
    """Write to them, or show once the address that is to be handed over."""
    address = address_for(request, whom)
    sent = "mail" in request.POST and mail.write(whom, "Your way in to Spadework", mail.INVITED, address=address)
    invited(whom, request.user, "by mail" if sent else "handed over", at)
    if not sent:  # whoever hands over an address could open it first: the person hears that there is one
        mail.write(whom, "An address to choose your password was made", mail.HANDED, by=request.user.name)
    return {"sent": whom.email} if sent else {"address": address, "unsent": "yes" if "mail" in request.POST else ""}


@require_POST
def sign_somebody_out(request: HttpRequest, person: str) -> HttpResponse:
    at = clock.now()
    whom = _somebody(request, person, at)
    ended = end_visits(whom, request.user, at)
    messages.success(request, f"{whom.name} is signed out of {ended} session{'s' if ended != 1 else ''}.")
    return redirect("access", whom.pk)


@sensitive_post_parameters("password")
@require_POST
def end_somebodys_factor(request: HttpRequest, person: str) -> HttpResponse:
    """Take away a second factor that is lost, with one's own password and the reason."""
    at = clock.now()
    whom = _somebody(request, person, at)
    if not throttle.knock(throttle.inside(request.user.pk), throttle.inside(whence(request)), at):
        messages.error(request, TOO_MANY)
        return redirect("access", whom.pk)
    form = OwnPasswordForm(request.user, reason=True, data=request.POST)
    if not form.is_valid():
        messages.error(request, "Nothing was changed: your own password and the reason are wanted.")
        return redirect("access", whom.pk)
    end_factor(whom, request.user, form.cleaned_data["why"], at)
    mail.write(whom, "Your second factor was taken away", mail.CHANGED, what="the second factor")
    messages.success(request, f"{whom.name} has no second factor now, and can set up another.")
    return redirect("access", whom.pk)
