"""The one letter a day that tells somebody what lapses: grouped, the soonest first, with no more lines than anyone reads."""

from collections.abc import Sequence
from dataclasses import dataclass

from locates.watch.rules.ahead import Thing
from locates.watch.rules.arrangement import OWN, SAYS, Line
from records.rules.dates import day_says
from records.rules.says import days_away

MOST = 10  # lines of one group; the rest is counted, and stands on the page that lists all


@dataclass(frozen=True, slots=True)
class Group:
    """What is told by one line, and the address of the page that lists all of it."""

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
    """The whole letter. `choose`: the address at which its reader can have less told."""
    parts = [f"{name}, this lapses soon. What is renewed in time is not told again; the rest is told again when it is nearer."]
    parts += [_group(one) for one in groups]
    parts.append("After its last good day no permit that rests on it can be signed, and nobody digs by a permit whose time is over.")
    parts.append(f"What you are told ahead, you choose here:\n{choose}")
    return "\n\n".join(parts)


def _group(group: Group) -> str:
    things = sorted(group.things, key=lambda one: (one.left, one.says, one.key))
    said = [f"- {_name(one, group.line)}: last good day {day_says(one.last_day)}, {days_away(one.left)}" for one in things[:MOST]]
    more = len(things) - MOST
    return "\n".join([f"{SAYS[group.line]}:", *said, f"and {more} more. All of them:" if more > 0 else "All of them:", group.page])


def _name(thing: Thing, line: Line) -> str:
    return f"{thing.whose}: {thing.says}" if thing.whose and line[1] != OWN else thing.says
