"""Lists that go over several pages."""

from django.http import HttpRequest


def kept(request: HttpRequest, *without: str) -> str:
    """What the address asks for but for the page, and what else a link does without: for links that keep it."""
    asked = request.GET.copy()
    for name in ("page", *without):
        asked.pop(name, None)
    return asked.urlencode()
