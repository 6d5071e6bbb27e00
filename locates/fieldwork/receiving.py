"""Pieces of work that phones send, perhaps more than once: each is done once and answered alike every time.

A phone gives each piece a key. What it was answered is kept in the transaction of what the piece wrote: a piece is done and answered, or neither.
Such answers are no record of the firm's and go after a month, by which time a piece that comes again is too old to be taken.
"""

import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect

from locates.fieldwork.models import Received
from locates.fieldwork.rules.phone import happened
from records.exchange.entering import Beside
from records.firm.models import Person
from records.headers import asks_json
from records.ledger.actions import Errand
from records.ledger.chain import canonical, digest
from records.rules.text import Unfit

KEPT = timedelta(days=31)
DONE, UNAUTHORISED, CONFLICT, UNFIT = 200, 401, 409, 422
ELSE = "Somebody else is signed in on this phone. Sign in as who recorded this, and it is sent."
OTHER_BODY = "It was received once already, and otherwise than it is now. What was received first stands: look at it, and drop this one."


class _Twice(Exception):
    """Its twin, sent at the same instant, was done meanwhile."""


@dataclass(slots=True)
class Receipt:
    """A piece at the door: whose it is, when its work was `happened`, and the instant `at` which it came. `key`: None where a plain form was handed in."""

    person: Person
    at: datetime
    happened: datetime
    key: UUID | None = None
    digest: str = ""
    answer: str = ""

    def beside(self, says: str, leads: str) -> Beside:
        """To be done in the errand that writes the piece: keep what it is answered."""
        told = canonical({"done": True, "says": says, "next": leads})

        def kept(underway: Errand) -> None:
            if self.key is not None:
                self._keep(told, underway)
            self.answer = told

        return kept

    def _keep(self, told: str, underway: Errand) -> None:
        if known(self.person, self.key) is not None:
            raise _Twice
        Received.objects.filter(at__lt=self.at - KEPT).delete()
        Received.objects.create(person=self.person, key=self.key, digest=self.digest, answer=told, at=self.at)

    def done(self, request: HttpRequest) -> HttpResponse:
        """The answer that was kept: to a phone as it stands, to a plain form as a message and the next page. Raises RuntimeError where none was."""
        if not self.answer:
            raise RuntimeError("a piece was done and nothing was kept of what it was answered")
        if self.key is not None:
            return _told(self.answer)
        told = json.loads(self.answer)
        messages.success(request, told["says"])
        return redirect(told["next"])


def received(request: HttpRequest, at: datetime, do: Callable[[Receipt], HttpResponse]) -> HttpResponse:
    """Let the piece be done, once. `do` writes it, with what `Receipt.beside` gives in its errand, and answers `Receipt.done`, or says what is wrong."""
    if not asks_json(request):
        return do(Receipt(request.user, at, at))
    if request.headers.get("Recorded-By", request.user.pk) != request.user.pk:
        return JsonResponse({"says": ELSE}, status=UNAUTHORISED)
    try:
        piece = _piece(request)
        if (before := known(request.user, piece[0])) is not None:
            return _again(before, piece[1])
        return _first(Receipt(request.user, at, _when(request, at), *piece), do)
    except Unfit as fault:
        return faulty({"": [str(fault)]})


def _first(receipt: Receipt, do: Callable[[Receipt], HttpResponse]) -> HttpResponse:
    try:
        answered = do(receipt)
    except _Twice:
        answered = None
    if answered is not None and answered.status_code == DONE:
        return answered
    # what its twin wrote may be just what stands in this one's way
    twin = known(receipt.person, receipt.key)
    return answered if twin is None else _again(twin, receipt.digest)


def known(person: Person, key: UUID) -> Received | None:
    """What the person's phone was answered to the piece with this key."""
    return Received.objects.filter(person=person, key=key).first()


def _again(before: Received, body: str) -> HttpResponse:
    return _told(before.answer) if before.digest == body else faulty({"": [OTHER_BODY]})


def _told(answer: str) -> HttpResponse:
    return HttpResponse(answer, content_type="application/json")


def _piece(request: HttpRequest) -> tuple[UUID, str]:
    """The piece's key, and the digest of what it says: its address, fields and files. Raises Unfit."""
    try:
        key = UUID(request.headers.get("Idempotency-Key", ""))
    except ValueError as trouble:
        raise Unfit("It came without a key of its own: a UUID was expected as Idempotency-Key") from trouble
    fields = [[name, *values] for name, values in request.POST.lists()]
    files = [[name, *map(_content, several)] for name, several in request.FILES.lists()]
    return key, digest(canonical([request.path, fields, files]))


def _content(file: UploadedFile) -> str:
    read = sha256()
    for chunk in file.chunks():
        read.update(chunk)
    file.seek(0)
    return f"{file.name} {read.hexdigest()}"


def _when(request: HttpRequest, at: datetime) -> datetime:
    return happened(request.headers.get("Recorded-At", ""), request.headers.get("Sent-At", ""), at)


# what else a piece may be answered


def faulty(faults: dict[str, list[str]]) -> JsonResponse:
    """What is wrong, by field; under "" what is wrong with all of it. The phone keeps the piece, to be mended or dropped."""
    return JsonResponse({"faults": faults}, status=UNFIT)


def clash(says: str, mine: dict[str, Any], theirs: dict[str, Any]) -> JsonResponse:
    """Somebody else was quicker: both in words, by what each field is called. The phone keeps the piece until the person decides."""
    return JsonResponse({"says": says, "mine": mine, "theirs": theirs}, status=CONFLICT)
