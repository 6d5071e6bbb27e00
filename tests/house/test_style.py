"""The linter and the formatter, and what they must not let through."""

import re
import subprocess
import sys

import pytest

from tests.house.source import ROOT, is_migration, modules

RUFF = [sys.executable, "-m", "ruff"]

BARRED = {
    "a hidden import": ("def f() -> None:\n    import json\n\n    json.loads('')\n", "PLC0415"),
    "a star import": ("from json import *\n", "F403"),
    "a bare except": ("try:\n    pass\nexcept:\n    pass\n", "E722"),
    "a relative import": ("from . import json\n\njson\n", "TID252"),
    "a mark of work left": ("# TODO: mend this\n", "FIX002"),
    "an unannotated function": ("def f(x):\n    return x\n", "ANN001"),
    "a naive instant": ("import datetime\n\ndatetime.datetime(2026, 1, 1)\n", "DTZ001"),
    "a leftover print": ("print('here')\n", "T201"),
    "a breakpoint": ("breakpoint()\n", "T100"),
    "an unused import": ("import json\n", "F401"),
}


def ruff(*words: str, given: str | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run([*RUFF, *words], cwd=ROOT, input=given, capture_output=True, text=True, check=False)


def test_the_linter_finds_nothing() -> None:
    done = ruff("check", "--no-cache", "--output-format=concise", ".")
    assert done.returncode == 0, done.stdout


def test_the_formatter_would_change_nothing() -> None:
    done = ruff("format", "--no-cache", "--check", ".")
    assert re.findall(r"--> (\S+?):\d", done.stdout) == []
    assert done.returncode == 0


@pytest.mark.parametrize("what", BARRED)
def test_the_linter_bars(what: str) -> None:
    code, rule = BARRED[what]
    done = ruff("check", "--no-cache", "--output-format=concise", "--stdin-filename=records/example.py", "-", given=code)
    assert f" {rule} " in done.stdout


def test_no_line_of_the_code_silences_the_linter() -> None:
    assert [module.name for module in modules().values() if "# noqa" in module.path.read_text() and not is_migration(module)] == []
