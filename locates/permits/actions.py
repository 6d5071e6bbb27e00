"""What is done to a permit. Each act is one errand: lock, gather afresh, judge, and refuse or write."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from locates.permits.emergencies import work
from locates.permits.facts import gather_one
from locates.permits.models import FollowUp, Permit, SignOff
from locates.permits.rules.evidence import Evidence
from locates.permits.rules.gate import assess
from locates.permits.rules.signing import DECLARATIONS, next_step, signer
from locates.permits.sheet import sheet
from locates.permits.since import closed
from locates.permits.witness import ACT, KIND, told
from records.exchange.entering import Entered, enter
from records.firm import factor
from records.firm.actions import actor, spend_code
from records.firm.facts import in_force
from records.firm.models import Person, Site
from records.ledger.actions import Errand, errand
from records.ledger.chain import Actor, canonical, digest, instant
from records.rules.columns import INSTANT
from records.rules.kinds import UTC_ZONE
from records.rules.verdict import Verdict, as_data

REFUSED = "permit.sign.refused"
TWOFOLD = "proved with a second factor beside the password"


class Refused(Exception):
    """The gate blocks the signature; `verdict` says why."""

    def __init__(self, verdict: Verdict) -> None:
        super().__init__(f"{verdict.permit}: {', '.join(finding.code for finding in verdict.blocks)}")
        self.verdict = verdict


class Changed(Exception):
    """What the signer was shown is no longer what would be signed."""


class OutOfTurn(Exception):
    """This signature is not the one that is due next."""


class NeedsSecondFactor(Exception):
    """The firm asks of whoever signs here to prove it with a second factor too."""


class WrongCode(Exception):
    """The code of the second factor is not good, or was used already."""


class NotTheirs(Exception):
    """The permit names somebody else for this signature."""


@dataclass(frozen=True, slots=True)
class Prospect:
    """A permit as it stands at an instant: a signature made then would be upon this sheet with itself added.

    `due` is the meaning of the signature due next, None when all are made.
    """

    evidence: Evidence
    verdict: Verdict
    sheet: dict[str, Any]
    signatures: tuple[SignOff, ...]
    due: str | None

    @property
    def seen(self) -> str:
        return shown(self.sheet, self.due)


def preview(permit: str, at: datetime) -> Prospect:
    """Gather and judge a permit as it stands. Raises Permit.DoesNotExist."""
    evidence = gather_one(permit)
    verdict = assess(evidence, at)
    signatures = tuple(SignOff.objects.filter(permit=permit).order_by("pk"))
    data = sheet(evidence, verdict, [signed(one) for one in signatures])
    # one that was issued may have been withdrawn since
    due = None if len(signatures) == 1 and closed(permit) else next_step([one.meaning for one in signatures])
    return Prospect(evidence, verdict, data, signatures, due)


def signed(one: SignOff) -> dict[str, str]:
    """A stored signature as a sheet shows it."""
    return signature(one.meaning, one.person_id, one.printed_name, one.signed_at, one.declaration, one.digest)


def signature(meaning: str, person: str, name: str, at: datetime, declaration: str, upon: str = "") -> dict[str, str]:
    """`upon` is the digest of the sheet that was signed; a signature in the making has none yet."""
    return {"meaning": meaning, "person": person, "name": name, "at": instant(at), "declaration": declaration, "digest": upon}


def shown(data: dict[str, Any], due: str | None) -> str:
    """The digest of the sheet that a page shows, but for the instant: another one means that something has changed since."""
    return digest(canonical({**data, "at": "", "due": due}))


def sign(permit: str, person: str, meaning: str, at: datetime, seen: str, *, code: str = "") -> SignOff:
    """Issue or accept the permit, as the person who has just proved who they are by their password; `code`: of their second factor, where one is asked for.

    Everything is gathered and judged afresh inside the transaction, whatever a page showed before. Raises OutOfTurn, NotTheirs,
    NeedsSecondFactor, Refused (which leaves an entry of its own), Changed and WrongCode; then nothing is signed, and no code is used up.
    """
    signing = Person.objects.get(person=person)
    by = Actor(signing.person, signing.name)
    try:
        with errand(by, at) as underway:
            twofold = proved_twice(Permit.objects.select_for_update().get(permit=permit), signing, at, code)
            made = _signed(permit, signing, meaning, at, seen)
            if twofold and not spend_code(underway, signing, code):
                raise WrongCode(permit)
            underway.write(ACT, KIND, permit, str(made), at, after=told(made), why=TWOFOLD if twofold else "")
    except Refused as refused:
        _refusal(by, meaning, refused.verdict)
        raise
    return made


def _signed(permit: str, person: Person, meaning: str, at: datetime, seen: str) -> SignOff:
    prospect = preview(permit, at)
    if prospect.due != meaning or any(one.signed_at > at for one in prospect.signatures):
        raise OutOfTurn(permit)
    if signer(prospect.evidence.permit, meaning).person != person.person:
        raise NotTheirs(permit)
    if not prospect.verdict.clear:
        raise Refused(prospect.verdict)
    if seen != prospect.seen:
        raise Changed(permit)
    declaration = DECLARATIONS[meaning]
    new = signature(meaning, person.person, person.name, at, declaration)
    content = canonical(sheet(prospect.evidence, prospect.verdict, [*map(signed, prospect.signatures), new]))
    return SignOff.objects.create(
        permit_id=permit,
        meaning=meaning,
        person=person,
        printed_name=person.name,
        signed_at=at,
        recorded_at=at,
        declaration=declaration,
        digest=digest(content),
        sheet=content,
        verdict=canonical(as_data(prospect.verdict)),
    )


def follow_up(permit: str, person: Person, told: dict[str, str], at: datetime) -> Entered:
    """Record what was done after emergency work, by its register's own door. Raises OutOfTurn where that work was never signed or is not over.

    `told`: what owners were told and answered, what was found, what was damaged; and why more is added, where something stands there already.
    """
    made = FollowUp.objects.filter(permit=permit).count() + 1
    row = {"permit": permit, "number": str(made), "done_at": INSTANT.write(at, UTC_ZONE), "person": person.pk, **told}

    def first(underway: Errand) -> None:
        done = work(Permit.objects.filter(permit=permit), at)
        if not done or done[0].over_at > at or FollowUp.objects.filter(permit=permit).count() >= made:
            raise OutOfTurn(permit)

    return enter([("follow_ups.csv", [row])], actor(person), at, first=first)


def proved_twice(permit: Permit, signing: Person, at: datetime, code: str) -> bool:
    """Is the code of a second factor to be spent beside the password? Raises NeedsSecondFactor where one is asked for and none can be."""
    twofold = asks_twofold(permit, at)
    if twofold and (not code or factor.of(signing) is None):
        raise NeedsSecondFactor(permit.pk)
    return twofold


def asks_twofold(permit: Permit, at: datetime) -> bool:
    """Does the firm ask for a second factor of whoever signs at the permit's site?"""
    return in_force(Site.objects.get(site=permit.site_id), at).yes("second_factor_to_sign")


def _refusal(by: Actor, meaning: str, verdict: Verdict) -> None:
    with errand(by, verdict.at) as underway:
        codes = [[finding.code, finding.subject] for finding in verdict.blocks]
        underway.write(REFUSED, KIND, verdict.permit, f"{verdict.permit}/{meaning}", verdict.at, after={"meaning": meaning, "blocks": codes})
