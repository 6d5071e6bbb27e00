"""The pieces that a locate is recorded by, each a form of its page: through the registers' own door, once, at the time at which the work was done."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.http import QueryDict
from django.utils.datastructures import MultiValueDict
from shapely import set_precision, to_wkt

from locates.fieldwork import forms as f
from locates.fieldwork import offering
from locates.fieldwork.actions import REMOVABLE, remove
from locates.fieldwork.books import FIXES, SHEETS
from locates.fieldwork.facts import gathered
from locates.fieldwork.models import FieldSheet
from locates.fieldwork.receiving import Receipt
from locates.fieldwork.rules import fixes
from locates.grids.facts import grid_of
from locates.instruments.books import CHECKS
from locates.instruments.forms import CheckForm
from locates.permits.rules.frame import framed
from locates.surveys.books import LOCATES, OUTCOMES, SWEEPS, TRACES
from records.book import Book
from records.books.actions import Slip, Stale, as_seen, do_beside, hand_in
from records.exchange.entering import Beside, Entered, Sheet
from records.files.actions import keep
from records.identifiers import next_identifiers
from records.ledger.actions import Errand
from records.ledger.models import Entry
from records.rules.columns import INSTANT
from records.rules.kinds import UTC_ZONE
from records.rules.text import Unfit
from records.rules.words import INSTRUMENT_KINDS, PASSIVE, spoken

TRIES = 5
MILLIMETRE = 0.001


class Clash(Exception):
    """Somebody else changed this part of the sheet since the form was opened: `mine` and `theirs` by the column's label."""

    def __init__(self, mine: dict[str, str], theirs: dict[str, str]) -> None:
        super().__init__("changed by somebody else")
        self.mine, self.theirs = mine, theirs


@dataclass(frozen=True, slots=True)
class Piece:
    """What was handed in for a sheet."""

    sheet: FieldSheet
    receipt: Receipt
    data: QueryDict
    files: MultiValueDict[str, UploadedFile]

    @property
    def place(self) -> str:
        """Which of several forms of one kind on the page it was."""
        return self.data.get("place", "")

    @property
    def locate(self) -> dict[str, str]:
        return {"locate": self.sheet.locate_id}

    @property
    def happened(self) -> str:
        return INSTANT.write(self.receipt.happened, UTC_ZONE)

    def beside(self, says: str) -> Beside:
        return self.receipt.beside(says, offering.address(self.sheet.pk))


# each gives its form, with what is wrong in it where nothing was written
Handler = Callable[[Piece], Any]


def kit(piece: Piece) -> Any:
    form = offering.kit_form(piece.sheet, piece.receipt.at, data=piece.data)
    if form.is_valid():
        row = piece.locate | {kind: form.cleaned_data[kind] for kind in INSTRUMENT_KINDS}
        _change(piece, form, LOCATES, row, piece.sheet.locate_id, piece.beside("What it is located with is recorded."))
    return form


def dig(piece: Piece) -> Any:
    form = f.DigForm(data=piece.data)
    if form.is_valid():
        row = {name: form.cleaned_data[name] for name in ("outline", "depth_m", "method")}
        _change_sheet(piece, form, row, "Where the dig will be is recorded.")
    return form


def plans(piece: Piece) -> Any:
    offered = offering.plans(piece.sheet, piece.receipt.at)
    data = piece.data
    if data.get("do") == "all":
        data = data.copy()
        data.setlist("plans_seen", [key for key, _ in offered])
    form = f.PlansForm(offered, data=data)
    if form.is_valid():
        _change_sheet(piece, form, {"plans_seen": form.cleaned_data["plans_seen"]}, "The plans that were looked at are recorded.")
    return form


def marks(piece: Piece) -> Any:
    form = f.MarksForm(data=piece.data)
    if form.is_valid():
        row = {"marks": form.cleaned_data["marks"], "marks_note": form.cleaned_data["marks_note"], "marked_at": piece.happened}
        _change_sheet(piece, form, row, "The marks are recorded.")
    return form


def check(piece: Piece) -> Any:
    form = CheckForm(data=piece.data)
    if form.is_valid():
        instrument, result = piece.data.get("instrument", ""), form.cleaned_data["result"]
        row = {"instrument": instrument, "kind": "before_use", "checked_at": piece.happened, "person": piece.receipt.person.pk}
        told = f"{instrument} passed its check before use." if result == "pass" else f"{instrument} FAILED its check. Do not use it, put it aside, and say so."
        _add(piece, form, CHECKS, [row | {"result": result, "note": form.cleaned_data["note"]}], told, also=_begins_with_it(piece))
    return form


def _begins_with_it(piece: Piece) -> list[Sheet]:
    """Until something is swept or traced, the search begins with the check of what it is made with: one that comes after it says nothing of it."""
    locate = piece.sheet.locate
    if piece.receipt.happened <= locate.started_at or locate.sweeps.exists() or locate.traces.exists() or locate.outcomes.exists():
        return []
    return [(LOCATES.table.file, [piece.locate | {"started_at": piece.happened}])]


def sweep(piece: Piece) -> Any:
    technique = piece.data.get("technique", "")
    form = f.SweepForm(technique in PASSIVE, place=piece.place, data=piece.data)
    if form.is_valid() and (area := _swept(piece, form)):
        told = form.cleaned_data
        row = piece.locate | {"technique": technique, "area": area, "spacing_m": told["spacing_m"]}
        row["transmitter_offset_m"] = told.get("transmitter_offset_m", "")
        rows = [row | {"bearing_deg": bearing} for bearing in (told["bearing_deg"], told.get("across_deg")) if bearing] or [row | {"bearing_deg": ""}]
        _add(piece, form, SWEEPS, rows, f"Swept by {spoken(technique)}: recorded.")
    return form


def _swept(piece: Piece, form: f.SweepForm) -> str:
    """The ground that the sweep covers; nothing, and a fault, where that is not known."""
    if form.cleaned_data["ground"] == f.DRAWN:
        return form.cleaned_data["area"]
    evidence, sheet = gathered(piece.sheet, piece.receipt.at)
    if sheet.outline is None:
        form.add_error("ground", "What ground is needed is known once the outline of the dig is told. Tell it first, or draw what was swept.")
        return ""
    return to_wkt(set_precision(framed(evidence, piece.receipt.at).needed, MILLIMETRE), rounding_precision=3)


def trace(piece: Piece) -> Any:
    form = offering.trace_form(piece.sheet, piece.receipt.at, piece.place, data=piece.data)
    if form.is_valid():
        row = piece.locate | {name: value for name, value in form.cleaned_data.items() if name != "fixes"}
        try:
            _add(piece, form, TRACES, [row], "The line is recorded.", also=positions(piece, form.cleaned_data["fixes"]))
        except Unfit as fault:
            form.add_error(None, f"{fault}.")
    return form


def positions(piece: Piece, told: str) -> list[Sheet]:
    """The positions that a phone gave for points of what was drawn, as rows. Raises Unfit."""
    rows = fixes.rows(told, grid_of(piece.sheet.locate.site_id))
    names = next_identifiers(FIXES.model, FIXES.prefix, len(rows)) if rows else []
    return [(FIXES.table.file, [{"fix": name, **piece.locate, **row} for name, row in zip(names, rows, strict=True)])] if rows else []


def outcome(piece: Piece) -> Any:
    form = f.OutcomeForm(place=piece.place, data=piece.data)
    if form.is_valid():
        service = form.cleaned_data["service"]
        _write(form, Slip(OUTCOMES, [piece.locate | form.cleaned_data], beside=piece.beside(f"Service {service} is accounted for.")), piece)
    return form


def photo(piece: Piece) -> Any:
    form = f.PhotographForm(data=piece.data, files=piece.files)
    if form.is_valid():
        told = piece.beside("The photograph is kept with the locate.")

        def kept(underway: Errand) -> None:
            keep(underway, "locate", piece.sheet.locate_id, str(piece.sheet.locate), "photograph", form.cleaned_data["photograph"])
            told(underway)

        do_beside(kept, piece.receipt.person, piece.receipt.at)
    return form


def taken_out(piece: Piece) -> Any:
    """A sweep, trace or outcome that was recorded by mistake."""
    form = f.PieceForm(data=piece.data)
    kind, key = piece.data.get("kind", ""), piece.data.get("key", "").replace("\0", "")
    if kind not in REMOVABLE or (kind == "outcome" and not key.isdecimal()):
        form.add_error(None, "What is to be taken out? A sweep, a trace or an outcome was expected.")
    else:
        told = piece.beside(f"The {kind} is taken out again. The history keeps it.")
        remove(kind, key, piece.sheet, piece.receipt.person, piece.receipt.at, told)
    return form


PIECES: dict[str, Handler] = {
    "kit": kit,
    "dig": dig,
    "plans": plans,
    "marks": marks,
    "check": check,
    "sweep": sweep,
    "trace": trace,
    "outcome": outcome,
    "photo": photo,
    "remove": taken_out,
}


# writing


def _add(piece: Piece, form: Any, book: Book, rows: list[dict[str, str]], says: str, also: Sequence[Sheet] = ()) -> None:
    """New records under the next names; where somebody else takes one at the same instant, under those after."""
    key, beside = book.table.key[0], piece.beside(says)
    names = next_identifiers(book.model, book.prefix, TRIES * len(rows))
    for first in range(0, len(names), len(rows)):
        numbered = [{key: name, **row} for name, row in zip(names[first:], rows, strict=False)]
        entered = hand_in(Slip(book, numbered, beside=beside, also=also), piece.receipt.person, piece.receipt.at)
        if entered.right or any(one.column != key for one in entered.problems):
            break
    say(form, entered)


def _write(form: Any, slip: Slip, piece: Piece) -> None:
    say(form, hand_in(slip, piece.receipt.person, piece.receipt.at))


def say(form: Any, entered: Entered) -> None:
    if not entered.right:
        form.say(entered.problems) if hasattr(form, "say") else form.add_error(None, entered.problems[0].says)


def _change_sheet(piece: Piece, form: Any, row: dict[str, str], says: str) -> None:
    _change(piece, form, SHEETS, {"sheet": piece.sheet.pk} | row, piece.sheet.pk, piece.beside(says))


def _change(piece: Piece, form: Any, book: Book, row: dict[str, str], key: str, beside: Beside) -> None:
    """Change some columns of a stored record. Raises Clash where somebody else has changed them meanwhile, unless the person says to do it anyway."""
    columns = [name for name in row if name != book.table.key[0]]
    now = as_seen(book, key)
    if piece.data.get("seen") not in (offering.part_seen(book, key, columns), None) and not piece.data.get("anyway") and _by_another(piece, book, key):
        raise _clash(book, key, row, columns)
    try:
        _write(form, Slip(book, [row], key=key, seen=now, beside=beside), piece)
    except Stale as stale:
        raise _clash(book, key, row, columns) from stale


def _by_another(piece: Piece, book: Book, key: str) -> bool:
    """Was somebody else the last to write it? Changing one's own again is no clash, in whatever order a phone got them through."""
    last = Entry.objects.filter(kind=book.kind, subject_id=key).order_by("-seq").values_list("actor_id", flat=True).first()
    return last != piece.receipt.person.pk


def _clash(book: Book, key: str, row: dict[str, str], columns: list[str]) -> Clash:
    theirs = offering.stored_texts(book, key)
    return Clash({book.ask(name).label: row[name] for name in columns}, {book.ask(name).label: theirs[name] for name in columns})
