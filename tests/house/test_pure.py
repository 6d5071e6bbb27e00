"""The pure core loads where there is no Django, and uses nothing but what it says."""

import subprocess
import sys

import pytest

from tests.house.source import ROOT, Module, imported, modules, named

PURE = named("rules", "chain", "sheet")
PAPER = named("paper")
DOORS_AWAY = {"os", "socket", "subprocess", "sqlite3", "urllib", "pathlib", "random", "secrets"}
RULES_MAY_USE = (set(sys.stdlib_module_names) - DOORS_AWAY) | {"dateutil", "shapely", "pyproj", "defusedxml"}
PAPER_MAY_USE = set(sys.stdlib_module_names) | {"dateutil", "shapely", "reportlab", "bidi", "segno"}

WITHOUT_DJANGO = """
import importlib, sys

class Refusal:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in ("django", "crispy_forms", "psycopg"):
            raise ImportError(f"{name} is out of reach")

sys.meta_path.insert(0, Refusal())
for name in sys.argv[1:]:
    importlib.import_module(name)
print(len(sys.argv) - 1, "loaded")
"""


def loaded_without_django(*names: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-c", WITHOUT_DJANGO, *names], cwd=ROOT, capture_output=True, text=True, check=False)


def strangers(module: Module, allowed: set[str]) -> list[str]:
    """What it imports that is neither allowed nor of the house's pure part."""
    pure = {other.name for other in (*PURE, *PAPER)}
    found = [names for names in imported(module.tree) if names[-1].split(".")[0] not in allowed]
    return [f"{module.name} → {names[0]}" for names in found if not pure & set(names)]


def test_the_pure_part_loads_without_django() -> None:
    names = [module.name for module in (*PURE, *PAPER)]
    done = loaded_without_django(*names)
    assert done.stdout == f"{len(names)} loaded\n", done.stderr


def test_the_trap_closes_on_what_needs_django() -> None:
    assert "out of reach" in loaded_without_django("records.base").stderr


def test_rules_use_the_standard_library_dates_shapes_projections_and_safe_xml_only() -> None:
    assert sum((strangers(module, RULES_MAY_USE) for module in PURE), []) == []


def test_paper_adds_only_what_draws_it() -> None:
    assert sum((strangers(module, PAPER_MAY_USE) for module in PAPER), []) == []


@pytest.mark.parametrize("core", ["records.rules.dates", "records.rules.cover", "records.ledger.chain", "locates.permits.rules.gate", "locates.permits.sheet"])
def test_the_core_is_among_the_pure(core: str) -> None:
    assert core in {module.name for module in PURE}


def test_the_rules_own_tests_need_no_django() -> None:
    files = sorted((ROOT / "tests" / "rules").rglob("test_*.py"))
    assert files
    assert [path.name for path in files if "django" in path.read_text()] == []


def test_a_quarter_of_the_code_loads_without_django() -> None:
    def lines(some: list[Module]) -> int:
        return sum(len(module.path.read_text().splitlines()) for module in some if ".migrations" not in module.name)

    assert lines([*PURE, *PAPER]) >= 0.25 * lines(list(modules().values()))
