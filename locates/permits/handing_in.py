"""A permit in preparation as it comes back from its page: looked at again, mended, or saved."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from locates.permits import desk, offering
from locates.permits.models import Permit
from records.books.actions import Slip, Stale, as_seen, hand_in

CONFLICT = 409


def prepared(request: HttpRequest, at: datetime, found: Permit | None = None) -> HttpResponse:
    """Looked at again, its end or its outline mended, or saved."""
    data, doing = request.POST.copy(), request.POST.get("do", "look")
    fixed = found.pk if found else ""
    offer = offering.offer(request.user, at, data=data, fixed=fixed)
    seen = data.get("seen", "")
    if doing in offering.MENDS and offer.draft is not None:
        offering.MENDS[doing](data, offer, at)
        offer = offering.offer(request.user, at, data=data, fixed=fixed)
    if doing != "save" or not offer.right():
        return preparing(request, offer, at, found, seen=seen, saving=doing == "save")
    row = offer.form.cells() | ({"permit": found.pk} if found else {})
    try:
        entered = hand_in(Slip(offering.SLIP, [row], "", fixed or None, seen, also=offer.besides.also(row["permit"])), request.user, at)
    except Stale:
        now = {"seen": as_seen(offering.SLIP, found.pk), "stale": offering.told(found.pk, at), "status": CONFLICT}
        return preparing(request, offer, at, found, saving=True, **now)
    if not entered.right:
        offer.say(entered.problems)
        return preparing(request, offer, at, found, seen=seen, saving=True)
    messages.success(request, f"Permit {row['permit']} is {'changed' if found else 'prepared'}. Nobody has signed it yet.")
    return redirect("permit", row["permit"])


def preparing(
    request: HttpRequest, offer: offering.Offer, at: datetime, found: Permit | None = None, *, status: int | None = None, saving: bool = False, **beside: Any
) -> HttpResponse:
    """The page. A form that is only looked at says nothing of what is still blank."""
    if not saving:
        offer.unhurried()
    shown = {"offer": offer, "form": offer.form, "permit": found, "saving": saving, **beside}
    if offer.draft is not None:
        shown |= {"missing": offer.draft.missing, "ground": offering.ground(offer.draft)}
        if not offer.draft.missing:
            prospect = offer.draft.prospect()
            shown |= {**desk.drawings(prospect.sheet), **desk.answer(prospect, at, request.user, stored=False), "table": desk.table(prospect.sheet, at)}
            shown |= {"fits": offering.fits(prospect, at), "side": offer.besides.changes(prospect.evidence)}
    return render(request, "permits/prepare.html", shown, status=status)
