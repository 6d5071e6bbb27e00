"""Pages: what is told ahead to whom, for the safety manager; and what is told to oneself, for everyone."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from locates.watch.actions import arrange, choose
from locates.watch.facts import ACT, arrangement, chosen_by
from locates.watch.forms import ArrangementForm, ChoiceForm
from records import clock
from records.access import may

KEPT, AS_BEFORE = "Kept. It holds from the next letters on.", "Nothing was changed."


@require_http_methods(["GET", "POST"])
def arranged(request: HttpRequest) -> HttpResponse:
    """Who is told what, and how many days ahead."""
    if not may(request.user, ACT):
        raise Http404
    form = ArrangementForm(arrangement(), data=request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        messages.success(request, KEPT if arrange(request.user, form.arrangement(), clock.now()) else AS_BEFORE)
        return redirect("told_ahead")
    return render(request, "watch/arranged.html", {"form": form})


@require_http_methods(["GET", "POST"])
def to_me(request: HttpRequest) -> HttpResponse:
    """What one is told oneself."""
    chosen = chosen_by([request.user.pk]).get(request.user.pk, {})
    form = ChoiceForm(request.user.roles, arrangement(), chosen, data=request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        messages.success(request, KEPT if choose(request.user, form.days(), clock.now()) else AS_BEFORE)
        return redirect("told_ahead_to_me")
    return render(request, "watch/to_me.html", {"form": form, "arranges": may(request.user, ACT)})
