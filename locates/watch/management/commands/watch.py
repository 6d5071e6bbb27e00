"""Look once at all that nobody asks about, tell whom it concerns, and send what waits."""

import logging
import sys
from argparse import ArgumentParser
from collections import Counter
from collections.abc import Callable, Iterator
from datetime import datetime
from typing import Any

from locates.life.watching import watched
from locates.permits.telling import tell
from locates.watch.actions import tell_ahead
from records.clock import now
from records.command import WRONG_CALL, OwnCommand, WrongCall, instant
from records.letters.actions import deliver
from records.letters.rules import LOST, SENT, STATES, WAITING

DONE, NOT_ALL = 0, 1

log = logging.getLogger(__name__)


class Command(OwnCommand):
    help = "Looks once at all that nobody asks about, and sends letters. Exit status: 0 done, 1 something was not judged or not sent, 2 wrong call."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--at", metavar="INSTANT", help="watch as of this instant, such as 2027-03-04T07:30+10:00, for trials on a copy: letters really go; by default now"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            given = options["at"] and instant(options["at"], now())
        except WrongCall as wrong:
            self.stderr.write(str(wrong))
            sys.exit(WRONG_CALL)
        at = given or now()
        rounds = (
            ("live permits", self.permits),
            ("emergency work", self.emergencies),
            ("what lapses ahead", self.told_ahead),
        )
        sound = [*(self.went(what, look, at) for what, look in rounds), self.sent(given)]
        sys.exit(DONE if all(sound) else NOT_ALL)

    def went(self, what: str, look: Callable[[datetime], bool], at: datetime) -> bool:
        """Look at one kind of thing; where that fails as a whole, the rest is done all the same, and the next watch tries again."""
        try:
            return look(at)
        except Exception:
            log.exception("the watch could not look at %s", what)
            self.stdout.write(f"{what}: could not be looked at")
            return False

    def permits(self, at: datetime) -> bool:
        found = watched(at)
        self.stdout.write(f"live permits: {found.live} looked at")
        for word, some in (("suspended", found.suspended), ("ended", found.ended), ("told of what ran out", found.told)):
            if some:
                self.stdout.write(f"  {word}: {', '.join(some)}")
        for permit, trouble in found.troubled.items():
            self.stdout.write(f"  could not be dealt with: {permit} ({trouble})")
        return not found.troubled

    def told_ahead(self, at: datetime) -> bool:
        posted = tell_ahead(at)
        self.stdout.write(f"what lapses ahead: {letters(posted)} posted")
        return True

    def emergencies(self, at: datetime) -> bool:
        if posted := tell(at):
            self.stdout.write(f"emergency work: {letters(posted)} posted")
        return True

    def sent(self, given: datetime | None) -> bool:
        """Send until nothing waits that may be sent now, a few at a time so that each has its own instant."""
        done: Counter[str] = Counter()
        while came := deliver(given or now()):
            done += came
            if came.keys() - {SENT}:
                break
        self.stdout.write("".join(["letters: ", ", ".join(counts(done)) or "none to send"]))
        return not any(done[state] for state in (WAITING, *LOST))


def letters(count: int) -> str:
    return f"{count} letter{'' if count == 1 else 's'}"


def counts(done: Counter[str]) -> Iterator[str]:
    yield from (f"{done[state]} {says.lower()}" for state, says in STATES.items() if done[state])
