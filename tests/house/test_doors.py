"""The environment, the clock and the database each have their doors, and no other."""

import ast
import re
from collections.abc import Iterator

from tests.house.source import ROOT, Module, imported, is_migration, modules, named, reached

HOUSE = [module for module in modules().values() if not is_migration(module)]
ENVIRONMENT = {"os.environ", "os.getenv", "os.environb"}
CLOCK = re.compile(
    r"(?:^|\.)(?:(?:datetime|date)\.(?:now|utcnow|today)|timezone\.(?:now|localdate|localtime)|time\.(?:time|time_ns|localtime|gmtime)|functions\.Now"
    r"|auto_now|auto_now_add)$"
)
CLOCK_IN_TEMPLATES = re.compile(r"\{%\s*now\b|\|\s*(?:timesince|timeuntil)\b(?!:)")
WRITES = {"save", "create", "bulk_create", "bulk_update", "get_or_create", "update_or_create", "delete", "set_password", "create_user"}


def dotted(node: ast.AST) -> str:
    return f"{dotted(node.value)}.{node.attr}" if isinstance(node, ast.Attribute) else getattr(node, "id", "")


def words(module: Module) -> Iterator[str]:
    """Every name, attribute, imported name and keyword that it says, attributes with what they hang from."""
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Attribute):
            yield dotted(node)
        elif isinstance(node, ast.keyword):
            yield node.arg or ""
        elif isinstance(node, ast.ImportFrom):
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def written(module: Module) -> list[str]:
    """Each time it asks an object to write."""
    asked = [node.attr for node in ast.walk(module.tree) if isinstance(node, ast.Attribute)]
    return [f"{module.name}: {attribute}" for attribute in asked if attribute in WRITES]


def test_only_the_settings_read_the_environment() -> None:
    readers = {module.name for module in HOUSE if ENVIRONMENT & set(words(module))}
    assert readers == {"records.settings", "records.wsgi"}
    assert set(words(modules()["records.wsgi"])) & ENVIRONMENT == {"os.environ"}


def test_the_server_s_door_only_names_the_settings() -> None:
    assert 'os.environ.setdefault("DJANGO_SETTINGS_MODULE", "records.settings")' in modules()["records.wsgi"].path.read_text()
    assert modules()["records.wsgi"].path.read_text().count("environ") == 1


def test_only_the_clock_reads_the_clock() -> None:
    assert [(module.name, word) for module in HOUSE for word in words(module) if CLOCK.search(word)] == [("records.clock", "datetime.now")]


def test_only_views_and_commands_ask_the_clock() -> None:
    askers = [module for module in HOUSE if any({"records.clock", "records.clock.now"} & set(names) for names in imported(module.tree))]
    assert [module.name for module in askers if module.file not in ("views", "management")] == []
    assert askers


def test_no_template_reads_the_clock() -> None:
    assert [path.name for path in (ROOT / "templates").rglob("*.html") if CLOCK_IN_TEMPLATES.search(path.read_text())] == []


def test_pages_and_facts_write_nothing() -> None:
    readers = named("facts", "forms", "views")
    assert readers
    assert sum(map(written, readers), []) == []


def test_no_page_command_or_paper_judges_by_itself() -> None:
    """They ask the gate: its sections and the rules below it are nobody else's."""
    gate = reached(modules()["locates.permits.rules.gate"])
    sections = {module.name for module in gate if module.storey in ("locates.rules", "locates.permits")} - {"locates.permits.rules.evidence"}
    assert "locates.permits.rules.plans" in sections
    showing = named("sheet", "paper", "registers", "forms", "views", "management")
    asked = [(module.name, name) for module in showing for names in imported(module.tree) for name in names]
    assert [f"{module} → {name}" for module, name in asked if name in sections] == []


def test_the_house_listens_to_no_signal_but_the_migrations_own() -> None:
    listening = [module.name for module in HOUSE for names in imported(module.tree) if "signals" in names[-1] or names[-1] == "django.dispatch"]
    assert set(listening) <= {"records.ledger.apps"}
