"""What anyone who looks a permit up is told of it: how it stands at an instant, and what the paper in their hand is worth."""

import re
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from locates.life.rules.acts import ACCEPTED, BETWEEN, CANCELLED, ENDED, HANDED_BACK, ISSUED, OVER, SUSPENDED, TIME_UP
from locates.life.rules.story import Done, Life
from records.rules.verdict import Finding, Verdict

BLOCKED, UNSIGNED, COMING, HOLDS, SUPERSEDED = "blocked", "unsigned", "coming", "holds", "superseded"
CLOSED = (ENDED, HANDED_BACK, CANCELLED)
PRINTED = (ISSUED, ACCEPTED)  # in these states there is a paper to work on, or to accept
LATEST, CHANGED, REPLACED, UNKNOWN, UNTOLD, OUTDATED = "latest", "changed", "replaced", "unknown", "untold", "outdated"

# letters and digits that nobody mistakes for one another when they are read out or copied by hand
ALPHABET = "23456789abcdefghjkmnpqrstuvwxyz"
GROUPS, GROUP = 4, 4
SHOWN = 8  # hexadecimal digits of the sheet's digest in an address
NUMBERED = re.compile(rf"([1-9][0-9]{{0,8}})-([0-9a-f]{{{SHOWN}}})")


@dataclass(frozen=True, slots=True)
class Standing:
    """How a permit stands: one of the words of its life or of these, and the instant that it turns on (None: not known)."""

    word: str
    turn: datetime | None


@dataclass(frozen=True, slots=True)
class Print:
    """An issued paper: its number, and the digest of its sheet."""

    version: int
    digest: str


def standing(life: Life, last: Done | None, verdict: Verdict, undoes: Collection[Finding], begins: datetime, followed_at: datetime | None = None) -> Standing:
    """How the permit stands at the verdict's instant: the first of these that is so. `last`: the last step of its life, if there is any.

    A permit that follows it is issued (`followed_at`: when the first was); it is over; it is suspended; something undoes it (`undoes`; since the
    earliest of these that has a beginning); it is between two receivers; a signature is still due; its time is still to come; it holds. Whatever
    else may come to be known of a permit's life joins here, and nowhere else.
    """
    done = last.at if last else None
    if followed_at is not None and followed_at <= verdict.at:
        return Standing(SUPERSEDED, followed_at)
    if life.state in CLOSED or life.ends <= verdict.at:
        return Standing(life.state if life.state in CLOSED else ENDED, done if last and last.act in OVER and last.act != TIME_UP else life.ends)
    if life.state == SUSPENDED:
        return Standing(SUSPENDED, done)
    if undoes:
        return Standing(BLOCKED, min((one.since for one in undoes if one.since), default=None))
    if life.state == BETWEEN:
        return Standing(BETWEEN, done)
    if life.state != ACCEPTED:
        return Standing(UNSIGNED, None)
    return Standing(COMING, begins) if begins > verdict.at else Standing(HOLDS, min(life.ends, verdict.good_until))


def worth(mark: str, prints: Collection[Print], upon: str) -> str:
    """What a paper that bears this mark is worth, beside all that were issued, the latest last; `upon` is the digest that a paper issued now would bear."""
    last = max(prints, key=lambda one: one.version)
    if not mark:
        return UNTOLD if last.digest == upon else OUTDATED
    told = NUMBERED.fullmatch(mark)
    number, shown = (int(told[1]), told[2]) if told else (0, "")
    found = next((one for one in prints if one.version == number and one.digest.startswith(shown)), None)
    if found is None:
        return UNKNOWN
    if found.version != last.version:
        return REPLACED
    return LATEST if found.digest == upon else CHANGED


def mark_of(one: Print) -> str:
    """How an address names the paper."""
    return f"{one.version}-{one.digest[:SHOWN]}"


def key_of(letters: Collection[str]) -> str:
    """The letters in groups, as an address has them."""
    text = "".join(letters)
    return "-".join(text[at : at + GROUP] for at in range(0, len(text), GROUP))
