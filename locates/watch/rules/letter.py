"""The one letter a day that tells somebody what lapses: grouped, the soonest first, with no more lines than anyone reads."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from locates.watch.rules.ahead import Thing
from locates.watch.rules.arrangement import ANSWERS, AWARDS, INSTRUMENTS, LOCATES, OWN, PERMITS, SAYS, Line
from records.rules.dates import day_says
from records.rules.says import days_away

NAMED = 6  # identifiers on one line
MOST = 10  # lines of one group; the rest is counted, and stands on the page that lists all

TO_DO = {
    AWARDS: "Book the refresher.",
    INSTRUMENTS: "Have each calibrated, or self-tested, in time.",
    ANSWERS: "Ask the owners again.",
    LOCATES: "Have the ground located again before more is to be dug there.",
    PERMITS: "Finish the work, have the permit extended, or prepare another.",
}

AFTER = {
    "After its last good day no permit that rests on it can be signed.": {AWARDS, INSTRUMENTS, ANSWERS, LOCATES},
    "Nobody digs by a permit whose time is over.": {PERMITS},
}


@dataclass(frozen=True, slots=True)
class Group:
    """What is told by one line, and how its reader comes to the page that lists all of it."""

    line: Line
    things: Sequence[Thing]
    page: str


def counted(count: int, noun: str) -> str:
    """`1 thing`, `2 things`."""
    return f"{count} {noun}{'' if count == 1 else 's'}"


def subject(groups: Sequence[Group]) -> str:
    """`2 things lapse soon, the first tomorrow`."""
    every = [one for group in groups for one in group.things]
    first = days_away(min(one.left for one in every))
    return f"1 thing lapses soon: {first}" if len(every) == 1 else f"{counted(len(every), 'thing')} lapse soon, the first {first}"


def text(name: str, groups: Sequence[Group], choose: str) -> str:
    """The whole letter. `choose`: how its reader comes to the page where they can have less told."""
    parts = [f"{name}, this lapses soon. What is renewed in time is not told again; the rest is told again when it is nearer."]
    parts += [_group(one) for one in groups]
    told = {group.line[0] for group in groups}
    parts.append(" ".join(says for says, of in AFTER.items() if told & of))
    parts.append(f"To choose what you are told ahead, {choose}")
    return "\n\n".join(parts)


def _group(group: Group) -> str:
    alike: dict[tuple[int, str, Thing | None], list[Thing]] = defaultdict(list)
    for one in sorted(group.things, key=lambda one: (one.left, one.name, one.key)):
        alike[one.left, _says(one, group.line), None if one.name else one].append(one)
    shown = sorted(alike.items(), key=lambda item: item[0][:2])[:MOST]
    more = len(group.things) - sum(len(things) for _, things in shown)
    said = [f"- {says}{_names(things)}: last good day {day_says(things[0].last_day)}, {days_away(left)}" for (left, says, _), things in shown]
    leads = f"and {more} more. To see all of them, {group.page}" if more else f"To see where they stand, {group.page}"
    return "\n".join([f"{SAYS[group.line]}. {TO_DO[group.line[0]]}", *said, leads])


def _says(thing: Thing, line: Line) -> str:
    return f"{thing.whose}: {thing.says}" if thing.whose and line[1] != OWN else thing.says


def _names(things: Sequence[Thing]) -> str:
    names = [one.name for one in things if one.name]
    more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
    return f" ({', '.join(names[:NAMED])}{more})" if names else ""
