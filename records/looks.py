"""How the pages look to one person: which ways they have, and in which light. The light is kept by the browser, in a cookie that tells nothing else."""

from typing import Any

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, resolve_url
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from records.access import may

COOKIE = "light"
A_YEAR = 365 * 24 * 3600
LIGHTS = {"": "as my device", "light": "light", "dark": "dark", "sunlight": "sunlight"}
# the pages that stand in the masthead: address, words, and the act that somebody must be allowed to see them; none: everyone
WAYS = (
    ("home", "Today", ""),
    ("permits", "Permits", "permit.see"),
    ("field", "Locate", "fieldsheet.enter"),
    ("mine", "My dates", ""),
    ("cover", "Cover", "cover.see"),
    ("books", "Records", ""),
    ("history", "History", "history.see"),
    ("notice", "Before you dig", ""),
)


class Way:
    """A page in the masthead: its `address` and `words`, and what it is to the page that is open, as `aria-current` has it: that page, or where it belongs."""

    def __init__(self, name: str, words: str, request: HttpRequest) -> None:
        self.address, self.words = reverse(name), words
        within = self.address != "/" and request.path.startswith(self.address)
        self.current = "page" if request.path == self.address else "true" if within else ""


def looks(request: HttpRequest) -> dict[str, Any]:
    """For every template: the light, the lights to choose from, the ways, and which cookie holds the token that scripts send."""
    chosen = request.COOKIES.get(COOKIE, "")
    user = getattr(request, "user", None)
    ways = [Way(name, words, request) for name, words, act in WAYS if not act or may(user, act)] if user and user.is_authenticated else []
    return {"light": chosen if chosen in LIGHTS else "", "lights": LIGHTS.items(), "ways": ways, "token": settings.CSRF_COOKIE_NAME}


@login_not_required
@require_POST
def choose_light(request: HttpRequest) -> HttpResponse:
    """Keep the light that was chosen, and go back to where that was."""
    back = request.headers.get("Referer", "")
    ours = url_has_allowed_host_and_scheme(back, {request.get_host()}, request.is_secure())
    response = redirect(back if ours else resolve_url(settings.LOGIN_REDIRECT_URL))
    chosen = request.POST.get("light", "")
    if chosen in LIGHTS and chosen:
        response.set_cookie(COOKIE, chosen, max_age=A_YEAR, secure=settings.SESSION_COOKIE_SECURE, httponly=True, samesite="Lax")
    else:
        response.delete_cookie(COOKIE, samesite="Lax")
    return response
