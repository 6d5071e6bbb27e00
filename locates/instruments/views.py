"""A check in two taps: from the instrument's own page, and then what it showed."""

from datetime import datetime

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from locates.instruments.books import CHECKS, INSTRUMENTS
from locates.instruments.forms import CheckForm
from records import clock
from records.access import may
from records.books.actions import Slip, hand_in
from records.books.reaching import found
from records.exchange.entering import Entered
from records.firm.models import Person
from records.identifiers import next_identifiers
from records.rules.columns import INSTANT
from records.rules.kinds import UTC_ZONE

TRIES = 5
KINDS = {"before_use": "Check before use", "self_test": "Self-test"}
TOLD = {
    "pass": "{name} passed. It is recorded with your name and the time.",
    "fail": "{name} FAILED. Do not use it: a locate that rests on it is blocked. Put it aside, and tell whoever keeps the instruments.",
}


@require_http_methods(["GET", "POST"])
def check(request: HttpRequest, instrument: str) -> HttpResponse:
    at = clock.now()
    one = found(INSTRUMENTS, request.user, INSTRUMENTS.see, instrument, at)
    if not may(request.user, CHECKS.enter):
        raise Http404
    kind = request.POST.get("kind", request.GET.get("kind", "before_use"))
    kind = kind if kind in KINDS else "before_use"
    form = CheckForm(data=request.POST or None)
    if request.method == "POST" and form.is_valid():
        result = form.cleaned_data["result"]
        row = {"instrument": one.pk, "kind": kind, "checked_at": INSTANT.write(at, UTC_ZONE), "person": request.user.pk}
        entered = _record(row | {"result": result, "note": form.cleaned_data["note"]}, request.user, at)
        if entered.right:
            (messages.success if result == "pass" else messages.error)(request, TOLD[result].format(name=f"{one.kind.capitalize()} {one.instrument}"))
            return redirect("leaf", INSTRUMENTS.slug, one.pk)
        form.add_error(None, entered.problems[0].says)
    return render(request, "instruments/check.html", {"instrument": one, "kind": kind, "title": KINDS[kind], "form": form})


def _record(row: dict[str, str], person: Person, at: datetime) -> Entered:
    """Under the next name; where somebody else takes that at the same instant, under the one after."""
    for name in next_identifiers(CHECKS.model, CHECKS.prefix, TRIES):
        entered = hand_in(Slip(CHECKS, [row | {"check": name}]), person, at)
        if entered.right or entered.problems[0].column != "check":
            break
    return entered
