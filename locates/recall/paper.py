"""A recall on paper: the thing in doubt, and a table of all that rested on it with what was decided of each."""

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.platypus import Spacer

from records.paper.frames import ACROSS, BODY, SMALL, Heading, document, heading, paragraph, table

NOTICE = (
    "It tells what is on record of permits and locates that rested on this, and is no leave to dig. A decision lifts no block of a permit. "
    "Local law, the owners' rules and licensed practice come first."
)
HEADS = ("Permit or locate", "Site", "When", "Rested on it by", "Stands", "Decided", "Why", "By, when")
SHARES = (12, 12, 16, 12, 11, 12, 24, 15)
UNDECIDED = "not yet"


@dataclass(frozen=True, slots=True)
class Sheet:
    """What the paper says. `rows`: as the heads have them."""

    thing: str
    found: str
    window: str
    tally: str
    made: str
    rows: Sequence[tuple[str, ...]]


def recall_pdf(sheet: Sheet) -> bytes:
    """The same content gives the same bytes."""
    wide = ACROSS.width
    story = [paragraph("In doubt", 18, True, wide), paragraph(sheet.thing, 14, True, wide), Spacer(1, 4)]
    story += [paragraph(one, 10, width=wide) for one in (sheet.found, f"In doubt: {sheet.window}", sheet.tally)]
    story += heading("What rested on it", wide)
    if sheet.rows:
        story.append(table(HEADS, sheet.rows, SHARES, SMALL, width=wide))
    else:
        story.append(paragraph("Nothing on record.", BODY, width=wide))
    return document(story, Heading(f"In doubt: {sheet.thing}", f"As of {sheet.made}", False, NOTICE), ACROSS)
