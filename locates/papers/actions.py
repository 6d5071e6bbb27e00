"""Printing a permit that is signed: one errand, in which a paper comes on record unless the latest is still upon the same sheet."""

import json
import logging
import secrets
from datetime import datetime
from typing import Any
from urllib.parse import urljoin

from django.core.files.base import ContentFile
from django.urls import reverse

from locates.life.actions import Outlook, Wish, outlook
from locates.life.rules.acts import EXTEND, JUDGED, RESUME, TAKE_OVER
from locates.life.rules.undoing import says, weighed
from locates.papers.facts import ACT, KIND, told
from locates.papers.models import Paper
from locates.papers.rules import ALPHABET, GROUP, GROUPS, PRINTED, Print, key_of, mark_of
from locates.papers.seal import Seal, Unusable, own_seal, sealed
from locates.permits.models import SignOff
from locates.permits.paper import permit_pdf
from locates.permits.sheet import digest, with_later
from records.files.store import intact, put
from records.firm.actions import actor
from records.firm.models import Person
from records.ledger.actions import errand
from records.paper.bearing import Mark
from records.rules.dates import instant_says

log = logging.getLogger(__name__)
STEPPED = {RESUME: "Resumed", TAKE_OVER: "Taken over", EXTEND: "Extended"}
SEALED = "The file of this paper is sealed by {seal.name} (certificate with SHA-256 {seal.fingerprint}); on printed pages the seal cannot be seen."
UNSEALED = "This paper is not sealed: only its address and the firm's records can tell whether it was altered."


class NoPaper(Exception):
    """In this state of its life a permit has no paper to work on; `state` says which."""

    def __init__(self, state: str) -> None:
        super().__init__(state)
        self.state = state


def sheet_now(permit: str, at: datetime) -> tuple[Outlook, dict[str, Any]]:
    """How the permit stands, and the sheet that a paper issued now would print: what was signed last, or stepped upon a verdict, word for word.

    Where something undoes it by now, the sheet says so beside that. Raises Permit.DoesNotExist, and NoPaper where nobody has signed.
    """
    now = outlook(permit, Wish(RESUME), at)  # judged with the receiver and the end that its life has given it
    frozen = [one.sheet for one in (*SignOff.objects.filter(permit=permit).order_by("signed_at", "pk"), *(step for step in now.steps if step.act in JUDGED))]
    if not frozen:
        raise NoPaper(now.life.state)
    sheet = json.loads(frozen[-1])
    return now, with_later(sheet, now.verdict) if weighed(now.evidence, now.verdict, now.life.signed_at).undoes else sheet


def upon(sheet: dict[str, Any]) -> str:
    """The digest by which one issued paper differs from another. When a later fact was looked at makes no other paper; another fact does."""
    return digest({**sheet, "later": {**sheet["later"], "at": ""}} if "later" in sheet else sheet)


def issue_paper(permit: str, person: Person, root: str, at: datetime) -> Paper:
    """The permit's latest paper; a new one where another sheet would be printed now. `root`: where the site is, as the request names it.

    Its file is kept first, under its digest. Raises Permit.DoesNotExist and NoPaper.
    """
    seal = _seal(at)
    with errand(actor(person), at, may_be_empty=True) as underway:
        now, sheet = sheet_now(permit, _not_before(permit, at))
        if now.life.state not in PRINTED:
            raise NoPaper(now.life.state)
        last = Paper.objects.filter(permit=permit).order_by("version").last()
        # one that was issued without a seal is issued anew once there is one
        if last and last.digest == upon(sheet) and intact(last.sha256) and (last.sealed_by or seal is None):
            return last
        one = Print(last.version + 1 if last else 1, upon(sheet))
        key = last.key if last else _new_key()
        pdf = permit_pdf(sheet, Mark(f"version {one.version}", _address(root, key, one), _says(person, at, now, seal)))
        sha256 = put(ContentFile(sealed(pdf, seal) if seal else pdf, f"{permit}.pdf"))
        row = {"version": one.version, "digest": one.digest, "key": key, "sha256": sha256, "sealed_by": seal.fingerprint if seal else ""}
        made = Paper.objects.create(permit_id=permit, person=person, printed_at=at, recorded_at=at, **row)
        underway.write(ACT, KIND, permit, str(made), at, after=told(made))
    return made


def _not_before(permit: str, at: datetime) -> datetime:
    """What is signed by now is printed as signed, though this server's clock be behind the one that signed."""
    return max([at, *SignOff.objects.filter(permit=permit).values_list("signed_at", flat=True)])


def _seal(at: datetime) -> Seal | None:
    """The firm's seal; none, where it cannot be used: the paper is wanted all the same, and says that it is not sealed."""
    try:
        return own_seal(at)
    except Unusable as why:
        log.error("a paper is issued without a seal: %s", why)
        return None


def _says(person: Person, at: datetime, now: Outlook, seal: Seal | None) -> tuple[str, ...]:
    zone = now.evidence.site.zone
    steps = [f"{STEPPED[one.act]} {instant_says(one.done_at, zone)} by {one.printed_name}." for one in now.steps if one.act in STEPPED]
    ran_out = weighed(now.evidence, now.verdict, now.life.signed_at).ran_out
    return (
        *steps,
        *([says(ran_out)] if ran_out else []),
        f"Printed {instant_says(at, zone)} by {person.name}.",
        SEALED.format(seal=seal) if seal else UNSEALED,
    )


def _new_key() -> str:
    return key_of([secrets.choice(ALPHABET) for _ in range(GROUPS * GROUP)])


def _address(root: str, key: str, one: Print) -> str:
    return urljoin(root, reverse("look_up_paper", args=[key, mark_of(one)]))
