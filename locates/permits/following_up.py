"""The follow-up of emergency work on pages: what is owed by when, what was told, and the page on which it is told."""

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from locates.permits.actions import OutOfTurn, follow_up
from locates.permits.emergencies import Done, work
from locates.permits.models import Emergency, FollowUp, Permit
from records.access import Ties, within
from records.firm.models import Person
from records.forms import laid_out
from records.rules.dates import instant_says, local_day
from records.rules.says import days_away

ACT = "followup.enter"
TIES = Ties(("issuer", "emergency__decided_by"), "site")
NOT_YET = "Emergency work is followed up once it is over: ended, handed back, or by its time."


class FollowUpForm(forms.Form):
    """What was done after emergency work. `more`: something was told already, and why more is added is owed."""

    owners = forms.CharField(label="Which owners were told, and what they answered", max_length=2000, widget=forms.Textarea(attrs={"rows": 3}))
    found = forms.CharField(label="What was found", max_length=2000, widget=forms.Textarea(attrs={"rows": 3}))
    damage = forms.CharField(label="Damage", max_length=2000, widget=forms.Textarea(attrs={"rows": 2}))

    def __init__(self, *, more: bool, **begun: Any) -> None:
        super().__init__(**begun)
        self.fields["damage"].help_text = "None, or what was damaged and who was told."
        if more:
            self.fields["why"] = forms.CharField(label="Why more is added", max_length=2000, widget=forms.Textarea(attrs={"rows": 2}))
        self.helper = laid_out()


def page(request: HttpRequest, permit: Permit, at: datetime) -> HttpResponse:
    """The page on which it is told, of a permit that is the person's to follow up."""
    found = _work(permit, at)
    if found is None or found.over_at > at:
        messages.info(request, NOT_YET)
        return redirect("permit", permit.pk)
    form = FollowUpForm(more=permit.emergency.follow_ups.exists(), data=request.POST or None)
    if request.method == "POST" and form.is_valid() and _told(request, permit, form, at):
        messages.success(request, f"The follow-up of permit {permit.pk} is recorded.")
        return redirect("permit", permit.pk)
    return render(request, "permits/follow_up.html", {"permit": permit, "form": form, "said": _said(found, at)})


def _told(request: HttpRequest, permit: Permit, form: FollowUpForm, at: datetime) -> bool:
    try:
        entered = follow_up(permit.pk, request.user, form.cleaned_data, at)
    except OutOfTurn:
        form.add_error(None, "Somebody else recorded one meanwhile. Look at it first: it stands on the permit’s page.")
        return False
    for problem in entered.problems:
        form.add_error(problem.column if problem.column in form.fields else None, problem.says)
    return entered.right


def part(permit: Permit, reader: Person, at: datetime) -> dict[str, Any] | None:
    """What stands of it on the permit's own page; nothing for a permit that is no emergency, or that nobody could have dug by."""
    found = _work(permit, at)
    if found is None:
        return None
    zone = ZoneInfo(permit.site.time_zone)
    told = FollowUp.objects.filter(permit=permit.pk).select_related("person").order_by("number")
    mine = within(Permit.objects.filter(pk=permit.pk), reader, ACT, TIES, at).exists()
    return {
        "template": "permits/_followed_up.html",
        "said": _said(found, at),
        "kind": "stop" if found.overdue(at) else "mind" if found.followed_up_at is None else "go",
        "told": [{"row": one, "when": instant_says(one.done_at, zone)} for one in told],
        "leads": reverse("follow_up", args=[permit.pk]) if mine and found.over_at <= at else "",
    }


def _work(permit: Permit, at: datetime) -> Done | None:
    if not Emergency.objects.filter(permit=permit.pk).exists():  # as of most: nothing more is asked
        return None
    return next(iter(work(Permit.objects.filter(pk=permit.pk), at)), None)


def _said(found: Done, at: datetime) -> str:
    """How the follow-up stands, in a sentence."""
    if found.overdue(at):
        return f"Overdue: it was due through {found.last_day}. Until it is recorded no other emergency permit of this site is signed."
    if found.owed(at):
        return f"Due through {found.last_day}, {_far(found, at)}."
    return "It is recorded." if found.over_at <= at else f"Due through {found.last_day}, if the work ends by its time."


def _far(found: Done, at: datetime) -> str:
    today = local_day(at, found.zone)
    return days_away((local_day(found.overdue_at, found.zone) - today).days - 1)


def owed_to(person: Person, at: datetime) -> list[dict[str, str]]:
    """What is due and overdue of what is this person's to follow up, what falls overdue first before the rest."""
    mine = within(Permit.objects.all(), person, ACT, TIES, at)
    return [
        {"permit": one.permit.pk, "site": one.permit.site.name, "says": _said(one, at), "kind": "stop" if one.overdue(at) else "mind"}
        for one in work(mine, at)
        if one.owed(at)
    ]
