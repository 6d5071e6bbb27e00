"""The page of letters: the safety manager's of all, and everyone's of their own."""

from typing import Any
from zoneinfo import ZoneInfo

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from records import clock
from records.access import ALL, reach
from records.firm.facts import own_zone
from records.letters.facts import ACT, letters
from records.letters.forms import LettersForm
from records.letters.models import Letter
from records.letters.rules import MARKS, STATES
from records.paging import kept
from records.rules.dates import instant_says

PAGE = 25


@require_safe
def page(request: HttpRequest) -> HttpResponse:
    """What was written to whom, the latest first, and what became of it."""
    at = clock.now()
    everyones = reach(request.user, ACT) == ALL
    form, zone = LettersForm(everyones=everyones, data=request.GET), own_zone(request.user, at)
    found = Paginator(form.narrow(letters(request.user, at)), PAGE).get_page(request.GET.get("page"))
    shown = {"form": form, "narrowed": form.narrowed(), "everyones": everyones, "page": found, "kept": kept(request)}
    return render(request, "letters/list.html", shown | {"lines": [_line(one, zone) for one in found.object_list]})


def _line(one: Letter, zone: ZoneInfo) -> dict[str, Any]:
    """One letter in words."""
    times = (("posted", one.posted_at), ("last tried" if one.sent_at is None else "taken over by the mail server", one.sent_at or one.taken_at))
    said = [f"{what} {instant_says(when, zone)}" for what, when in times if when is not None]
    return {"letter": one, "word": STATES[one.state], "mark": MARKS.get(one.state, "mind"), "when": ", ".join(said)}
