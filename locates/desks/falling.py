"""Lists of what falls due: how many fall when, and of those that are asked for a page."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any, Protocol, TypeVar

from django.core.paginator import Paginator

PAGE = 50


class Falls(Protocol):
    """Whatever falls due, and within how many days: by the list's own numbers, which it puts into words."""

    within: int


Falling = TypeVar("Falling", bound=Falls)


@dataclass(frozen=True)
class Tally:
    """So many fall then. `within`: as an address asks for just those; `shown`: does it now?"""

    within: int
    title: str
    count: int
    shown: bool


def asked_within(titles: Mapping[int, str], data: Mapping[str, Any]) -> int | None:
    """Which of them the address asks for; None: all."""
    return next((one for one in titles if str(one) == data.get("within", "")), None)


def those(found: Sequence[Falling], within: int | None) -> list[Falling]:
    """Those that fall then; all of them, where nothing else is asked."""
    return [one for one in found if within is None or one.within == within]


def page(found: Sequence[Falls], titles: Mapping[int, str], data: Mapping[str, Any]) -> dict[str, Any]:
    """What the list shows. `found`: in the order in which they fall; `data`: what the address asks for."""
    within, counts = asked_within(titles, data), Counter(one.within for one in found)
    here = Paginator(those(found, within), PAGE).get_page(data.get("page"))
    return {
        "page": here,
        "narrowed": within is not None,
        "groups": [(titles[when], list(some)) for when, some in groupby(here.object_list, key=lambda one: one.within)],
        "tallies": [Tally(when, title, counts[when], when == within) for when, title in titles.items()],
    }
