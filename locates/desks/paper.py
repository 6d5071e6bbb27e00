"""Somebody's record of competence, on one sheet of A4."""

from dataclasses import dataclass, replace

from reportlab.platypus import Spacer

from records.paper.frames import BODY, SMALL, Heading, document, heading, paragraph, table

NOTICE = (
    "It tells what is on record, and is no leave to dig. An authorisation counts only on the day and at the site where it is asked for, by the records as they"
    " stand then. Local law, the owners' rules and licensed practice come first."
)
MOST_BOOKED = 4
HEADS = ("It allows", "State", "Good through", "Award and course", "Certificate no.", "Assessor")
SHARES, MOST = (20, 11, 14, 25, 15, 15), (60, 20, 20, 84, 40, 40)  # of the page's width; and letters that a cell takes


@dataclass(frozen=True, slots=True)
class Competence:
    """What the sheet says: rows of (what it allows, state, good through, award, certificate, assessor), what is booked, and what was practised."""

    name: str
    person: str
    employer: str
    roles: str
    made: str
    rows: tuple[tuple[str, ...], ...]
    booked: tuple[str, ...]
    practice: tuple[str, ...]


def competence_pdf(sheet: Competence) -> bytes:
    """The same content gives the same bytes. At most nine authorisations there are, so it fits one page."""
    sheet = _short(sheet)
    who = f"{sheet.employer or 'employer not recorded'}{f'; {sheet.roles}' if sheet.roles else ''}"
    story = [paragraph("Record of competence", 18, True), paragraph(f"{sheet.name} ({sheet.person})", 14, True), paragraph(who, 10), Spacer(1, 6)]
    story += heading("Authorisations")
    if sheet.rows:
        story.append(table(HEADS, sheet.rows, SHARES, SMALL))
    else:
        story.append(paragraph("No award is on record.", BODY))
    story += heading("Renewals booked")
    story += [paragraph(one, BODY) for one in _some(sheet.booked, MOST_BOOKED)] or [paragraph("None.", BODY)]
    story += heading("Practice in the last twelve months")
    story += [paragraph(one, BODY) for one in sheet.practice]
    return document(story, Heading(f"Record of competence: {sheet.name}", f"As of {sheet.made}", False, NOTICE))


def _short(sheet: Competence) -> Competence:
    """Cut to what one page holds: whatever is longer stands in full on the person's own page."""
    return replace(
        sheet,
        name=_cut(sheet.name, 80),
        employer=_cut(sheet.employer, 80),
        rows=tuple(tuple(_cut(cell, most) for cell, most in zip(row, MOST, strict=True)) for row in sheet.rows),
        booked=tuple(_cut(one, 100) for one in sheet.booked),
        practice=tuple(_cut(one, 420) for one in sheet.practice),
    )


def _cut(text: str, most: int) -> str:
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"


def _some(lines: tuple[str, ...], most: int) -> list[str]:
    """The first of them, and how many more there are."""
    return [*lines[:most], *([f"and {len(lines) - most} more"] if len(lines) > most else [])]
