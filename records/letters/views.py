"""The page of letters: the safety manager's of all, and everyone's of their own."""

from datetime import timedelta
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
SOON = timedelta(minutes=1)  # sent so soon, when it was posted is no news


@require_safe
def page(request: HttpRequest) -> HttpResponse:
    """What was written to whom, the latest first, and what became of it."""
    at = clock.now()
    everyones = reach(request.user, ACT) == ALL
    form, zone = LettersForm(everyones=everyones, data=request.GET), own_zone(request.user, at)
    found = Paginator(form.narrow(letters(request.user, at), zone), PAGE).get_page(request.GET.get("page"))
    shown = {"form": form, "narrowed": form.narrowed(), "everyones": everyones, "page": found, "kept": kept(request)}
    return render(request, "letters/list.html", shown | {"lines": [_line(one, zone) for one in found.object_list]})


def _line(one: Letter, zone: ZoneInfo) -> dict[str, Any]:
    """One letter in words."""
    said = [] if one.sent_at and one.sent_at - one.posted_at < SOON else [f"posted {instant_says(one.posted_at, zone)}"]
    if one.sent_at:
        said.append(f"taken over by the mail server {instant_says(one.sent_at, zone)}")
    elif one.taken_at:
        said.append(f"tried {instant_says(one.taken_at, zone)}")
    return {"letter": one, "word": STATES[one.state], "mark": MARKS.get(one.state, "mind"), "when": ", ".join(said)}
