"""Coming in, going out, and one's own password."""

from collections.abc import Callable

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login, logout, update_session_auth_hash
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import redirect_to_login
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from records import clock
from records.firm import throttle
from records.firm.actions import actor, set_password
from records.firm.forms import TOO_MANY, NewPasswordForm, SignInForm

TOO_MANY_REQUESTS = 429


def leavers(answer: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Middleware: whoever leaves is signed out wherever they still are."""

    def answered(request: HttpRequest) -> HttpResponse:
        if request.user.is_authenticated and request.user.has_left(clock.now()):
            logout(request)
        return answer(request)

    return answered


def whence(request: HttpRequest) -> str:
    """The address that asks. Behind our own proxy that is the last one in its list: those before it are only claimed."""
    forwarded = request.META.get("HTTP_X_FORWARDED_FOR", "") if settings.SECURE_PROXY_SSL_HEADER else ""
    return forwarded.rsplit(",", 1)[-1].strip() or request.META.get("REMOTE_ADDR", "")


def onward(request: HttpRequest) -> str:
    """Where the person was going, if that is on this site; else the first page."""
    wanted = request.POST.get("next", request.GET.get("next", ""))
    ours = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, request.is_secure())
    return wanted if ours else resolve_url(settings.LOGIN_REDIRECT_URL)


@login_not_required
@never_cache
@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    at = clock.now()
    if request.method == "GET":
        return redirect(onward(request)) if request.user.is_authenticated else _door(request, SignInForm(request, at))
    person, address = request.POST.get("username", ""), whence(request)
    if not throttle.knock(person, address, at):
        return _door(request, SignInForm(request, at, initial={"username": person}), TOO_MANY)
    form = SignInForm(request, at, data=request.POST)
    if not form.is_valid():
        return _door(request, form)
    throttle.welcome(person, address)
    login(request, form.get_user())
    return redirect(onward(request))


def _door(request: HttpRequest, form: SignInForm, refusal: str = "") -> HttpResponse:
    shown = {"form": form, "refusal": refusal, "next": onward(request)}
    return render(request, "firm/sign_in.html", shown, status=TOO_MANY_REQUESTS if refusal else None)


@login_not_required
def one_door(request: HttpRequest) -> HttpResponse:
    """For the registers' own sign-in page: whoever is signed in and sent here may not see them."""
    if request.user.is_authenticated:
        raise Http404
    return redirect_to_login(onward(request))


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    logout(request)
    messages.success(request, "You are signed out.")
    return redirect(settings.LOGOUT_REDIRECT_URL)


@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def password(request: HttpRequest) -> HttpResponse:
    if request.method == "GET":
        return render(request, "firm/password.html", {"form": NewPasswordForm(request.user)})
    at, address = clock.now(), throttle.inside(whence(request))
    if not throttle.knock(throttle.inside(request.user.pk), address, at):
        shown = {"form": NewPasswordForm(request.user), "refusal": TOO_MANY}
        return render(request, "firm/password.html", shown, status=TOO_MANY_REQUESTS)
    form = NewPasswordForm(request.user, data=request.POST)
    if not form.is_valid():
        return render(request, "firm/password.html", {"form": form})
    throttle.welcome(throttle.inside(request.user.pk), address)
    renewed = set_password(request.user.pk, form.cleaned_data["new_password1"], actor(request.user), at)
    update_session_auth_hash(request, renewed)
    messages.success(request, "Your password is changed. Wherever else you were signed in, you are signed out.")
    return redirect("permits")
