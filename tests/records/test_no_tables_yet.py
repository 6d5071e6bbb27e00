"""A command on a database without tables says what to do."""

import json
import os
import subprocess
import sys

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from tests.house.source import ROOT


@pytest.mark.django_db
@pytest.mark.parametrize(
    "command", [("export", "folder"), ("assess",), ("permit_pdf", "PD-1", "--out", "x.pdf"), ("verify",), ("set_password", "P-1"), ("watch",)]
)
def test_a_database_without_tables_is_said_so(command, monkeypatch):
    monkeypatch.setattr(connection.introspection, "table_names", list)
    with pytest.raises(CommandError, match="run `manage") as told:
        call_command(*command)
    assert told.value.returncode == 2


def test_a_load_into_a_database_without_any_table_makes_them_first(tmp_path):
    folder, there = tmp_path / "registers", {**os.environ, "DATABASE_URL": f"sqlite:///{tmp_path / 'new.sqlite3'}"}
    folder.mkdir()
    (folder / "people.csv").write_text("person,name\nP1,Ada Moor\n")
    run = subprocess.run([sys.executable, ROOT / "manage.py", "load", folder, "--json"], env=there, capture_output=True, text=True, check=True)
    assert json.loads(run.stdout) == {"written": {"people.csv": 1}, "problems": []}
    assert "its tables are made" in run.stderr
