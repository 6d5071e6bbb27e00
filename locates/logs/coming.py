"""A file on its way in: what it seems to be, what a layout makes of it, and how its first rows read."""

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.http import QueryDict

from locates.logs import facts
from locates.logs.forms import ColumnsForm, WrittenForm
from locates.logs.models import Layout
from locates.logs.rules.layout import DELIMITERS, NOWHERE, UTF_8, How
from locates.logs.rules.reading import Rows, headed, marked, read, sample
from locates.logs.rules.times import instant
from locates.surveys.models import Locate
from records.rules.dates import instant_says
from records.rules.says import window_says

HEAD = 4096  # bytes looked at for a mark and for delimiters
SHOWN_ROWS = 5
WRITTEN, COLUMNS = tuple(WrittenForm.base_fields), tuple(ColumnsForm.base_fields)


@dataclass(frozen=True)
class Preview:
    """How the first rows read, in words, and what the whole file spans."""

    rows: list[tuple[str, str, str, str]]
    count: int
    span: str


def proposed(path: Path) -> dict[str, Any]:
    """How the file seems to be written: what its mark tells, and the delimiter that stands in it most. It is shown, to be changed."""
    with path.open("rb") as file:
        head = file.read(HEAD)
    delimiter = max(DELIMITERS, key=lambda name: head.count(DELIMITERS[name].encode()))
    return {"encoding": marked(head) or UTF_8, "delimiter": delimiter, "above": 0, "decimal_comma": "no"}


def first_rows(path: Path, written: dict[str, Any]) -> list[list[str]]:
    with path.open("rb") as file:
        return sample(file, written["encoding"], written["delimiter"], written["above"])


def fitting(path: Path) -> list[Layout]:
    """The layouts in use whose header the file has."""
    with path.open("rb") as file:
        return [one for one in facts.in_use() if headed(file, one.reads)]


@dataclass(frozen=True)
class Mapped:
    """A mapping as far as it has come: how the file is written, its first rows so read, its columns, and the layout once all fits."""

    written: WrittenForm
    rows: list[list[str]] = field(default_factory=list)
    columns: ColumnsForm | None = None
    how: How | None = None


def mapped(path: Path, asked: QueryDict, locate: Locate) -> Mapped:
    """What the address has told so far."""
    told = {name: asked[name] for name in WRITTEN if name in asked}
    form = WrittenForm(data=told or proposed(path))
    if not form.is_valid():
        return Mapped(form)
    rows = first_rows(path, form.cleaned_data)
    if not rows:
        form.add_error(None, "No header can be read so: try another encoding, another delimiter, or other lines above it.")
        return Mapped(form)
    columns = ColumnsForm(rows[0], locate.site.time_zone, facts.placing(locate.site) is not None, data=asked if "time" in asked else None)
    return Mapped(form, rows, columns, columns.how(form.cleaned_data) if columns.is_bound else None)


def readings(path: Path, how: How, locate: Locate) -> Rows:
    with path.open("rb") as file:
        return read(file, how, facts.zone_of(locate), facts.placing(locate.site))


def preview(rows: Rows, how: How, locate: Locate) -> Preview:
    zone, words = facts.zone_of(locate), list(rows.words)
    shown = [
        (
            instant_says(instant(rows.at[one]), zone),
            words[rows.mode[one]] or "blank",
            "" if rows.value[one] != rows.value[one] else f"{rows.value[one]:g}",
            "none" if how.position == NOWHERE or rows.x[one] != rows.x[one] else f"{rows.x[one]:.2f} {rows.y[one]:.2f}",
        )
        for one in range(min(SHOWN_ROWS, len(rows)))
    ]
    return Preview(shown, len(rows), _span(rows, zone) if len(rows) else "")


def _span(rows: Rows, zone: ZoneInfo) -> str:
    first, last = (instant(pick(rows.at)) for pick in (min, max))
    return window_says(first.replace(microsecond=0), last.replace(microsecond=0), zone)


def unknown(rows: Rows, how: How) -> dict[str, int]:
    """The words that the layout does not know, and how often each stands in the file."""
    return {word: count for word, count in rows.counts().items() if word not in how.words}


def again(asked: QueryDict) -> str:
    """The same choices, for changing them."""
    back = asked.copy()
    back.pop("layout", None)
    back["change"] = "yes"
    return back.urlencode()
