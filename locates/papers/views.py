"""Printing a permit, its issued papers, and the page at the address that they bear."""

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.views.decorators.http import require_POST, require_safe

from locates.life.rules.acts import PREPARED
from locates.papers.actions import NoPaper, issue_paper
from locates.papers.desk import looked_up
from locates.papers.facts import papers_at
from locates.papers.models import Paper
from locates.permits.lists import TIES
from locates.permits.models import Permit
from records import clock
from records.access import fetch
from records.files.store import intact, place
from records.firm import throttle
from records.firm.views.door import TOO_MANY_REQUESTS, whence
from records.rules.words import spoken

ACT = "permit.print"
GUESSES = "address of a paper"
NOT_FOUND, GONE = 404, 410
# never listed, never kept on the way, and no address told onward: whoever has it can read it
PUBLIC = {"X-Robots-Tag": "noindex, nofollow", "Cache-Control": "private, no-store", "Referrer-Policy": "no-referrer"}
NO_SUCH = {
    "refusal": "No such address",
    "says": "Nothing is known at this address. Compare it, letter by letter, with the one on the paper. Until then take the paper as not good.",
}
NONE = {PREPARED: "Nobody has signed this permit yet: until then there is only a copy to read."}
TOO_MANY = {"refusal": "Too many tries", "says": "Wait a quarter of an hour, or ask who issued the permit. Until then take the paper as not good."}


@require_POST
def print_paper(request: HttpRequest, permit: str) -> HttpResponse:
    """Issue the paper of a signed permit; pressed again while nothing has changed, it gives the same paper."""
    at = clock.now()
    fetch(Permit.objects.all(), request.user, ACT, TIES, permit, at)
    try:
        made = issue_paper(permit, request.user, settings.SITE_ADDRESS or request.build_absolute_uri("/"), at)
    except NoPaper as none:
        messages.info(request, NONE.get(none.state, f"This permit is {spoken(none.state)}: there is no paper of it to work on, only a copy to read."))
        return redirect("permit", permit)
    return redirect("issued_paper", permit, made.version)


@require_safe
def issued_paper(request: HttpRequest, permit: str, version: int) -> HttpResponse:
    """The paper as it was issued, byte for byte."""
    found = fetch(Permit.objects.all(), request.user, ACT, TIES, permit, clock.now())
    one = get_object_or_404(Paper, permit=found, version=version)
    if not intact(one.sha256):
        return render(request, "files/gone.html", {"file": {"name": str(one)}}, status=GONE)
    return FileResponse(place(one.sha256).open("rb"), content_type="application/pdf", filename=f"{permit}-{version}.pdf")


@login_not_required
@require_safe
def look_up(request: HttpRequest, key: str, mark: str = "") -> HttpResponse:
    """How the permit stands, for whoever has its paper. A key that is none tells nothing, and guessing is slow."""
    at, address = clock.now(), f"{GUESSES}: {whence(request)}"
    papers = papers_at(key.replace("\0", "").lower())
    if not throttle.look(address, at) or (not papers and not throttle.knock(GUESSES, address, at)):
        return _public(request, TOO_MANY, TOO_MANY_REQUESTS)
    if not papers:
        return _public(request, NO_SUCH, NOT_FOUND)
    return _public(request, {"found": looked_up(papers, mark.lower(), max(at, papers[-1].printed_at))})


def _public(request: HttpRequest, shown: dict[str, Any], status: int | None = None) -> HttpResponse:
    return HttpResponse(render_to_string("papers/look_up.html", shown, request), status=status, headers=PUBLIC)
