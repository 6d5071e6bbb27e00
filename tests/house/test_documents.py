"""The documents are held to the code."""

import ast
import re
from pathlib import Path

import pytest
from django.apps import apps
from django.core.management import find_commands, get_commands

from tests.house.source import PACKAGES, ROOT, imported, modules, packages

README = (ROOT / "README.md").read_text()
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text()
START = "python3 -m venv .venv && .venv/bin/pip install -r requirements.txt && .venv/bin/python manage.py demo"
TEST = "python3 -m venv .venv && .venv/bin/pip install -r tests/requirements.txt && .venv/bin/python -m pytest"
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "manage.py", "requirements.txt", "records", "training", "locates", "templates", "tests"}
SETTING = re.compile(r"\b(?:SPADEWORK_[A-Z_]+|DATABASE_URL)\b")
FRAMEWORKS = {name for app in apps.get_app_configs() if app.name.startswith("django.") for name in find_commands(f"{app.path}/management")}
OUR_COMMANDS = {name for name, app in get_commands().items() if app.split(".")[0] in PACKAGES} - FRAMEWORKS


def dependencies(path: Path) -> list[str]:
    lines = [line.split("#")[0].strip() for line in path.read_text().splitlines()]
    return [re.split(r"[\[<>=;~ ]", line)[0] for line in lines if line and not line.startswith("-r")]


REQUIRED = [*dependencies(ROOT / "requirements.txt"), *dependencies(ROOT / "tests" / "requirements.txt")]


@pytest.mark.parametrize("line", [START, TEST])
def test_the_readme_gives_the_command_line(line: str) -> None:
    assert f"\n{line}\n" in README


@pytest.mark.parametrize("name", packages())
def test_the_developers_page_has_a_paragraph_for_the_package(name: str) -> None:
    assert re.search(rf"^\*\*`{re.escape(name)}`\*\* ", DEVELOPERS, re.MULTILINE)


def test_the_developers_page_names_no_package_that_is_gone() -> None:
    named = set(re.findall(r"^\*\*`([a-z._]+)`\*\* ", DEVELOPERS, re.MULTILINE))
    assert named == set(packages())


@pytest.mark.parametrize("name", REQUIRED)
def test_each_dependency_has_its_reason_and_licence(name: str) -> None:
    assert re.search(rf"^\| `{re.escape(name)}` \| .{{10,}} \| .{{2,}} \|$", DEVELOPERS, re.MULTILINE)


def test_the_readme_names_every_command() -> None:
    assert OUR_COMMANDS
    assert [name for name in OUR_COMMANDS if f"manage.py {name}" not in README] == []


def test_every_command_that_the_documents_name_is_there() -> None:
    named = set(re.findall(r"manage\.py ([a-z_]+)", README + DEVELOPERS))
    assert named - set(get_commands()) == set()


def test_the_readme_tells_every_setting_and_no_other() -> None:
    read = set(SETTING.findall((ROOT / "records" / "settings.py").read_text()))
    assert set(SETTING.findall(README)) == read


def test_every_dependency_is_imported_or_named_by_the_code() -> None:
    """What nothing uses is not carried along."""
    used = {names[-1].split(".")[0] for module in modules().values() for names in imported(module.tree)}
    by_name = {"argon2-cffi", "psycopg", "gunicorn", "whitenoise", "crispy-bootstrap5"}  # named by a setting, or run from the shell
    as_imported = {"python-dateutil": "dateutil", "python-bidi": "bidi", "django-crispy-forms": "crispy_forms", "Django": "django", "Pillow": "PIL"}
    asked = set(dependencies(ROOT / "requirements.txt")) - by_name
    assert [name for name in asked if as_imported.get(name, name) not in used] == []


def test_the_top_level_holds_the_agreed_names_only() -> None:
    stray = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")} - TOP_LEVEL
    assert [name for name in stray if not name.startswith(("spadework", "permits-pdf"))] == []


def test_every_file_of_code_opens_with_what_it_is_for() -> None:
    files = [module for module in modules().values() if ".migrations" not in module.name and not module.name.endswith("management.commands")]
    assert [module.name for module in files if not ast.get_docstring(module.tree)] == []
