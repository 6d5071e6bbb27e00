"""What a log of 100,000 rows costs, against one of 10,000: `pytest tests/bench/bench_logs.py`. Ratios of processor time and of memory."""

import io
import sys
import tracemalloc
from decimal import Decimal
from time import process_time
from zoneinfo import ZoneInfo

import pytest

from locates.grids.rules.projection import projection
from locates.logs.rules.layout import How
from locates.logs.rules.reading import read
from locates.logs.rules.use import Yardstick, account, written

FEW, MANY = 10_000, 100_000
ZONE = ZoneInfo("Pacific/Auckland")
WORDS = {"P": "passive_power", "R": "passive_radio"}
PLAIN = How("utf-8", "comma", 0, ("when", "what", "strength", "x", "y"), False, 0, "epoch", "", 1, "site", None, 2, 3, 4, WORDS)
EARTH = How("utf-8", "comma", 0, ("when", "what", "strength", "x", "y"), False, 0, "epoch", "", 1, "lonlat", None, 2, 3, 4, WORDS)


@pytest.fixture
def say(capsys):
    def said(what: str, value: float, unit: str) -> None:
        with capsys.disabled():
            sys.stdout.write(f"\n{what}: {value:,.2f} {unit}")

    return said


def log(count: int) -> io.BytesIO:
    """Five readings a second along lines half a metre apart, over ever new ground, the mode changing at every line."""
    lines = ["when,what,strength,x,y"]
    for number in range(count):
        leg, step = divmod(number, 100)
        x, y = (step if leg % 2 == 0 else 100 - step) * 0.2, leg * 0.5
        lines.append(f"{1_804_129_500 + number / 5:.1f},{'PR'[leg % 2]},{number % 97},{x:.2f},{y:.2f}")
    return io.BytesIO("\n".join(lines).encode())


def cost(count: int) -> tuple[float, float]:
    """Processor seconds to read and to sum up a log of so many rows."""
    file, begun = log(count), process_time()
    rows = read(file, PLAIN, ZONE)
    between = process_time()
    assert len(rows) == count and not rows.faults
    account(rows, WORDS, ZONE, Yardstick(Decimal(60), Decimal(1), Decimal("0.1")))
    return between - begun, process_time() - between


def peak(count: int) -> float:
    """Megabytes held at most while a log of so many rows is read, its own bytes left out."""
    file = log(count)
    tracemalloc.start()
    read(file, PLAIN, ZONE)
    held = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return held / 1e6


def test_ten_times_the_rows_cost_about_ten_times_the_time(say):
    few, many = map(sum, (cost(FEW), cost(MANY)))
    say("a log of 100,000 rows, against one of 10,000", many / few, "times the time")
    say("100,000 rows", many, "seconds")
    assert many < 30 * few


def test_the_memory_of_rows_is_bounded(say):
    few, many = peak(FEW), peak(MANY)
    say("a log of 100,000 rows, against one of 10,000", many / few, "times the memory")
    say("100,000 rows", many, "MB at most")
    assert many < 16


def test_what_is_kept_of_a_log_does_not_grow_with_its_rows(say):
    by = Yardstick(Decimal(60), Decimal(1), Decimal("0.1"))
    rows = read(log(FEW), PLAIN, ZONE)
    kept = len(written(account(rows, WORDS, ZONE, by)))
    say("kept of 10,000 rows", kept / 1000, "kB")
    assert kept < 100_000


def test_positions_on_the_earth_come_into_the_grid_at_a_bearable_cost(say):
    place = projection("EPSG:2193", 1_756_900.0, 5_920_900.0).to_site
    lines = ["when,what,strength,x,y", *(f"{1_804_129_500 + number},P,1,{174.76 + number / 1e8:.8f},-36.85" for number in range(FEW))]
    begun = process_time()
    rows = read(io.BytesIO("\n".join(lines).encode()), EARTH, ZONE, place)
    say("rows with longitude and latitude", len(rows) / (process_time() - begun), "a second")
    assert len(rows) == FEW and not rows.faults
