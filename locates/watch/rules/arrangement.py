"""Who is told of which subjects, and how many days ahead: as the firm arranges it, and as each person would have less of it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from records.rules.text import Unfit
from records.rules.words import SAFETY_MANAGER, SUPERVISOR

AWARDS, INSTRUMENTS, ANSWERS, LOCATES, PERMITS = ("awards", "instruments", "answers", "locates", "permits")
OWN = "own"  # whoever the thing is about: who holds the award, used the instrument, made the locate, issued or holds the permit
USUAL = (60, 30, 14, 7, 1)
HOUR = 6
FARTHEST, MOST = 366, 8  # days ahead, and how many distances
NEVER_LESS = (7, 1)  # of one's own authorisations: whoever loses one unawares is turned away at the dig

Line = tuple[str, str]  # a subject, and to whom it is told
# every line there is, in the order of letters and pages, and what is told where nobody arranged anything
LINES: dict[Line, tuple[int, ...]] = {
    (AWARDS, OWN): USUAL,
    (PERMITS, OWN): USUAL,
    (INSTRUMENTS, OWN): USUAL,
    (LOCATES, OWN): (),
    (AWARDS, SUPERVISOR): USUAL,
    (PERMITS, SUPERVISOR): USUAL,
    (LOCATES, SUPERVISOR): USUAL,
    (ANSWERS, SUPERVISOR): USUAL,
    (INSTRUMENTS, SUPERVISOR): (),
    (AWARDS, SAFETY_MANAGER): USUAL,
    (INSTRUMENTS, SAFETY_MANAGER): USUAL,
    (ANSWERS, SAFETY_MANAGER): (),
    (LOCATES, SAFETY_MANAGER): (),
    (PERMITS, SAFETY_MANAGER): (),
}
READERS = {
    OWN: "To whoever it is about",
    SUPERVISOR: "To supervisors, of the sites that they are posted to",
    SAFETY_MANAGER: "To safety managers, of the whole firm",
}
OF = {
    AWARDS: "Authorisations",
    PERMITS: "Permits that both have signed",
    INSTRUMENTS: "Instruments used lately",
    LOCATES: "Locates that open permits rest on",
    ANSWERS: "Owners’ answers that open permits rest on",
}
SAYS = {
    (AWARDS, OWN): "Your own authorisations",
    (PERMITS, OWN): "Permits that you issued or hold",
    (INSTRUMENTS, OWN): "Instruments that you used lately",
    (LOCATES, OWN): "Your locates that open permits rest on",
    (AWARDS, SUPERVISOR): "Authorisations of people at your sites",
    (PERMITS, SUPERVISOR): "Permits at your sites",
    (LOCATES, SUPERVISOR): "Locates at your sites that open permits rest on",
    (ANSWERS, SUPERVISOR): "Owners’ answers at your sites that open permits rest on",
    (INSTRUMENTS, SUPERVISOR): "Instruments used lately at your sites",
    (AWARDS, SAFETY_MANAGER): "Everyone’s authorisations",
    (INSTRUMENTS, SAFETY_MANAGER): "All instruments",
    (ANSWERS, SAFETY_MANAGER): "Owners’ answers that open permits rest on, at all sites",
    (LOCATES, SAFETY_MANAGER): "Locates that open permits rest on, at all sites",
    (PERMITS, SAFETY_MANAGER): "Permits at all sites",
}


@dataclass(frozen=True)
class Arrangement:
    """From which hour of the reader's day on letters go, and the days ahead by line. What it does not name is told as usual."""

    hour: int = HOUR
    days: Mapping[Line, tuple[int, ...]] = field(default_factory=dict)

    def of(self, line: Line) -> tuple[int, ...]:
        """The days ahead, the farthest first; of one's own authorisations never without the last two."""
        given = self.days.get(line, LINES[line])
        return tuple(sorted({*given, *(NEVER_LESS if line == (AWARDS, OWN) else ())}, reverse=True))

    def less(self, line: Line, chosen: Mapping[Line, tuple[int, ...]]) -> tuple[int, ...]:
        """The same for somebody who would have less of it: never more, and of their own authorisations never without the last two."""
        every = self.of(line)
        if line not in chosen:
            return every
        kept = {*chosen[line], *(NEVER_LESS if line == (AWARDS, OWN) else ())}
        return tuple(one for one in every if one in kept)


def lines_of(roles: Iterable[str]) -> list[Line]:
    """The lines that somebody with these roles can be told by, in order."""
    readers = {OWN, *roles}
    return [line for line in LINES if line[1] in readers]


def read_days(text: str) -> tuple[int, ...]:
    """`60, 30, 14`: days ahead, the farthest first; nothing: not at all. Raises Unfit."""
    parts = text.replace(",", " ").replace(";", " ").split()
    if any(not one.isascii() or not one.isdecimal() or len(one) > 3 for one in parts):
        raise Unfit("Whole numbers of days with commas between them were expected, such as 30, 7, 1.")
    days = sorted({int(one) for one in parts}, reverse=True)
    if days and not 1 <= days[-1] <= days[0] <= FARTHEST:
        raise Unfit(f"From 1 to {FARTHEST} days ahead were expected.")
    if len(days) > MOST:
        raise Unfit(f"{MOST} distances at most were expected.")
    return tuple(days)


def days_says(days: Iterable[int]) -> str:
    """As `read_days` reads them."""
    return ", ".join(map(str, days))


def told(arrangement: Arrangement) -> dict[str, object]:
    """The whole arrangement, as a row and the history keep it."""
    return {"hour": arrangement.hour, **kept({line: arrangement.of(line) for line in LINES})}


def kept(days: Mapping[Line, tuple[int, ...]]) -> dict[str, object]:
    """Days ahead by line, as a row and the history keep them."""
    return {f"{subject}.{reader}": list(some) for (subject, reader), some in days.items()}


def read(data: Mapping[str, object]) -> dict[Line, tuple[int, ...]]:
    """The days ahead by line of what `kept` wrote; of lines that are no longer there nothing."""
    return {line: tuple(data[name]) for line in LINES if (name := ".".join(line)) in data}
