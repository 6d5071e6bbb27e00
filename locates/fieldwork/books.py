"""The books of field work: positions from phones; and the sheet, which has pages of its own and stands on no shelf."""

from locates.fieldwork.facts import TIES
from locates.fieldwork.registers import TABLES
from records.book import IDENTIFIER, Ask, Book

SHEET_TABLE, FIX_TABLE = TABLES
SHEET_LABELS = {
    "sheet": "Field sheet",
    "locate": "Locate",
    "outline": "Outline of the dig",
    "depth_m": "Depth of the dig, metres",
    "method": "Method",
    "plans_seen": "Plans at hand and looked at",
    "marks": "Marked with",
    "marks_note": "Note on the marks",
    "marked_at": "Marked at",
    "short_of": "Why finished although something was missing",
}

SHEETS = Book(
    slug="field-sheets",
    title="Field sheets",
    noun="field sheet",
    tells="",
    table=SHEET_TABLE,
    ties=TIES,
    shows=("sheet",),
    asks=tuple(Ask(column, label) for column, label in SHEET_LABELS.items()),
    beside=("locate", "locate__site"),
    site="locate__site",
)

FIXES = Book(
    slug="positions",
    title="Positions from phones",
    noun="position",
    tells="Where a phone’s satellite receiver said it was while a locate was made, and how sure it was of it.",
    table=FIX_TABLE,
    ties=TIES,
    shows=("fix", "locate", "taken_at", "accuracy_m", "note"),
    finds=("fix", "locate__locate", "note"),
    sifts=("locate",),
    asks=(
        Ask("fix", "Identifier", IDENTIFIER),
        Ask("locate", "Locate"),
        Ask("taken_at", "Taken at", ready="now"),
        Ask("lon", "Longitude, degrees", "East is positive."),
        Ask("lat", "Latitude, degrees", "North is positive."),
        Ask("accuracy_m", "Accuracy, metres", "As the phone gave it: it is inside this circle two times in three, at best."),
        Ask("x", "x on the site’s grid, metres"),
        Ask("y", "y on the site’s grid, metres"),
        Ask("note", "Note"),
    ),
    order="-taken_at",
    beside=("locate", "locate__site"),
    site="locate__site",
    prefix="F-",
)

BOOKS = (FIXES,)
