"""A layout: which column of a log is what, how its times and numbers are written, and which of its words mean which technique."""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace

from locates.logs.rules.times import EPOCH
from records.rules.words import TECHNIQUES

UTF_8, UTF_16, LATIN_1 = ENCODINGS = ("utf-8", "utf-16", "latin-1")
ENCODINGS_SAID = {UTF_8: "UTF-8, with or without a byte-order mark", UTF_16: "UTF-16", LATIN_1: "Latin-1 (ISO 8859-1)"}
DELIMITERS = {"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|"}
SITE, LONLAT, NOWHERE = POSITIONS = ("site", "lonlat", "none")
POSITIONS_SAID = {SITE: "metres of the site's own grid, x and y", LONLAT: "longitude and latitude, degrees of WGS 84", NOWHERE: "the log holds none"}
NOT_OURS = ""  # what a word stands for that is none of our techniques
MOST_ABOVE, MOST_COLUMNS, MOST_WORDS, LONGEST_WORD = 50, 200, 60, 200
CELLS = ("day", "time", "mode", "reading", "x", "y")


@dataclass(frozen=True, slots=True)
class How:
    """How a log is written. Columns are counted from 0; None: there is none. `above`: lines before the header.

    `day` is the date's column where it stands apart from the time of day. `zone`: `offset` where each time says its own, `site` for the clock
    of the site, else a zone's name; blank for seconds since 1970. `words`: each word of the mode's column, and the technique it means or nothing.
    """

    encoding: str
    delimiter: str
    above: int
    header: tuple[str, ...]
    decimal_comma: bool
    time: int
    time_form: str
    zone: str
    mode: int
    position: str
    day: int | None = None
    reading: int | None = None
    x: int | None = None
    y: int | None = None
    words: Mapping[str, str] = field(default_factory=dict)

    def column(self, number: int) -> str:
        """What the file calls the column."""
        return named(self.header, number)


def named(header: Sequence[str], number: int) -> str:
    """A column by its number and name: two may bear the same one, or none."""
    return f"{number + 1}: {header[number]}" if number < len(header) and header[number] else f"{number + 1}"


def faults(how: How) -> Iterator[tuple[str, str]]:
    """What does not go together in a layout: the field, and a sentence."""
    taken: dict[int, str] = {}
    for cell in CELLS:
        number = getattr(how, cell)
        if number is not None and not 0 <= number < len(how.header):
            yield cell, "there is no such column: one of the header was expected"
        elif number is not None and number in taken:
            yield cell, f"column {how.column(number)} is the {taken[number]} already: another one was expected"
        elif number is not None:
            taken[number] = cell
    if how.position != NOWHERE:
        yield from ((cell, "it is missing: the layout says that the log holds positions") for cell in ("x", "y") if getattr(how, cell) is None)
    elif how.x is not None or how.y is not None:
        yield "position", "columns are chosen for x and y: say what they are"
    if how.time_form == EPOCH and (how.zone or how.day is not None):
        yield "zone" if how.zone else "day", "seconds since 1970 are in UTC and hold the day: nothing was expected here"
    if how.time_form != EPOCH and not how.zone:
        yield "zone", "it is missing: by which clock the times are was expected"
    yield from (("words", f"{word} is none of our techniques") for word in how.words.values() if word not in (NOT_OURS, *TECHNIQUES))


def written(how: How) -> str:
    """The layout as text, as it is kept."""
    return json.dumps(asdict(how) | {"header": list(how.header), "words": dict(how.words)}, ensure_ascii=False, sort_keys=True)


def read_back(text: str) -> How:
    """The layout that the text keeps."""
    kept = json.loads(text)
    return How(**kept | {"header": tuple(kept["header"])})


def with_words(how: How, words: Mapping[str, str]) -> How:
    """The layout with more words. One that it knows already keeps its meaning."""
    return replace(how, words={**words, **how.words})
