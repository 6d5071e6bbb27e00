"""Files that were chosen and are not kept yet: they lie apart until their columns are told or a day is over."""

import os
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.core import signing

from records.files.rules.media import tidy
from records.files.store import Upload

LASTS = timedelta(days=1)
SALT = "log that waits"


def folder() -> Path:
    return Path(settings.FILES_FOLDER) / "waiting"


def put_by(upload: Upload, locate: str, person: str, at: datetime) -> tuple[Path, str]:
    """Put the file by. Gives where it lies, and the token that finds it again: for this person and locate alone."""
    folder().mkdir(mode=0o700, parents=True, exist_ok=True)
    _sweep(at)
    with tempfile.NamedTemporaryFile(dir=folder(), delete=False) as beside:
        for chunk in upload.chunks():
            beside.write(chunk)
    path = Path(beside.name)
    os.utime(path, (at.timestamp(), at.timestamp()))
    return path, signing.dumps([path.name, tidy(upload.name), locate, person], salt=SALT)


def found(token: str, locate: str, person: str) -> tuple[Path, str] | None:
    """Where the file lies and what it was called; None for a token that is none of theirs, or a file that is gone."""
    with suppress(signing.BadSignature, ValueError):
        place, name, *whose = signing.loads(token, salt=SALT)
        if whose == [locate, person] and (folder() / place).exists():
            return folder() / place, name
    return None


def let_go(path: Path) -> None:
    """It is kept now, and waits no longer."""
    path.unlink(missing_ok=True)


def _sweep(at: datetime) -> None:
    for path in _older(at - LASTS):
        path.unlink(missing_ok=True)


def _older(than: datetime) -> Iterator[Path]:
    for path in folder().iterdir():
        with suppress(FileNotFoundError):
            if path.stat().st_mtime < than.timestamp():
                yield path
