"""What a large folder costs: `pytest tests/bench/bench_load.py`. How memory grows from 10,000 permits to 100,000, and how many rows a second come in."""

import csv
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.house.source import ROOT

FEW, MANY = 10_000, 100_000
MOST_GROWTH = 1.3  # what is held grows by less than this when ten times as much comes in

RUN = """
import re, sys, time
import django
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0, skip_checks=True)
begun = time.process_time()
call_command(*sys.argv[1:], stdout=open("/dev/null", "w"), stderr=open("/dev/null", "w"))
print(time.process_time() - begun, re.search(r"VmHWM:\\s+([0-9]+)", open("/proc/self/status").read())[1])
"""


def table(folder: Path, name: str, header: str, rows: list[tuple[str, ...]]) -> int:
    with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(header.split())
        writer.writerows(rows)
    return len(rows)


def register(folder: Path, permits: int) -> int:
    """A register of so many permits, with the locates under them; gives its rows."""
    folder.mkdir()
    started, finished = "2027-03-04T07:30+13:00", "2027-03-04T09:30+13:00"
    outline = "POLYGON ((0 0, 10.5 0, 10.5 1.25, 0 1.25, 0 0))"
    people = [(f"P{n}", f"Person {n}") for n in range(500)]
    kit = [(f"I{n}", "receiver", "1", "12", "none") for n in range(50)]
    locates = [(f"L{n}", f"S{n % 100}", f"P{n % 500}", f"I{n % 50}", started, finished) for n in range(permits // 5)]
    digs = [
        (f"G{n}", f"S{n % 100}", f"L{n // 5}", "a trench for a duct", outline, "1.2", "machine", started, finished, f"P{n % 500}", "P1", f"P2;P{3 + n % 490}")
        for n in range(permits)
    ]
    return sum(
        (
            table(folder, "sites", "site name time_zone rule_set", [(f"S{n}", f"Yard {n}", "Pacific/Auckland", "default") for n in range(100)]),
            table(folder, "people", "person name", people),
            table(folder, "instruments", "instrument kind serial_no calibration_months self_test_days", kit),
            table(folder, "locates", "locate site operator receiver started_at finished_at", locates),
            table(folder, "permits", "permit site locate work outline depth_m method valid_from valid_to issuer receiver crew", digs),
        )
    )


def run(tmp_path: Path, database: str, *words: str) -> tuple[float, float]:
    """Seconds of processor time, and the most memory that was held, in MB, of a command in a process of its own."""
    about = os.environ | {"DATABASE_URL": f"sqlite:///{tmp_path / database}", "DJANGO_SETTINGS_MODULE": "records.settings"}
    done = subprocess.run([sys.executable, "-c", RUN, *words], cwd=ROOT, env=about, capture_output=True, text=True, check=True)
    seconds, kilobytes = done.stdout.split()
    return float(seconds), float(kilobytes) / 1024


@pytest.fixture
def say(capsys):
    def said(text: str) -> None:
        with capsys.disabled():
            sys.stdout.write(f"\n{text}")

    return said


def test_memory_stays_bounded_when_ten_times_as_much_comes_in_and_goes_out(tmp_path, say):
    register(tmp_path / "few", FEW)
    rows = register(tmp_path / "many", MANY)
    _, small = run(tmp_path, "few.sqlite3", "load", str(tmp_path / "few"))
    seconds, large = run(tmp_path, "many.sqlite3", "load", str(tmp_path / "many"))
    say(f"load: {small:.0f} MB for {FEW} permits, {large:.0f} MB for {MANY}: {large / small:.2f} times; {rows / seconds:.0f} rows a second")
    again, held = run(tmp_path, "many.sqlite3", "load", str(tmp_path / "many"))
    say(f"the same again, no change: {held:.0f} MB; {rows / again:.0f} rows a second")
    out, most = run(tmp_path, "many.sqlite3", "export", str(tmp_path / "out"))
    say(f"export: {most:.0f} MB; {rows / out:.0f} rows a second\n")
    assert max(large, held, most) / small < MOST_GROWTH
