"""A command on a database without tables says what to do."""

import pytest
from django.core.management import CommandError, call_command
from django.db import connection


@pytest.mark.django_db
@pytest.mark.parametrize(
    "command", [("load", "folder"), ("export", "folder"), ("assess",), ("permit_pdf", "PD-1", "--out", "x.pdf"), ("verify",), ("set_password", "P-1")]
)
def test_a_database_without_tables_is_said_so(command, monkeypatch):
    monkeypatch.setattr(connection.introspection, "table_names", list)
    with pytest.raises(CommandError, match="run `manage") as told:
        call_command(*command)
    assert told.value.returncode == 2
