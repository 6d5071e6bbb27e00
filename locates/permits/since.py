"""What became of permits since they were signed. An app above keeps it; the setting PERMIT_SINCE names its module, and this is all that is asked of it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.conf import settings
from django.db.models import F, Model, QuerySet
from django.utils.module_loading import import_string

from locates.permits.rules.evidence import Evidence
from records.rules.verdict import Verdict


@dataclass(frozen=True, slots=True)
class Since:
    """What to know of an accepted permit before its verdict. `digs`: does anyone dig by it, as far as this goes? `signed_at`: when it was last signed.

    `left`: how the work was left when that was told last; `noted`: a sentence for each time that it was stopped or ended before its time.
    """

    word: str
    says: str
    digs: bool
    signed_at: datetime
    shape: str = ""
    left: str = ""
    noted: tuple[str, ...] = ()


HELD, OWED, CLOSED = "held", "owed", "closed"


@dataclass(frozen=True, slots=True)
class State:
    """One of the states that a permit can be in, in plain words. `place`: held between two spells of work; its closing owed; closed; none of these: ""."""

    says: str
    place: str = ""


def _told(name: str, *given: Any) -> Any:
    return import_string(f"{settings.PERMIT_SINCE}.{name}")(*given)


def with_ends(permits: QuerySet[Any]) -> QuerySet[Any]:
    """The permits, each with `ends`: until when it runs, extended or not."""
    return permits.annotate(ends=_told("extended_to", F("valid_to")))


def states() -> dict[str, State]:
    """The states that a permit can be in, in their order."""
    return _told("states")


def with_states(permits: QuerySet[Any], at: datetime) -> QuerySet[Any]:
    """The permits, each with `state`: how it stands at the instant, as one word of `states`. They must have `ends`, `issued` and `accepted`."""
    return _told("with_states", permits, at)


def noted() -> QuerySet[Any]:
    """The permits that were stopped or ended before their time."""
    return _told("noted")


def still_open(permits: QuerySet[Any], at: datetime) -> QuerySet[Any]:
    """Those whose time is not over and that nobody has ended, handed back or cancelled."""
    return not_over(with_ends(permits).filter(ends__gt=at))


def not_over(permits: QuerySet[Any]) -> QuerySet[Any]:
    """Those that nobody has ended, handed back or cancelled, whatever their time."""
    return permits.exclude(pk__in=_told("over"))


def terms(permits: Iterable[str]) -> dict[str, tuple[str, datetime]]:
    """Who holds each permit now and until when it runs, of those where that is not as it was signed."""
    return _told("terms", permits)


def over_at(permits: Iterable[str]) -> dict[str, datetime]:
    """When somebody first ended, handed back or cancelled each, of those that somebody did. What merely ran out of time is none of them."""
    return _told("over_at", permits)


def told(permits: Iterable[str], at: datetime) -> dict[str, Since]:
    """What became of each that was accepted."""
    return _told("told", permits, at)


def goes_on(since: Since | None, evidence: Evidence, verdict: Verdict) -> bool:
    """Does the permit go on to its end although the gate blocks the next signature? Then nothing stands against it but what merely ran out since the last."""
    return since is not None and since.digs and not verdict.clear and _told("goes_on", evidence, verdict, since.signed_at)


def closed(permit: str) -> bool:
    """Has somebody ended it, handed it back, cancelled or withdrawn it?"""
    return _told("over").filter(permit=permit).exists()


def signed_last(permit: str) -> str:
    """The sheet that was signed last since it was accepted, as its text; "" where there is none."""
    return _told("signed_last", permit)


def page(permit: Model, reader: Model, at: datetime) -> dict[str, Any]:
    """What stands of it on the permit's own page, and by which template."""
    return _told("page", permit, reader, at)
