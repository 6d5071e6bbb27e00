"""What every answer tells the browser: run and load nothing but the site's own, and keep no copy of a signed-in page."""

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse

POLICY = (
    "default-src 'self'; img-src 'self' data:; object-src 'none'; base-uri 'none'; frame-ancestors 'none'; "
    "form-action 'self'; worker-src 'self'; manifest-src 'self'"
)

KEEP_FOR = "Keep-For"

LARGEST = 40 * 1024 * 1024  # bytes of a request: a form with two files, each as large as is kept, and something over
TOO_LARGE = 413

Answer = Callable[[HttpRequest], HttpResponse]


def strict(answer: Answer) -> Answer:
    """Middleware, outside all that may refuse a request, so that refusals carry it too."""

    def answered(request: HttpRequest) -> HttpResponse:
        # before anything of it is read: who is not even signed in could fill the disk
        length = request.META.get("CONTENT_LENGTH") or "0"
        too_large = not length.isdecimal() or int(length[:20]) > LARGEST
        response = HttpResponse("That is too large.", "text/plain", TOO_LARGE) if too_large else answer(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        if hasattr(request, "user") and request.user.is_authenticated:
            response.headers.setdefault("Cache-Control", "no-store")
        return response

    return answered


def asks_json(request: HttpRequest) -> bool:
    """Does a script ask, rather than a page that is to be shown?"""
    return request.get_preferred_type(["text/html", "application/json"]) == "application/json"


def keep_for(person: Any, response: HttpResponse) -> HttpResponse:
    """Let the person's own phone keep the answer, to be read where there is no line. Nothing else is kept there."""
    response.headers[KEEP_FOR] = person.pk
    return response
