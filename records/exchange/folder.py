"""A register folder: which of its files are registers, and which are not read."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from records.exchange.catalogue import tables
from records.exchange.scratch import Problem
from records.rules.csvtext import LONGEST_RECORD
from records.rules.text import shown

ENDING = ".csv"


@dataclass(frozen=True, slots=True)
class Folder:
    """The registers of a folder by the format's names, what is skipped, and what is wrong with the folder itself.

    `lost`: the registers that may be in files which were not read, so that it is not known which records they hold.
    """

    files: dict[str, Path]
    skipped: tuple[str, ...]
    problems: tuple[Problem, ...]
    lost: frozenset[str]


def named(path: Path) -> str:
    """The last part of the path, as text that can be kept and printed: bytes that are none are escaped."""
    return _printable(path.name) or _printable(str(path))


def _printable(name: str) -> str:
    return os.fsencode(name).decode("utf-8", "backslashreplace")


def look_into(path: Path) -> Folder:
    """Sort the folder's files."""
    try:
        entries = sorted(path.iterdir(), key=lambda entry: entry.name)
    except OSError as trouble:
        says = f"it is not a folder that can be read ({trouble.strerror}): a folder of registers was expected"
        return Folder({}, (), (Problem(_printable(str(path)), 0, "", says),), frozenset())
    registers = [entry for entry in entries if entry.name.lower().endswith(ENDING) and not os.path.isdir(entry)]
    folder = _sorted(registers, tuple(entry.name for entry in entries if entry not in registers))
    if not registers:
        says = f"the folder holds no register: one or more of {', '.join(tables())} was expected"
        return replace(folder, problems=(Problem(named(path.resolve()), 0, "", says),))
    return folder


def _sorted(registers: list[Path], skipped: tuple[str, ...]) -> Folder:
    files: dict[str, Path] = {}
    problems: list[Problem] = []
    lost: set[str] = set()
    for entry in registers:
        name = entry.name[: -len(ENDING)] + ENDING
        if fault := _fault(entry, name, files):
            problems.append(Problem(named(entry), 0, "", fault))
            lost.add(name)
        else:
            files[name] = entry
    if lost - tables().keys():
        lost |= tables().keys() - files.keys()
    return Folder(files, skipped, tuple(problems), frozenset(lost & tables().keys()))


def _fault(entry: Path, name: str, files: dict[str, Path]) -> str:
    """Why the file is not read as the register of that name; empty where it is."""
    if name not in tables():
        return f"{shown(entry.name)} is not a register: one of {', '.join(tables())} was expected"
    if not os.path.isfile(entry):
        return "it is not a regular file: a file of text was expected"
    return f"{files[name].name} is there too: one {name} was expected" if name in files else ""


@contextmanager
def opened(path: Path) -> Iterator[Iterator[str]]:
    """The file's lines, none read further than a record may be long. Bytes that are not UTF-8 come through as escapes, to be reported where they stand."""
    with path.open(encoding="utf-8-sig", errors="surrogateescape", newline="") as file:
        yield iter(lambda: file.readline(LONGEST_RECORD + 1), "")
