"""Where the content of files lies: under its digest, written once and never again."""

import os
import tempfile
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from typing import BinaryIO, Protocol

from django.conf import settings

CHUNK = 1 << 16


class Upload(Protocol):
    """A file as a form hands it in."""

    name: str
    size: int

    def chunks(self) -> Iterator[bytes]: ...


def place(digest: str) -> Path:
    return Path(settings.FILES_FOLDER) / digest[:2] / digest


def put(upload: Upload) -> str:
    """Keep the content and give its digest. It is whole on disk before it bears its name; the same content twice is one file."""
    folder = Path(settings.FILES_FOLDER)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    digest = sha256()
    with tempfile.NamedTemporaryFile(dir=folder, delete=False) as beside:
        try:
            for chunk in upload.chunks():
                digest.update(chunk)
                beside.write(chunk)
            beside.flush()
            os.fsync(beside.fileno())
            target = place(digest.hexdigest())
            target.parent.mkdir(mode=0o700, exist_ok=True)
            os.replace(beside.name, target)
            for changed in (target.parent, folder):  # a name is on disk only when its folder is
                _settle(changed)
        except BaseException:
            Path(beside.name).unlink(missing_ok=True)
            raise
    return digest.hexdigest()


def _settle(folder: Path) -> None:
    opened = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)


def digest_of(upload: Upload) -> str:
    """The digest that the content would be kept under."""
    digest = sha256()
    for chunk in upload.chunks():
        digest.update(chunk)
    return digest.hexdigest()


def intact(digest: str) -> bool:
    """Is the content there, and what it was?"""
    try:
        with place(digest).open("rb") as file:
            return _digest_of(file) == digest
    except OSError:
        return False


def _digest_of(file: BinaryIO) -> str:
    found = sha256()
    while chunk := file.read(CHUNK):
        found.update(chunk)
    return found.hexdigest()
