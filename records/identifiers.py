"""The next identifier: a firm numbers its records as it likes, and the next one follows the last."""

import re

from records.base import Record

NUMBERED = re.compile(r"(.*?)([0-9]+)", re.DOTALL)
LONGEST = 40
MOST_TRIES = 1000


def next_identifier(model: type[Record], prefix: str = "") -> str:
    """The next one; nothing where none could be made."""
    return next(iter(next_identifiers(model, prefix, 1)), "")


def next_identifiers(model: type[Record], prefix: str, count: int) -> list[str]:
    """Those that follow the record recorded last: its trailing number and one more, as wide as that is. `prefix`: for the first of all.

    A name that is taken is skipped. It is only offered: two people may be offered the same, and the later of them is told so.
    """
    made: list[str] = []
    last = model._default_manager.order_by("-recorded_at", "-pk").values_list("pk", flat=True).first()
    found = NUMBERED.fullmatch(last or "")
    stem, number, width = (found[1], int(found[2]), len(found[2])) if found else (prefix or f"{last}-" if last else prefix, 0, 1)
    for start in range(1, MOST_TRIES, count):
        names = [f"{stem}{number + step:0{width}d}" for step in range(start, start + count)]
        taken = set(model._default_manager.filter(pk__in=names).values_list("pk", flat=True))
        made += [name for name in names if name not in taken and len(name) <= LONGEST]
        if len(made) >= count:
            return made[:count]
    return made
