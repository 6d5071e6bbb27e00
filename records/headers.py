"""What every answer tells the browser: run and load nothing but the site's own, and keep no copy of a signed-in page."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

POLICY = (
    "default-src 'self'; img-src 'self' data:; object-src 'none'; base-uri 'none'; frame-ancestors 'none'; "
    "form-action 'self'; worker-src 'self'; manifest-src 'self'"
)

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
