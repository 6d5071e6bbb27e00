"""Small things: functions and files that fit on a screen, templates that extend one base."""

import ast
import re
from statistics import median

import pytest

from tests.house.source import ROOT, is_migration, modules

HOUSE = [module for module in modules().values() if not is_migration(module)]
FUNCTIONS = [
    (f"{module.name}.{node.name}", node.end_lineno - node.lineno + 1)
    for module in HOUSE
    for node in ast.walk(module.tree)
    if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
]
TEMPLATES = {path.relative_to(ROOT / "templates").as_posix(): path.read_text() for path in sorted((ROOT / "templates").rglob("*.html"))}
# Made by the framework; and the second reading of the gate's rules, which is to share nothing with this house, its hand included.
LEFT_AS_IT_IS = {"migrations", "second_reading"}
EXTENDS = re.compile(r"\{%\s*extends\s+[\"']([^\"']+)")
INCLUDES = re.compile(r"\{%\s*include\s+[\"']([^\"']+)")


def test_no_function_is_longer_than_a_screen() -> None:
    assert [f"{name}: {length}" for name, length in FUNCTIONS if length > 40] == []


def test_half_of_the_functions_have_seven_lines_at_most() -> None:
    assert median(length for _, length in FUNCTIONS) <= 7


@pytest.mark.parametrize("folder", ["records", "training", "locates", "tests"])
def test_no_file_is_longer_than_300_lines(folder: str) -> None:
    paths = [path for path in (ROOT / folder).rglob("*.py") if not LEFT_AS_IT_IS & set(path.parts)]
    sizes = {path: len(path.read_text().splitlines()) for path in paths}
    assert [f"{path.relative_to(ROOT)}: {lines}" for path, lines in sizes.items() if lines > 300] == []


def test_no_template_is_longer_than_120_lines() -> None:
    assert [name for name, text in TEMPLATES.items() if len(text.splitlines()) > 120] == []


def test_a_page_extends_the_one_base_and_nothing_deeper() -> None:
    bases = {base for text in TEMPLATES.values() for base in EXTENDS.findall(text)}
    assert "base.html" in bases
    assert [base for base in bases if base in TEMPLATES and EXTENDS.search(TEMPLATES[base])] == []


def test_what_pages_share_has_a_leading_underscore() -> None:
    shared = {part for text in TEMPLATES.values() for part in INCLUDES.findall(text)}
    assert [part for part in shared if not part.split("/")[-1].startswith("_")] == []


def test_every_shared_part_is_used() -> None:
    every = "".join(TEMPLATES.values()) + "".join(module.path.read_text() for module in HOUSE)
    assert [name for name in TEMPLATES if name.split("/")[-1].startswith("_") and name not in every] == []


def test_templates_carry_no_style_or_script_of_their_own() -> None:
    """The content policy lets the browser run neither."""
    inline = re.compile(r"\sstyle=|\son[a-z]+=[\"']|<style|<script(?![^>]*\ssrc=)")
    assert [name for name, text in TEMPLATES.items() if inline.search(text)] == []
