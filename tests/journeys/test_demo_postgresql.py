"""The demo command on a server, where it cannot start afresh: it keeps what is there, and says so."""

import os
import re
import subprocess
import sys

import pytest
from django.db import connection

from tests.house.source import ROOT
from tests.locates.test_demo_scenario import BLOCKED, LIVED, MAY_BE_SIGNED

pytestmark = [pytest.mark.database, pytest.mark.skipif(connection.vendor != "postgresql", reason="the tests run on SQLite")]
NAME = f"spadework_demo_{os.getpid()}"
SERVER = re.compile(r"/[^/?]+(\?|$)")


@pytest.fixture(scope="module")
def server(django_db_blocker):
    """The address of a database of its own on the tests' server."""
    with django_db_blocker.unblock(), connection._nodb_cursor() as cursor:
        cursor.execute(f"CREATE DATABASE {NAME}")
    yield SERVER.sub(rf"/{NAME}\1", os.environ["DATABASE_URL"], count=1)
    with django_db_blocker.unblock(), connection._nodb_cursor() as cursor:
        cursor.execute(f"DROP DATABASE {NAME} WITH (FORCE)")


@pytest.fixture(scope="module")
def runs(server, tmp_path_factory):
    """Twice into the same database."""
    out = tmp_path_factory.mktemp("papers")
    command = [sys.executable, "manage.py", "demo", "--no-serve", "--out", str(out)]
    env = {name: value for name, value in os.environ.items() if name != "DJANGO_SETTINGS_MODULE"} | {
        "DATABASE_URL": server,
        "SPADEWORK_SEAL": f"{out}.seal.pem",
        "SPADEWORK_FILES": f"{out}.files",
    }
    return [subprocess.run(command, cwd=ROOT, env=env, capture_output=True, text=True, check=False, timeout=180) for _ in range(2)]


def test_the_second_run_keeps_the_demo_firm_and_says_so(runs):
    assert [run.returncode for run in runs] == [0, 0], runs[0].stderr + runs[1].stderr
    assert ("was kept" in runs[0].stdout, "was kept" in runs[1].stdout) == (False, True)


def test_both_runs_say_the_same_of_every_permit(runs):
    said = [re.findall(r"^  ([QTB]-\d+)", run.stdout.split("Sign in as")[0], re.MULTILINE) for run in runs]
    assert said[0] == said[1]
    assert set(said[0]) == MAY_BE_SIGNED | set(BLOCKED) | set(LIVED)
