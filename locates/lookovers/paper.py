"""A dig's diary on paper."""

from dataclasses import dataclass

from records.paper.frames import BODY, SMALL, Heading, document, heading, paragraph, table

NOTICE = (
    "It tells what was recorded, and is no leave to dig. That nothing was found is no proof that nothing is there: take every service as live. "
    "Local law, the owners' rules and licensed practice come first."
)
HEADS = ("Day", "Time", "What was looked at, and how it was", "What could come of it", "Done, and still to do", "By")
SHARES = (9, 9, 31, 18, 19, 14)


@dataclass(frozen=True, slots=True)
class Sheet:
    """What the paper says: facts as (what, says), what is owed now, the rows of the diary in the columns of HEADS, and what was exposed."""

    permit: str
    facts: tuple[tuple[str, str], ...]
    owed: str
    rows: tuple[tuple[str, ...], ...]
    exposed: tuple[str, ...]


def diary_pdf(sheet: Sheet) -> bytes:
    """The same content gives the same bytes."""
    title = f"Diary of permit {sheet.permit}"
    story = [paragraph(title, 18, True), *(paragraph(f"{what}: {says}", BODY) for what, says in sheet.facts)]
    story += [paragraph(sheet.owed, 14, True)] if sheet.owed else []
    story += heading("Day by day")
    story.append(table(HEADS, sheet.rows, SHARES, SMALL) if sheet.rows else paragraph("Nothing was recorded.", BODY))
    story += heading("What was exposed by hand")
    story += [paragraph(one, BODY) for one in sheet.exposed] or [paragraph("The locate of this permit traced nothing, and nothing was exposed.", BODY)]
    as_of = dict(sheet.facts)["As of"]
    return document(story, Heading(title, f"As of {as_of}", False, NOTICE))
