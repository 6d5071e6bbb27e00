"""The watch over live permits: all are judged again, what is undone is suspended, what is over is ended, and whom it concerns is told, each once.

It may run every minute or once a night, twice at once, after days without, and be broken off anywhere: whatever it does is one errand a permit, judged afresh.
"""

import logging
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from locates.life.actions import posted, unaided
from locates.life.facts import lives
from locates.life.rules.acts import ACCEPTED, BETWEEN, UNDONE
from locates.life.rules.story import Life
from locates.life.rules.undoing import Weighed, weighed
from locates.life.since import over
from locates.life.telling import managers, of_running_out, on_it
from locates.permits.facts import gather
from locates.permits.models import Permit
from locates.permits.rules.evidence import Evidence
from locates.permits.rules.gate import assess
from locates.permits.rules.signing import ACCEPT
from records.base import ByCodePoint
from records.firm.models import Person
from records.letters.actions import New
from records.letters.models import Letter

BATCH = 500

log = logging.getLogger(__name__)


@dataclass
class Watched:
    """What a watch found and did, by permits. `troubled`: those with which something went wrong, and what; all others were looked at all the same."""

    live: int = 0
    suspended: list[str] = field(default_factory=list)
    ended: list[str] = field(default_factory=list)
    told: list[str] = field(default_factory=list)
    troubled: dict[str, str] = field(default_factory=dict)

    def note(self, permit: str, trouble: Exception) -> None:
        log.error("the watch could not deal with permit %s", permit, exc_info=trouble)
        self.troubled[permit] = f"{type(trouble).__name__}: {trouble}"


def watched(at: datetime, root: str = "") -> Watched:
    """Look at every live permit once. Memory is bounded by a batch of them. `root`: where the site is open, for letters, if that is known."""
    found, keys = Watched(), live()
    found.live = len(keys)
    for start in range(0, len(keys), BATCH):
        _look(keys[start : start + BATCH], at, root, found)
    return found


def live() -> list[str]:
    """The permits that were accepted and that nobody has ended, handed back or cancelled since; site by site, for what a site's permits share is read once."""
    accepted = Permit.objects.filter(sign_offs__meaning=ACCEPT).exclude(pk__in=over())
    return list(accepted.order_by(ByCodePoint("site_id"), ByCodePoint("permit")).values_list("pk", flat=True))


def _look(keys: Sequence[str], at: datetime, root: str, found: Watched) -> None:
    rows = {row.pk: row for row in Permit.objects.filter(permit__among=keys).select_related("site")}
    standing = lives(rows.values(), at)
    judged = dict(_judged([key for key in keys if standing[key].state in (ACCEPTED, BETWEEN)], standing, at, found))
    for key in keys:
        if standing[key].by_time or (key in judged and judged[key].undoes):
            _deal(key, at, root, found)
    _tell([(rows[key], standing[key], one) for key, one in judged.items() if one.goes_on], at, root, found)


def _judged(keys: Sequence[str], standing: dict[str, Life], at: datetime, found: Watched) -> Iterator[tuple[str, Weighed]]:
    """What stands against each. One that cannot be judged is noted, and left as it is."""
    for evidence in _gathered(keys, found):
        key = evidence.permit.permit
        try:
            yield key, weighed(evidence, assess(evidence, at), standing[key].signed_at)
        except Exception as trouble:  # whatever is the matter with one, the others are looked at
            found.note(key, trouble)


def _gathered(keys: Sequence[str], found: Watched) -> Iterable[Evidence]:
    """Together, in a fixed number of queries; where that fails one by one, to find out whose evidence it is."""
    try:
        return gather(Permit.objects.filter(permit__among=keys))
    except Exception:
        return _one_by_one(keys, found)


def _one_by_one(keys: Sequence[str], found: Watched) -> Iterator[Evidence]:
    for key in keys:
        try:
            yield from gather(Permit.objects.filter(permit=key))
        except Exception as trouble:
            found.note(key, trouble)


def _deal(key: str, at: datetime, root: str, found: Watched) -> None:
    try:
        made = unaided(key, at, root)
    except Exception as trouble:
        found.note(key, trouble)
        return
    if made is not None:
        (found.suspended if made.act == UNDONE else found.ended).append(key)


def _tell(some: Sequence[tuple[Permit, Life, Weighed]], at: datetime, root: str, found: Watched) -> None:
    """Tell those on these permits, and the safety managers, what ran out: each once of each."""
    over_all = set(managers().values_list("pk", flat=True))
    named = {one for _, life, _ in some for one in on_it(life)} | over_all
    people = {one.pk: one for one in Person.objects.filter(person__among=named).order_by("pk") if not one.has_left(at)}
    letters: dict[str, list[New]] = {}
    for row, life, weight in some:
        to = [people[one] for one in people if one in on_it(life) | over_all]
        letters[row.pk] = list(of_running_out(row, life, weight.ran_out, to, root))
    known = set(Letter.objects.filter(key__among=[one.key for every in letters.values() for one in every]).values_list("key", flat=True))
    for key, every in letters.items():
        if fresh := [one for one in every if one.key not in known]:
            _post(key, fresh, at, found)


def _post(key: str, fresh: Sequence[New], at: datetime, found: Watched) -> None:
    try:
        posted(fresh, at)
    except Exception as trouble:
        found.note(key, trouble)
        return
    found.told.append(key)
