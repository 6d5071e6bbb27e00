"""All registers out of the database into a folder that `load` reads back to the same records."""

import csv
import tempfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from itertools import islice
from operator import attrgetter
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.db import connection
from django.db.models import CharField, F, QuerySet

from records.base import ByCodePoint
from records.exchange.catalogue import readings, tables
from records.exchange.storing import Lists, links
from records.rules.kinds import UTC_ZONE
from records.tables import Column, Table

BATCH = 1000
UNFINISHED = ".unfinished-export-"
SNAPSHOT = {"sqlite": "BEGIN", "postgresql": "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY"}
Progress = Callable[[str, int], None]


class NoFolder(ValueError):
    """There is no such folder to write into, or it is another's."""


def export(path: Path, progress: Progress = lambda file, rows: None) -> dict[str, int]:
    """Write all registers as they stand at one moment; gives the rows of each file. Raises NoFolder where the folder holds files of others, or cannot be."""
    _refuse_strangers(path)
    try:
        # on one file system with the folder, so that whole files are put in their places without being written again
        with tempfile.TemporaryDirectory(prefix=UNFINISHED, dir=path if path.exists() else path.resolve().parent) as beside:
            with snapshot():
                written = {file: _write(Path(beside) / file, *rows, progress) for file, rows in _files()}
            _move(Path(beside), path, list(written))
    except OSError as trouble:
        raise NoFolder(f"{path} cannot be written ({trouble.strerror}): a folder in a place that can be written to was expected") from trouble
    return written


def _refuse_strangers(path: Path) -> None:
    if path.exists() and not path.is_dir():
        raise NoFolder(f"{path} is a file: the name of a folder was expected")
    ours = {Path(file) for file in (*tables(), *(reading.file for reading in readings()))}
    inside = (found.relative_to(path) for found in path.rglob("*") if found.is_file())
    strangers = sorted(str(found) for found in inside if found not in ours and not found.parts[0].startswith(UNFINISHED))
    if strangers:
        raise NoFolder(f"{path} holds other files, such as {strangers[0]!r}: a new folder, or one of an export before, was expected")


def _files() -> Iterator[tuple[str, tuple[list[str], Iterable[Iterable[str]]]]]:
    for table in tables().values():
        if table.extra and not table.model.objects.exists():
            continue
        yield table.file, ([column.name for column in table.columns], rows_of(table))
    for reading in readings():
        if reading.only_of is not None and not reading.only_of.objects.exists():
            continue
        yield reading.file, (reading.header.split(), reading.rows())


@contextmanager
def snapshot() -> Iterator[None]:
    """Everything read inside is read as it stood at one moment, and nobody who writes is kept waiting."""
    if connection.in_atomic_block:
        yield
        return
    with connection.cursor() as cursor:
        cursor.execute(SNAPSHOT[connection.vendor])
        try:
            yield
        finally:
            cursor.execute("ROLLBACK")


def _write(path: Path, header: list[str], rows: Iterable[Iterable[str]], progress: Progress) -> int:
    path.parent.mkdir(exist_ok=True)
    count = 0
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\r\n")
        writer.writerow(header)
        for row in rows:
            writer.writerow(row)
            count += 1
            progress(path.name, count)
    return count


def rows_of(table: Table) -> Iterator[list[str]]:
    """The rows of a register in its columns' order, sorted by identifier, by code point."""
    many = [column for column in table.columns if column.many]
    records = _ordered(table).iterator(chunk_size=BATCH)
    while some := list(islice(records, BATCH)):
        lists = {column.name: links(column, [record.pk for record in some]) for column in many}
        for record in some:
            yield _row(table, record, lists)


def _ordered(table: Table) -> QuerySet:
    keys = [table.column(name) for name in table.key]
    order = [ByCodePoint(column.attribute) if isinstance(column.field, CharField) or column.refers else F(column.attribute) for column in keys]
    return table.model.objects.select_related(*([table.site] if table.site else [])).order_by(*order)


def _row(table: Table, record: Any, lists: Lists) -> list[str]:
    zone = ZoneInfo(attrgetter(table.site.replace("__", "."))(record).time_zone) if table.site else UTC_ZONE
    return [_cell(column, record, lists, zone) for column in table.columns]


def _cell(column: Column, record: Any, lists: Lists, zone: ZoneInfo) -> str:
    return column.kind.write(lists[column.name][record.pk], zone) if column.many else column.text(record, zone)


def _move(beside: Path, path: Path, files: list[str]) -> None:
    """Put the whole files in their places, each in one step."""
    for file in files:
        (path / file).parent.mkdir(parents=True, exist_ok=True)
    for file in files:
        (beside / file).replace(path / file)
