"""The next identifier: a firm numbers its records as it likes, and the next one follows the last."""

import re

from records.base import Record

NUMBERED = re.compile(r"(.*?)([0-9]+)", re.DOTALL)
LONGEST = 40
MOST_TRIES = 1000


def next_identifier(model: type[Record], prefix: str = "") -> str:
    """The one that follows the record recorded last: its trailing number and one more, as wide as that is. `prefix`: for the first of all.

    A name that is taken is skipped. It is only offered: two people may be offered the same, and the later of them is told so.
    """
    last = model._default_manager.order_by("-recorded_at", "-pk").values_list("pk", flat=True).first()
    found = NUMBERED.fullmatch(last or "")
    stem, number, width = (found[1], int(found[2]), len(found[2])) if found else (prefix or f"{last}-" if last else prefix, 0, 1)
    for step in range(1, MOST_TRIES):
        name = f"{stem}{number + step:0{width}d}"
        if len(name) <= LONGEST and not model._default_manager.filter(pk=name).exists():
            return name
    return ""
