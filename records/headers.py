"""What every answer tells the browser: run and load nothing but the site's own, and keep no copy of a signed-in page."""

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse

POLICY = (
    "default-src 'self'; img-src 'self' data:; object-src 'none'; base-uri 'none'; frame-ancestors 'none'; "
    "form-action 'self'; worker-src 'self'; manifest-src 'self'"
)

KEEP_FOR = "Keep-For"

Answer = Callable[[HttpRequest], HttpResponse]


def strict(answer: Answer) -> Answer:
    """Middleware, outside all that may refuse a request, so that refusals carry it too."""

    def answered(request: HttpRequest) -> HttpResponse:
        response = answer(request)
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
