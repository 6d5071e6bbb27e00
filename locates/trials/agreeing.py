"""The agreement of readings with trial holes as its page and its file show it."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.http import urlencode

from locates.trials import facts
from locates.trials.facts import Held
from locates.trials.forms import AgreementForm
from locates.trials.rules.agreement import MILLIMETRE, Agreement, says, side
from records.rules.dates import instant_text
from records.rules.words import spoken

HEADS = ("hole", "exposed_at", "site", "utility", "trace", "receiver", "operator", "read_m", "true_m", "too_deep_m", "too_shallow_m", "beside_m", "left_out")
BY = {"instrument": "receiver", "operator": "operator"}


@dataclass(frozen=True)
class Figure:
    """What the holes of one receiver or operator, or all, come to. `asked`: the address's question that opens just those."""

    name: str
    asked: str
    found: Agreement
    words: str
    numbers: tuple[str, ...]


@dataclass(frozen=True)
class Asked:
    """Of which holes it is asked, and what they come to."""

    form: AgreementForm
    held: list[Held]
    least: int
    any: bool

    @property
    def whole(self) -> Figure:
        return figure("All of these", "", self.held, self.least)

    def by(self, name: str) -> list[Figure]:
        """A figure for each receiver, or each operator, the most holes first."""
        groups: dict[Any, list[Held]] = {}
        for one in self.held:
            if one.hole.trace is not None:
                groups.setdefault(getattr(one.hole.trace.locate, BY[name]), []).append(one)
        kept = self.form.chosen()
        made = [figure(str(who) if name == "operator" else who.pk, urlencode(kept | {name: who.pk}), some, self.least) for who, some in groups.items()]
        return sorted(made, key=lambda one: (-one.found.n, one.name))


def figure(name: str, asked: str, some: list[Held], least: int) -> Figure:
    found = facts.agreed(some)
    told = found.n >= max(least, 2)
    numbers = (signed(found.bias_m), f"{found.sd_m.quantize(MILLIMETRE)}", signed(found.low_m), signed(found.high_m)) if told else ()
    return Figure(name, asked, found, says(found, least), numbers)


def signed(value: Decimal) -> str:
    """Metres to the millimetre, with their sign."""
    return f"{value.quantize(MILLIMETRE) + 0:+.3f}"


def asked(given: Mapping[str, Any], at: datetime) -> Asked:
    """What is asked for, and the holes that say it."""
    every = list(facts.holes())
    located = [one.trace.locate for one in every if one.trace is not None]
    form = AgreementForm(_offered(located, "receiver"), _offered(located, "operator"), data=given)
    rows = [one for one in every if all(_like[name](one, value) for name, value in form.chosen().items())]
    return Asked(form, facts.held(rows, at), facts.least((one.locate.site for one in every), at), bool(every))


def _offered(located: list[Any], name: str) -> list[tuple[str, str]]:
    return sorted({(one.pk, str(one)) for one in (getattr(locate, name) for locate in located)}, key=lambda one: one[1])


_like: dict[str, Callable[[Any, str], bool]] = {
    "instrument": lambda hole, key: hole.trace is not None and hole.trace.locate.receiver_id == key,
    "operator": lambda hole, key: hole.trace is not None and hole.trace.locate.operator_id == key,
    "utility": lambda hole, word: hole.utility == word,
}


def plain(value: Decimal) -> str:
    """Metres without needless zeros."""
    return f"{value.normalize():f}"


def off_says(one: Held) -> str:
    """By how much, and to which side, the reading is off; else why nothing is said of it."""
    return one.left_out or side(one.pair.off_m)


def beside_says(one: Held) -> str:
    """How far from the traced line the hole is."""
    if one.beside_m is None:
        return ""
    return f"{plain(one.beside_m)} m beside" if one.beside_m else "on"


def csv_rows(found: Asked) -> Iterator[tuple[str, ...]]:
    """Each hole beside its reading; what is not to be told as a number is not."""
    yield HEADS
    for one in found.held:
        yield _row(one)


def _row(one: Held) -> tuple[str, ...]:
    hole, trace = one.hole, one.hole.trace
    located = (trace.pk, trace.locate.receiver_id, trace.locate.operator_id) if trace is not None else ("", "", "")
    read, off = (plain(one.pair.read_m), one.pair.off_m) if one.pair else ("", Decimal(0))
    # a negative number would be taken for a formula
    sides = (plain(off) if off > 0 else "", plain(-off) if off < 0 else "")
    told = (hole.pk, instant_text(hole.exposed_at, ZoneInfo(hole.locate.site.time_zone)), hole.locate.site_id, spoken(hole.utility))
    return (*told, *located, read, plain(hole.depth_m), *sides, "" if one.beside_m is None else plain(one.beside_m), one.left_out)
