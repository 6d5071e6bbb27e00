"""The code as data: its modules, what each imports, and where it stands in the house."""

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[2]
PACKAGES = ("records", "training", "locates")

# From the ground up: a module may import what stands on its own storey or below.
STOREYS = (
    "records.rules",
    "records",
    "records.ledger",
    "records.firm",
    "records.letters",
    "records.exchange",
    "records.files",
    "records.books",
    "training",
    "locates.rules",
    "locates.grids",
    "locates.instruments",
    "locates.surveys",
    "locates.owners",
    "locates.permits",
    "locates.life",
    "locates.papers",
    "locates.recall",
    "locates.trials",
    "locates.logs",
    "locates.fieldwork",
    "locates.lookovers",
    "locates.desks",
    "locates.watch",
)
# These join the apps by name; nobody imports them.
JOINTS = ("records.settings", "records.urls", "records.wsgi")
# From left to right: inside an app, a file may import what stands to its left.
FILES = ("rules", "chain", "sheet", "paper", "models", "journal", "facts", "actions", "registers", "books", "forms", "views", "urls", "management")
SAME_PLACE = {"sheet": "chain"}


@dataclass(frozen=True)
class Module:
    name: str
    path: Path

    @property
    def tree(self) -> ast.Module:
        return parsed(self.path)

    @property
    def storey(self) -> str:
        """The longest package of STOREYS that holds it; none for a folder that only holds storeys."""
        return max((storey for storey in STOREYS if f"{self.name}.".startswith(f"{storey}.")), key=len, default="")

    @property
    def file(self) -> str:
        """Its file's name in the house, or its folder's, inside its app."""
        return self.name.removeprefix(self.storey).strip(".").split(".")[0] if not self.storey.endswith("rules") else "rules"

    @property
    def place(self) -> int | None:
        """Its place from left to right; None for a file of the app's own."""
        return FILES.index(SAME_PLACE.get(self.file, self.file)) if self.file in FILES else None


@cache
def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text(), str(path))


@cache
def modules() -> dict[str, Module]:
    """Every module of the house by its dotted name."""
    found = {}
    for path in sorted(path for package in PACKAGES for path in (ROOT / package).rglob("*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        found[name] = Module(name, path)
    return found


def named(*files: str) -> list[Module]:
    """The modules that stand under one of these names in their app."""
    return [module for module in modules().values() if module.file in files]


def is_migration(module: Module) -> bool:
    return ".migrations" in module.name


def imported(tree: ast.Module) -> Iterator[tuple[str, ...]]:
    """What each import statement may mean: the module named, and for `from a import b` also `a.b`."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((alias.name,) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield from ((f"{node.module}.{alias.name}", node.module or "") for alias in node.names)


@cache
def own_imports(module: Module) -> frozenset[Module]:
    """The modules of the house that it imports."""
    known = modules()
    hits = (next((name for name in names if name in known), None) for names in imported(module.tree))
    return frozenset(known[name] for name in hits if name is not None)


def reached(module: Module) -> set[Module]:
    """All modules of the house that it imports, directly or through others."""
    found: set[Module] = set()
    waiting = [module]
    while waiting:
        fresh = own_imports(waiting.pop()) - found
        found |= fresh
        waiting += fresh
    return found


def loops(edges: dict[str, set[str]]) -> list[str]:
    """The names that reach themselves."""
    reach = {name: set(targets) for name, targets in edges.items()}
    for middle in reach:
        for targets in reach.values():
            if middle in targets:
                targets |= reach[middle]
    return sorted(name for name, targets in reach.items() if name in targets)


def packages() -> list[str]:
    """The packages of the house, from the top down, without those that every app has."""
    folders = [module.name for module in modules().values() if module.path.name == "__init__.py"]
    return [name for name in folders if not {"migrations", "management"} & set(name.split("."))]
