"""Lists as CSV files for spreadsheets."""

import csv
from collections.abc import Iterable, Iterator
from datetime import datetime

from django.http import StreamingHttpResponse

FORMULAS = ("=", "+", "-", "@", "＝", "＋", "－", "＠", "\t", "\r", "\n", "\0")


class _Echo:
    """A file that gives back each row that the csv writer writes."""

    def write(self, row: str) -> str:
        return row


def harmless(cell: str) -> str:
    """A spreadsheet takes a cell that begins like this for a formula, and would run it."""
    return f"'{cell}" if cell.startswith(FORMULAS) else cell


def lines(rows: Iterable[Iterable[str]]) -> Iterator[str]:
    """The rows as the lines of a file, one at a time, marked as UTF-8."""
    writer = csv.writer(_Echo())
    yield "\ufeff"
    for row in rows:
        yield writer.writerow(map(harmless, row))


def answered(name: str, at: datetime, rows: Iterable[Iterable[str]]) -> StreamingHttpResponse:
    """The rows as a file to download, named by what it lists and when."""
    headers = {"Content-Disposition": f'attachment; filename="{name}-{at:%Y%m%d-%H%M}.csv"'}
    return StreamingHttpResponse(lines(rows), content_type="text/csv; charset=utf-8", headers=headers)
