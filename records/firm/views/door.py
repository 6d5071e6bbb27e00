"""Coming in, going out, and one's own password."""

from collections.abc import Callable
from datetime import datetime, timedelta

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login, logout, update_session_auth_hash
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.auth.tokens import default_token_generator
from django.contrib.auth.views import redirect_to_login
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render, resolve_url
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.module_loading import import_string
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from records import clock
from records.firm import factor, later, mail, throttle, visits
from records.firm.actions import AlreadySetUp, NoLongerGood, actor, opened, set_password, use_code
from records.firm.actions import choose_password as record_choice
from records.firm.actions import set_up as record_first
from records.firm.facts import own_zone
from records.firm.forms import TOO_MANY, ChosenPasswordForm, CodeForm, FirstPersonForm, ForgottenForm, NewPasswordForm, SignInForm
from records.firm.models import Person
from records.firm.ways import notices, told_of_token, write_to_whoever_forgot
from records.headers import asks_json
from records.rules.words import SAFETY_MANAGER, SUPERVISOR

UNAUTHORISED, TOO_MANY_REQUESTS = 401, 429
NOT_DONE = "Nobody was signed in here any more, so what you just did was not done. Sign in, and do it again."
HALF_IN, HALF_IN_FOR = "half_in", timedelta(minutes=5)
TOKEN, TOKEN_IN_SESSION = "password_token", "chosen"


def leavers(answer: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Middleware: whoever leaves, and whose session was ended or lay idle, is signed out."""

    def answered(request: HttpRequest) -> HttpResponse:
        if request.user.is_authenticated and (request.user.has_left(clock.now()) or not visits.attend(request, clock.now())):
            logout(request)
        return answer(request)

    return answered


class Doorkeeper(LoginRequiredMiddleware):
    """Middleware: who is not signed in is sent to the door; a script is told so, and keeps what it wanted to send.

    Whoever handed something in comes back to the page that it was handed in from, and is told that it was not done.
    """

    def handle_no_permission(self, request: HttpRequest, view_func: Callable) -> HttpResponse:
        if asks_json(request):
            return JsonResponse({"says": "Nobody is signed in here any more."}, status=UNAUTHORISED)
        if request.method == "POST" and (came_from := request.headers.get("Referer", "")):
            messages.warning(request, NOT_DONE)
            return redirect_to_login(came_from, resolve_url(settings.LOGIN_URL))
        return super().handle_no_permission(request, view_func)


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
        if not Person.objects.exists():
            return redirect("set_up")
        return redirect(onward(request)) if request.user.is_authenticated else _door(request, SignInForm(request, at))
    person, address = request.POST.get("username", ""), whence(request)
    if not throttle.knock(person, address, at):
        return _door(request, SignInForm(request, at, initial={"username": person}), TOO_MANY)
    form = SignInForm(request, at, data=request.POST)
    if not form.is_valid():
        return _door(request, form)
    throttle.welcome(person, address)
    if factor.of(form.get_user()) is not None:
        request.session[HALF_IN] = {"person": form.get_user().pk, "at": at.isoformat(), "next": onward(request)}
        return redirect("code")
    _let_in(request, form.get_user(), at)
    return redirect(onward(request))


def _let_in(request: HttpRequest, person: Person, at: datetime) -> None:
    """Sign them in, and say what they must know of their way in."""
    login(request, person)
    for says in notices(person, at):
        messages.warning(request, says)


@login_not_required
@never_cache
@require_http_methods(["GET", "POST"])
def code(request: HttpRequest) -> HttpResponse:
    """The second step of signing in, for whoever gave their password just now."""
    at, half = clock.now(), request.session.get(HALF_IN)
    if not half or at - datetime.fromisoformat(half["at"]) > HALF_IN_FOR:
        return redirect("sign_in")
    person = get_object_or_404(Person, pk=half["person"])
    if request.method == "GET":
        return render(request, "firm/code.html", {"form": CodeForm(recovery=True)})
    if not throttle.knock(f"code: {person.pk}", whence(request), at):
        return render(request, "firm/code.html", {"form": CodeForm(recovery=True), "refusal": TOO_MANY}, status=TOO_MANY_REQUESTS)
    form = CodeForm(recovery=True, data=request.POST)
    if not form.is_valid() or not use_code(person, form.cleaned_data["code"], at):
        form.add_error("code", "That code is not good, or was used already.") if form.is_valid() else None
        return render(request, "firm/code.html", {"form": form})
    throttle.welcome(f"code: {person.pk}", whence(request))
    _let_in(request, person, at)
    return redirect(half["next"])


def _door(request: HttpRequest, form: SignInForm, refusal: str = "") -> HttpResponse:
    shown = {"form": form, "refusal": refusal, "next": onward(request)}
    return render(request, "firm/sign_in.html", shown, status=TOO_MANY_REQUESTS if refusal else None)


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
    mail.write(renewed, "Your password was changed", mail.CHANGED, what="the password")
    messages.success(request, "Your password is changed. Wherever else you were signed in, you are signed out.")
    return redirect("account")


# the first person of all


@login_not_required
@never_cache
@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def set_up(request: HttpRequest) -> HttpResponse:
    """While nobody is on record: the first person, who then keeps the firm's records."""
    if Person.objects.exists():
        raise Http404
    if settings.PRODUCTION and not settings.SET_UP_CODE:
        return render(request, "firm/set_up.html", {"closed": True}, status=403)
    wanted = settings.SET_UP_CODE if settings.PRODUCTION else ""
    if request.method == "POST" and wanted and not throttle.knock("set-up code", whence(request), clock.now()):
        return render(request, "firm/set_up.html", {"form": FirstPersonForm(wanted), "refusal": TOO_MANY}, status=TOO_MANY_REQUESTS)
    form = FirstPersonForm(wanted, data=request.POST or None)
    if request.method == "GET" or not form.is_valid():
        return render(request, "firm/set_up.html", {"form": form})
    first = form.instance
    first.roles = (SAFETY_MANAGER, SUPERVISOR)
    try:
        login(request, record_first(first, form.cleaned_data["new_password1"], clock.now()))
    except AlreadySetUp:
        messages.error(request, "Somebody else was first. Sign in, or ask them to invite you.")
        return redirect("sign_in")
    for path in settings.ONCE_SET_UP:
        import_string(path)(first.employer, clock.now())
    messages.success(request, "You are on record, and keep the firm’s records from now on. Begin with a site.")
    return redirect("books")


# a password by mail


@login_not_required
@never_cache
@require_http_methods(["GET", "POST"])
def forgotten(request: HttpRequest) -> HttpResponse:
    """Write to whoever lost their password. The answer and its time are the same for nobody: it comes before anyone is looked for."""
    form = ForgottenForm(data=request.POST or None)
    if request.method == "GET" or not form.is_valid():
        return render(request, "firm/forgotten.html", {"form": form})
    at, name = clock.now(), form.cleaned_data["person"]
    if not throttle.knock(f"forgotten: {name}", whence(request), at):
        return render(request, "firm/forgotten.html", {"form": form, "refusal": TOO_MANY}, status=TOO_MANY_REQUESTS)
    later.after_the_answer(write_to_whoever_forgot, name.replace("\0", ""), request.build_absolute_uri("/"), at)
    messages.success(request, "If that person is on record with a mail address, they are written to. The address in the mail is good for three days.")
    return redirect("sign_in")


@login_not_required
@never_cache
@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def choose_password(request: HttpRequest, person: str, token: str) -> HttpResponse:
    """A password for who came by an address that was sent to them. The token moves from the address into the session, so that nothing gives it away."""
    at, found = clock.now(), Person.objects.filter(pk=person.replace("\0", "")).first()
    kept = request.session.get(TOKEN, "") if token == TOKEN_IN_SESSION else token
    if found is None or found.has_left(at) or not default_token_generator.check_token(found, kept):
        return _stale(request, found, kept)
    if token != TOKEN_IN_SESSION:
        opened(found, token, at)
        request.session[TOKEN] = token
        return redirect("choose_password", person, TOKEN_IN_SESSION)
    form = ChosenPasswordForm(found, data=request.POST or None)
    if request.method == "GET" or not form.is_valid():
        told = told_of_token(found, kept, own_zone(found, at))
        return render(request, "firm/choose_password.html", {"form": form, "person": found, "told": told})
    del request.session[TOKEN]
    try:
        record_choice(found, kept, form.cleaned_data["new_password1"], at)
    except NoLongerGood:
        return _stale(request, found, kept)
    mail.write(found, "Your password was changed", mail.CHANGED, what="the password")
    messages.success(request, "Your password is set. Sign in with it.")
    return redirect("sign_in")


def _stale(request: HttpRequest, person: Person | None, token: str) -> HttpResponse:
    """To whoever holds the token of an address that was opened before, say when: it may have been somebody else."""
    told = told_of_token(person, token, own_zone(person, clock.now())) if person is not None else None
    return render(request, "firm/choose_password.html", {"stale": True, "told": told}, status=404)
