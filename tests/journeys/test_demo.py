"""The demo command from outside, as a newcomer runs it: a database of its own, the papers, the site, and what it refuses to touch."""

import os
import re
import signal
import socket
import sqlite3
import subprocess
import sys
import time
from http.cookiejar import CookieJar
from pathlib import Path
from urllib.error import HTTPError
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, build_opener

import pytest
from pypdf import PdfReader

from tests.house.source import ROOT
from tests.locates.test_demo_scenario import BLOCKED, LIVED, MAY_BE_SIGNED

PATIENCE = 120  # seconds for one run on a slow machine
SAFE = re.compile(r"\bsafe\b", re.IGNORECASE)


def environment(database):
    kept = {name: value for name, value in os.environ.items() if not name.startswith("SPADEWORK_") and name != "DJANGO_SETTINGS_MODULE"}
    files = {"SPADEWORK_SEAL": f"{database}.seal.pem", "SPADEWORK_FILES": f"{database}.files"}
    return kept | {"DATABASE_URL": f"sqlite:///{database}", "PYTHONUNBUFFERED": "1", **files}


def manage(database, *words):
    command = [sys.executable, "manage.py", *map(str, words)]
    return subprocess.run(command, cwd=ROOT, env=environment(database), capture_output=True, text=True, check=False, timeout=PATIENCE)


def contents(database):
    """Every row of every table."""
    with sqlite3.connect(database) as connection:
        tables = [name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")]
        return {name: connection.execute(f'SELECT * FROM "{name}"').fetchall() for name in tables}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("demo")


@pytest.fixture(scope="module")
def first(folder):
    """The first run, into nothing."""
    return manage(folder / "demo.sqlite3", "demo", "--no-serve", "--out", folder / "papers")


def test_it_says_of_each_permit_whether_it_may_be_signed(first):
    assert first.returncode == 0, first.stderr
    may, blocked = first.stdout.split("MAY BE SIGNED")[1].split("BLOCKED: NOT TO DIG")
    assert set(re.findall(r"^  ([QTB]-\d+)", may, re.MULTILINE)) == MAY_BE_SIGNED
    assert set(re.findall(r"^  ([QTB]-\d+)", blocked, re.MULTILINE)) == set(BLOCKED)


def test_it_gives_every_reason_and_never_says_that_ground_is_safe(first):
    for codes in BLOCKED.values():
        assert all(f" {code} " in first.stdout for code in codes)
    assert not SAFE.search(first.stdout)


def test_it_writes_the_paper_of_every_permit(first, folder):
    assert {path.stem for path in (folder / "papers").iterdir()} == MAY_BE_SIGNED | set(BLOCKED) | set(LIVED)
    assert "NOT TO DIG" in PdfReader(folder / "papers" / "Q-104.pdf").pages[0].extract_text()


def test_it_signs_one_permit_twice_and_one_once(first):
    assert re.search(r"Q-101 .*\n +issued and accepted;", first.stdout)
    assert re.search(r"Q-102 .*\n +issued; to be accepted;", first.stdout)
    assert len(re.findall(r"\n +to be issued;", first.stdout)) == len(MAY_BE_SIGNED) - 2


def test_some_permits_were_signed_days_ago_and_each_stands_otherwise_since(first):
    told = first.stdout.split("SIGNED, AND SINCE")[1].split("MAY BE SIGNED")[0]
    words = ["In force", "Suspended", "Suspended", "Between receivers", "Ended", "Handed back", "Cancelled", "Handed back"]
    assert re.findall(r"^  (Q-\d+).*\n +([A-Z][a-z ]+)\.", told, re.MULTILINE) == list(zip(LIVED, words, strict=True))
    assert "without a seal" not in first.stderr


def test_its_history_holds(first, folder):
    verified = manage(folder / "demo.sqlite3", "verify")
    assert verified.returncode == 0, verified.stdout + verified.stderr


def test_it_leaves_alone_a_database_that_holds_anything_else(tmp_path):
    database = tmp_path / "firm.sqlite3"
    assert manage(database, "migrate", "-v0").returncode == 0
    assert manage(database, "load", "records/firm/starter_rules").returncode == 0
    before = contents(database)
    refused = manage(database, "demo", "--no-serve", "--out", tmp_path / "papers")
    assert (refused.returncode, contents(database), (tmp_path / "papers").exists()) == (2, before, False)
    assert "nothing in it was touched" in refused.stderr


def test_it_leaves_alone_a_demo_firm_to_which_somebody_added_records(first, folder, tmp_path):
    database = tmp_path / "grown.sqlite3"
    with sqlite3.connect(folder / "demo.sqlite3") as source, sqlite3.connect(database) as target:
        source.backup(target)
    (tmp_path / "people.csv").write_text("person,name\nOWN-1,One of our own\n")
    assert manage(database, "load", tmp_path).returncode == 0
    assert manage(database, "demo", "--no-serve", "--out", tmp_path / "papers").returncode == 2


def test_a_file_that_is_no_database_is_left_alone(tmp_path):
    junk = tmp_path / "junk.sqlite3"
    junk.write_bytes(b"no database at all " * 400)
    refused = manage(junk, "demo", "--no-serve", "--out", tmp_path / "papers")
    assert (refused.returncode, junk.read_bytes()) == (2, b"no database at all " * 400)


def test_a_port_that_is_taken_ends_it_before_anything_is_done(tmp_path):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        refused = manage(tmp_path / "none.sqlite3", "demo", "--port", taken.getsockname()[1], "--out", tmp_path / "papers")
    assert (refused.returncode, list(tmp_path.iterdir())) == (2, [])
    assert "--port" in refused.stderr


def test_it_does_nothing_in_production(tmp_path):
    env = environment(tmp_path / "none.sqlite3") | {"SPADEWORK_PRODUCTION": "yes", "SPADEWORK_SECRET_KEY": "x" * 60}
    done = subprocess.run([sys.executable, "manage.py", "demo"], cwd=ROOT, env=env, capture_output=True, text=True, check=False, timeout=PATIENCE)
    assert (done.returncode, list(tmp_path.iterdir())) == (2, [])


class Served:
    """The demo being served, and a browser without scripts."""

    def __init__(self, process, url, said):
        self.process, self.url, self.said = process, url, said
        self.opener = build_opener(HTTPCookieProcessor(CookieJar()))

    def get(self, path, data=None):
        try:
            with self.opener.open(self.url + path, urlencode(data).encode() if data else None, timeout=30) as answer:
                return answer.status, answer.geturl(), answer.read().decode()
        except HTTPError as error:
            return error.code, error.geturl(), ""

    def sign_in(self, person, password):
        page = self.get("/")[2]
        token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', page).group(1)
        return self.get("/sign-in/", {"username": person, "password": password, "next": "/", "csrfmiddlewaretoken": token})


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@pytest.fixture(scope="module")
def served(first, folder):
    """The second run, over the first, this time with the site."""
    port, log = free_port(), folder / "log.txt"
    command = [sys.executable, "manage.py", "demo", "--port", str(port), "--out", str(folder / "papers")]
    with log.open("w") as said:
        process = subprocess.Popen(command, cwd=ROOT, env=environment(folder / "demo.sqlite3"), stdout=said, stderr=subprocess.STDOUT)
    until = time.monotonic() + PATIENCE
    while process.poll() is None and time.monotonic() < until and not listening(port):
        time.sleep(0.2)
    yield Served(process, f"http://127.0.0.1:{port}", Path(log))
    process.send_signal(signal.SIGINT)
    assert process.wait(timeout=30) == 0


def listening(port):
    with socket.socket() as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0


def test_run_again_it_says_that_it_starts_afresh(served):
    assert "starts afresh" in served.said.read_text()
    assert len(re.findall(r"\n +to be issued;", served.said.read_text())) == len(MAY_BE_SIGNED) - 2


def test_the_site_is_served_with_its_style_sheets(served):
    status, _, page = served.get("/")
    sheets = re.findall(r'href="(/static/[^"]+\.css[^"]*)"', page)
    assert (status, {served.get(sheet)[0] for sheet in sheets}) == (200, {200})


def test_the_printed_log_ins_open_the_site(served):
    said = served.said.read_text()
    password = re.search(r"password: (\S+)", said).group(1)
    issuer = re.search(r"(P-\d+) +issuer of Q-103", said).group(1)
    status, url, page = served.sign_in(issuer, password)
    assert (status, "Q-103" in page) == (200, True), url
