"""The scheme that a permit's quality levels are of, as its paper names it."""

from datetime import datetime

from locates.permits.rules.evidence import Evidence
from locates.permits.rules.frame import framed
from locates.rules.quality import Scheme


def scheme(evidence: Evidence, at: datetime) -> Scheme:
    """That of the day on which the locate began; where there is none, of the instant."""
    return framed(evidence, at).scheme


def letters_say(of: Scheme, letters: set[str]) -> str:
    """What each of the letters promises, in a sentence."""
    promised = "; ".join(f"{letter} {of.promises[letter]}" for letter in sorted(letters))
    return f"Quality levels are those of {of.name}: {promised}."
