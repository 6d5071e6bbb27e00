"""Lists that go over several pages."""

from django.http import HttpRequest


def kept(request: HttpRequest, without: str = "page") -> str:
    """What the address asks for but for the page: for links that keep it."""
    asked = request.GET.copy()
    asked.pop(without, None)
    return asked.urlencode()
