"""One's own account: who one is, the second factor, where one is signed in. And what the office does about somebody's."""

from datetime import datetime

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.safestring import mark_safe
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from records import clock
from records.access import fetch
from records.firm import factor, later, mail, throttle, visits
from records.firm.actions import AlreadySetUp, confirm_factor, disown, end_factor, end_visits, invited, renew_recovery_codes, use_code
from records.firm.facts import PEOPLE_TIES, own_zone, posted_now
from records.firm.forms import TOO_MANY, NewPasswordForm, OwnPasswordForm
from records.firm.models import Person, SecondFactor, Visit, WayIn
from records.firm.views.door import TOO_MANY_REQUESTS, whence
from records.firm.ways import address_of, keepers, new_token, told, ways_of
from records.paper.square import square_svg
from records.rules.dates import day_says, instant_says
from records.rules.words import spoken

BEGUN = "second_factor"  # where the session keeps the salt of one that is being set up
PHONE, ANY_CODE = "phone", "any"  # which codes a form takes: of the phone, or a recovery code too
LOST = "Their phone is lost, or the codes no longer come."
UNFIT = 422


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
        "ways_in": ways_of(request.user, zone),
    }
    return render(request, "firm/account.html", shown)


def _may_try(request: HttpRequest, at: datetime) -> bool:
    """A try at one's own password, counted."""
    return throttle.knock(throttle.inside(request.user.pk), throttle.inside(whence(request)), at)


def _proven(request: HttpRequest) -> None:
    throttle.welcome(throttle.inside(request.user.pk), throttle.inside(whence(request)))


@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def second_factor(request: HttpRequest) -> HttpResponse:
    """Set up a second factor: the drawn square, the password, and a first code that shows that the phone has it. Until then nothing is on record."""
    if factor.of(request.user) is not None:
        return redirect("account")
    at, salt = clock.now(), request.session.setdefault(BEGUN, factor.new_salt())
    if request.method == "GET":
        return _square(request, salt, OwnPasswordForm(request.user, code=PHONE))
    if not _may_try(request, at):
        return _square(request, salt, OwnPasswordForm(request.user, code=PHONE), TOO_MANY)
    form = OwnPasswordForm(request.user, code=PHONE, data=request.POST)
    step = factor.step_of(salt, form.cleaned_data["code"], at) if form.is_valid() else None
    if step is None:
        form.is_valid() and form.add_error("code", "That is not the code that your phone should show now. Is its clock right?")
        return _square(request, salt, form)
    _proven(request)
    del request.session[BEGUN]
    try:
        made, codes = confirm_factor(request.user, salt, at)
    except AlreadySetUp:
        messages.info(request, "A second factor was set up meanwhile, on another page.")
        return redirect("account")
    factor.used_now(made, step, at)
    mail.write(request.user, "Your second factor is in use", mail.CHANGED, what="the second factor")
    return render(request, "firm/recovery_codes.html", {"codes": codes})


def _square(request: HttpRequest, salt: str, form: OwnPasswordForm, refusal: str = "") -> HttpResponse:
    secret = factor.secret_of(salt)
    grouped = " ".join(secret[start : start + 4] for start in range(0, len(secret), 4))
    # drawn by our own paper from letters and digits
    shown = {"form": form, "square": mark_safe(square_svg(factor.address_of(salt, request.user))), "secret": grouped, "refusal": refusal}
    return render(request, "firm/second_factor.html", shown, status=TOO_MANY_REQUESTS if refusal else None)


def _prove(request: HttpRequest, template: str, at: datetime) -> HttpResponse | None:
    """Ask the password and a code of the second factor. None once both are given; else the page that asks."""
    refused = request.method == "POST" and not _may_try(request, at)
    form = OwnPasswordForm(request.user, code=ANY_CODE, data=None if refused else request.POST or None)
    if refused:
        return render(request, template, {"form": form, "refusal": TOO_MANY}, status=TOO_MANY_REQUESTS)
    if form.is_valid() and not use_code(request.user, form.cleaned_data["code"], at):
        form.add_error("code", "That code is not good, or was used already.")
    if request.method == "GET" or not form.is_valid():
        return render(request, template, {"form": form})
    _proven(request)
    return None


@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def second_factor_off(request: HttpRequest) -> HttpResponse:
    """Take one's own second factor away, with the password and a code of it."""
    at = clock.now()
    if factor.of(request.user) is None:
        return redirect("account")
    if asked := _prove(request, "firm/second_factor_off.html", at):
        return asked
    end_factor(request.user, request.user, "by themselves", at)
    mail.write(request.user, "Your second factor was taken away", mail.CHANGED, what="the second factor")
    messages.success(request, "Your second factor is taken away.")
    return redirect("account")


@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def recovery(request: HttpRequest) -> HttpResponse:
    """New recovery codes, with the password and a code; those from before are good no longer."""
    at = clock.now()
    if factor.of(request.user) is None:
        return redirect("account")
    if asked := _prove(request, "firm/recovery.html", at):
        return asked
    try:
        codes = renew_recovery_codes(request.user, at)
    except SecondFactor.DoesNotExist:  # taken away meanwhile
        return redirect("account")
    mail.write(request.user, "You have new recovery codes", mail.CHANGED, what="the recovery codes")
    return render(request, "firm/recovery_codes.html", {"codes": codes})


@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def not_me(request: HttpRequest, way: int) -> HttpResponse:
    """Say that somebody else opened an address that was made for oneself: all other sessions end, safety managers hear, a new password is set."""
    at = clock.now()
    found = get_object_or_404(WayIn.objects.exclude(opened_at=None), pk=way, person=request.user, disowned_at=None)
    shown = {"way": told(found, own_zone(request.user, at)), "form": NewPasswordForm(request.user)}
    if request.method == "GET":
        return render(request, "firm/not_me.html", shown)
    if not _may_try(request, at):
        return render(request, "firm/not_me.html", shown | {"refusal": TOO_MANY}, status=TOO_MANY_REQUESTS)
    form = NewPasswordForm(request.user, data=request.POST)
    if not form.is_valid():
        return render(request, "firm/not_me.html", shown | {"form": form})
    _proven(request)
    update_session_auth_hash(request, disown(found, form.cleaned_data["new_password1"], at))
    for one in keepers(at):
        words = {"whose": request.user.name, "by": found.by_name, "how": found.how}
        later.after_the_answer(mail.write, one, "Somebody else may have come in", mail.DISOWNED, **words)
    messages.success(request, "Every other session of yours is ended, your password is changed, and your safety managers are told.")
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


@sensitive_post_parameters("invite-password")
@require_http_methods(["GET", "POST"])
def access(request: HttpRequest, person: str) -> HttpResponse:
    """How somebody comes in: an invitation, their sessions, a second factor that is lost."""
    at = clock.now()
    whom = _somebody(request, person, at)
    form = OwnPasswordForm(request.user, reason=True, initial={"why": LOST})
    shown = {"whom": whom, "factor": factor.of(whom), "visits": visits.open_visits(whom, at).count(), "form": form, "left": whom.has_left(at)}
    shown["ways_in"] = ways_of(whom, own_zone(request.user, at))
    invite, status = OwnPasswordForm(request.user, prefix="invite"), None
    if request.method == "POST" and not whom.has_left(at):
        # an address lets whoever opens it choose the password: not out of a session that somebody left open
        invite, tried = OwnPasswordForm(request.user, prefix="invite", data=request.POST), _may_try(request, at)
        if not tried:
            invite.add_error(None, TOO_MANY)
        if invite.is_valid():
            _proven(request)
            shown |= _invite(request, whom, at)
        else:
            status = UNFIT if tried else TOO_MANY_REQUESTS
    return render(request, "firm/access.html", shown | {"invite": invite}, status=status)


def _invite(request: HttpRequest, whom: Person, at: datetime) -> dict[str, str]:
    """Write to them, or show once the address that is to be handed over."""
    token = new_token(whom)
    address = address_of(request.build_absolute_uri("/"), whom, token)
    sent = "mail" in request.POST and mail.write(whom, "Your way in to Spadework", mail.INVITED, address=address)
    invited(whom, request.user, f"by mail to {whom.email}" if sent else "handed over", token, at)
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
    if not _may_try(request, at):
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
