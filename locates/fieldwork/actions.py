"""What is done to a locate under way beside writing rows: something is taken out again, and it is finished."""

from datetime import datetime
from typing import Any

from django.core.files.uploadedfile import UploadedFile

from locates.fieldwork.models import FieldSheet, Underlay
from locates.fieldwork.underlays import content, known
from locates.grids.raster import north_up
from locates.grids.rules.underlay import laid
from locates.surveys.models import Outcome, Sweep, Trace
from records.books.actions import linked
from records.books.catalogue import book_of
from records.books.words import texts
from records.exchange.entering import Beside, Entered, enter
from records.files.actions import keep
from records.files.models import Attachment
from records.firm.actions import actor
from records.firm.models import Person
from records.ledger.actions import Errand, errand
from records.rules.columns import INSTANT
from records.rules.kinds import UTC_ZONE

WHAT = "underlay"
FINISHED, PROVED = "locate.finished", "proved with the password"
REMOVABLE = {"sweep": Sweep, "trace": Trace, "outcome": Outcome}


class Finished(Exception):
    """The locate is finished: it no longer changes."""


def remove(kind: str, key: str, sheet: FieldSheet, person: Person, at: datetime, beside: Beside) -> bool:
    """Take a sweep, trace or outcome out of a locate under way; the history keeps what it was. False: it is not there. Raises Finished."""
    with errand(actor(person), at, may_be_empty=True) as underway:
        locked = type(sheet.locate).objects.select_for_update().get(pk=sheet.locate_id)
        if locked.finished_at is not None:
            raise Finished(locked.pk)
        found = REMOVABLE[kind].objects.filter(pk=key, locate=locked).first()
        if found is not None:
            _remove(found, kind, underway)
        beside(underway)
    return found is not None


def _remove(found: Any, kind: str, underway: Errand) -> None:
    book = book_of(kind)
    was = texts(book, found, linked(book, found.pk))
    name = book.table.identity_of(found)
    found.delete()
    underway.write(f"{kind}.removed", kind, name, name, underway.at, before=was)


def finish(sheet: FieldSheet, person: Person, at: datetime, short_of: str) -> Entered:
    """Finish the locate, as its operator, who has just proved who they are. `short_of`: why, where something is missing. From then on it does not change."""
    locate = sheet.locate

    def proved(underway: Errand) -> None:
        told = {"sheet": sheet.sheet, "short_of": short_of}
        underway.write(FINISHED, "locate", locate.pk, f"{locate.pk} finished by {person.name}", at, after=told, why=PROVED)

    rows = [("field_sheets.csv", [{"sheet": sheet.sheet, "locate": locate.pk, "short_of": short_of}])] if short_of else []
    ended = {"locate": locate.pk, "finished_at": INSTANT.write(at, UTC_ZONE)}
    return enter([("locates.csv", [ended]), *rows], actor(person), at, last=proved)


# the picture under the sketch


def lay(row: FieldSheet, one: Attachment, text: str, person: Person, at: datetime) -> None:
    """Keep how the picture lies; one that lay there before is replaced, and the history keeps it. Raises Unfit, and then nothing is kept."""
    north_up(content(one), laid(known(text)))
    with errand(actor(person), at) as underway:
        before = Underlay.objects.filter(locate=row.locate).first()
        Underlay.objects.update_or_create(locate=row.locate, defaults={"file": one.key, "points": text, "recorded_at": at})
        was = {"file": before.file, "points": before.points} if before else None
        underway.write("underlay.laid", "locate", row.locate_id, f"picture {one.name} under the sketch", at, was, {"file": one.key, "points": text})


def take_away(row: FieldSheet, person: Person, at: datetime) -> None:
    with errand(actor(person), at, may_be_empty=True) as underway:
        for found in Underlay.objects.filter(locate=row.locate):
            found.delete()
            before = {"file": found.file, "points": found.points}
            underway.write("underlay.taken_away", "locate", row.locate_id, "picture under the sketch", at, before)


def bring(row: FieldSheet, upload: UploadedFile, person: Person, at: datetime) -> Attachment:
    """Keep a picture with the locate, to be laid."""
    with errand(actor(person), at) as underway:
        return keep(underway, "locate", row.locate_id, str(row.locate), WHAT, upload)
