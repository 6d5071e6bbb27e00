"""A register folder: which of its files are registers, and which are not read."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TextIO

from records.exchange.catalogue import tables
from records.exchange.scratch import Problem
from records.rules.text import shown

ENDING = ".csv"


@dataclass(frozen=True, slots=True)
class Folder:
    """The registers of a folder by the format's names, what is skipped, and what is wrong with the folder itself."""

    files: dict[str, Path]
    skipped: tuple[str, ...]
    problems: tuple[Problem, ...]


def look_into(path: Path) -> Folder:
    """Sort the folder's files."""
    try:
        entries = sorted(path.iterdir(), key=lambda entry: entry.name)
    except OSError as trouble:
        says = f"it is not a folder that can be read ({trouble.strerror}): a folder of registers was expected"
        return Folder({}, (), (Problem(str(path), 0, "", says),))
    registers = [entry for entry in entries if entry.name.lower().endswith(ENDING) and not entry.is_dir()]
    files: dict[str, Path] = {}
    problems: list[Problem] = []
    for entry in registers:
        name = entry.name[: -len(ENDING)] + ENDING
        if name not in tables():
            expected = ", ".join(tables())
            problems.append(Problem(entry.name, 0, "", f"{shown(entry.name)} is not a register: one of {expected} was expected"))
        elif name in files:
            problems.append(Problem(entry.name, 0, "", f"{files[name].name} is there too: one {name} was expected"))
        else:
            files[name] = entry
    if not registers:
        problems.append(Problem(path.name, 0, "", f"the folder holds no register: one or more of {', '.join(tables())} was expected"))
    return Folder(files, tuple(entry.name for entry in entries if entry not in registers), tuple(problems))


@contextmanager
def opened(path: Path) -> Iterator[TextIO]:
    """The file's text. Bytes that are not UTF-8 come through as escapes, to be reported where they stand."""
    with path.open(encoding="utf-8-sig", errors="surrogateescape", newline="") as file:
        yield file
