"""Codes of a second factor (RFC 6238): what a phone shows, looked at once.

Which steps were used is no record of the firm's and stands outside the history, as tries at a password do.
"""

import base64
import secrets
from datetime import datetime, timedelta

import pyotp
from django.db import IntegrityError, transaction
from django.utils.crypto import constant_time_compare, salted_hmac

from records.firm.models import Person, RecoveryCode, SecondFactor, UsedStep

STEP = 30  # seconds, and a step before and after for clocks that differ
NEAR = (0, -1, 1)
BYTES = 20
KEPT = timedelta(hours=1)
FIRM = "Spadework"


def of(person: Person) -> SecondFactor | None:
    """The second factor that the person has in use."""
    return SecondFactor.objects.filter(person=person.pk, ended_at=None).first()


def new_salt() -> str:
    return secrets.token_hex(BYTES)


def secret_of(salt: str) -> str:
    """The secret that phone and site share, in base 32."""
    return base64.b32encode(salted_hmac(__name__, salt, algorithm="sha256").digest()[:BYTES]).decode()


def address_of(salt: str, person: Person) -> str:
    """What a phone reads from the drawn square."""
    return pyotp.TOTP(secret_of(salt)).provisioning_uri(name=person.pk, issuer_name=FIRM)


def step_of(salt: str, code: str, at: datetime) -> int | None:
    """The time step whose code it is: that of now, or one beside it; None for any other code."""
    plain, now = "".join(code.split()), int(at.timestamp()) // STEP
    codes = pyotp.TOTP(secret_of(salt))
    return next((now + beside for beside in NEAR if constant_time_compare(codes.generate_otp(now + beside), plain)), None)


def proven(factor: SecondFactor, code: str, at: datetime) -> bool:
    """Is it a good code, and not used before? Then it is used up."""
    step = step_of(factor.salt, code, at)
    return step is not None and used_now(factor, step, at)


def fits(person: Person, code: str, at: datetime) -> bool:
    """Would the code be taken now? It is only looked at, and stays good."""
    theirs = of(person)
    if theirs is None:
        return False
    step = step_of(theirs.salt, code, at)
    if step is not None:
        return not UsedStep.objects.filter(factor=theirs, step=step).exists()
    return RecoveryCode.objects.filter(factor=theirs, digest=recovery_digest(theirs, code), used_at=None).exists()


def used_now(factor: SecondFactor, step: int, at: datetime) -> bool:
    """Note that the step's code is used; False where it was before."""
    UsedStep.objects.filter(at__lt=at - KEPT).delete()
    try:
        with transaction.atomic():
            UsedStep.objects.create(factor=factor, step=step, at=at)
    except IntegrityError:
        return False
    return True


def new_recovery_codes(count: int = 10) -> list[str]:
    """Codes to be written down: 50 bits each, in two groups."""
    made = (base64.b32encode(secrets.token_bytes(7)).decode()[:10].lower() for _ in range(count))
    return [f"{one[:5]}-{one[5:]}" for one in made]


def recovery_digest(factor: SecondFactor, code: str) -> str:
    plain = "".join(one for one in code.lower() if one.isalnum())
    return salted_hmac(f"{__name__}.recovery", f"{factor.salt}/{plain}", algorithm="sha256").hexdigest()
