"""How letters go: each is taken, for good, before it is handed to a mail server, so that none is ever sent twice, whoever else sends and whatever breaks.

What became of a letter is kept in its own row, with its time, and not in the history: there stands the act that it tells of.
"""

import logging
from collections import Counter
from datetime import datetime
from smtplib import SMTP, SMTPException, SMTPRecipientsRefused, SMTPSenderRefused

from django.core.mail import EmailMessage, get_connection
from django.core.mail.backends import console
from django.core.mail.backends.base import BaseEmailBackend
from django.db import transaction

from records.letters.facts import waiting
from records.letters.models import Letter
from records.letters.rules import NOT_SENT, PERHAPS, SENT, WAITING, wait

TEMPORARY = range(400, 500)  # what SMTP answers where the same may go well later (RFC 5321, 4.2.1)
UNREACHED, BROKE_OFF = "the mail server could not be reached", "the mail server broke off"
ONLY_SHOWN = "no mail server is set: it was only written to the server’s output"

log = logging.getLogger(__name__)


def send_out(at: datetime, limit: int) -> Counter[str]:
    """Send what waits, so many letters at most; how many came to stand how. Where the server fails the rest waits for another time."""
    done: Counter[str] = Counter()
    while done.total() < limit and (letter := _taken(at)) is not None:
        state, why = _handed_over(letter)
        _note(letter, state, why, at)
        done[state] += 1
        if why in (UNREACHED, BROKE_OFF):
            break
    return done


def _taken(at: datetime) -> Letter | None:
    """The next letter, taken and committed: nobody else gets it, also not after a crash."""
    with transaction.atomic(durable=True):
        letter = waiting(at).select_related("person").select_for_update(of=("self",), skip_locked=True).first()
        if letter is not None:
            letter.taken_at, letter.tries = at, letter.tries + 1
            letter.save(update_fields=["taken_at", "tries"])
    return letter


def _handed_over(letter: Letter) -> tuple[str, str]:
    """Hand it to the mail server: how it stands then, and if it may not have gone, why. Waiting and not sent are said only where that is certain."""
    connection = get_connection()
    try:
        _greeted(connection)
    except (SMTPException, OSError) as fault:
        log.warning("the mail server could not be reached: %s", fault)
        return WAITING, UNREACHED
    try:
        EmailMessage(letter.subject, letter.text, None, [letter.address], connection=connection).send()
    except SMTPRecipientsRefused as refused:
        return _refused(max(code for code, _ in refused.recipients.values()))
    except SMTPSenderRefused as refused:
        return _refused(refused.smtp_code)
    except ValueError as fault:  # said of an address or a header before anything goes
        log.warning("letter %s cannot be written as a mail: %s", letter, fault)
        return NOT_SENT, "the address on record is not one that mail can go to"
    except (SMTPException, OSError):
        log.exception("letter %s may not have been sent", letter)
        return PERHAPS, BROKE_OFF
    finally:
        _close(connection)
    return (NOT_SENT, ONLY_SHOWN) if isinstance(connection, console.EmailBackend) else (SENT, "")


def _greeted(connection: BaseEmailBackend) -> None:
    """Open it as far as it goes before a mail: a server may turn away there too."""
    connection.open()
    if isinstance(wire := getattr(connection, "connection", None), SMTP):
        wire.ehlo_or_helo_if_needed()


def _refused(code: int) -> tuple[str, str]:
    return (WAITING if code in TEMPORARY else NOT_SENT), f"the mail server refused it ({code})"


def _close(connection: BaseEmailBackend) -> None:
    try:
        connection.close()
    except (SMTPException, OSError):  # what was taken over stays so
        log.info("the mail server broke off after the mail")


def _note(letter: Letter, state: str, why: str, at: datetime) -> None:
    letter.why_not = why
    if state == SENT:
        letter.sent_at = at
    elif state == NOT_SENT:
        letter.given_up_at = at
    elif state == WAITING:
        letter.taken_at, letter.again_at = None, at + wait(letter.tries)
    letter.save(update_fields=["why_not", "sent_at", "given_up_at", "taken_at", "again_at"])
