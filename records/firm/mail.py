"""What people are written to."""

import logging
from smtplib import SMTPException

from django.core.mail import send_mail

from records.firm.models import Person

log = logging.getLogger(__name__)
SIGNED = "\n\nSpadework, on behalf of your firm"
INVITED = "{name}, you are asked to choose a password, with which you sign in as {person}. Open this address within three days:\n\n{address}"
RENEWED = (
    "{name}, a new password was asked for. Open this address within three days to choose one:\n\n{address}\n\n"
    "If you did not ask, do nothing: your password stays."
)
HANDED = "{name}, {by} had an address made at which your password can be chosen, and hands it to you. If you did not ask for it, tell your firm at once."
DISOWNED = (
    "{name}, {whose} says that it was not them who opened an address at which their password could be chosen. It was made by {by} ({how}). "
    "Every session of theirs is ended, and they have a new password. Look at what was done in their name since, in the history."
)
CHANGED = "{name}, {what} of your sign-in was changed. If that was not you, tell your safety manager at once."


def write(person: Person, subject: str, text: str, **words: str) -> bool:
    """Write to the person; could it be sent? Without an address on record nothing is."""
    if not person.email:
        return False
    body = text.format(name=person.name, person=person.pk, **words) + SIGNED
    try:
        return bool(send_mail(subject, body, None, [person.email]))
    except (SMTPException, OSError):
        log.exception("a mail to %s could not be sent", person.pk)
        return False
