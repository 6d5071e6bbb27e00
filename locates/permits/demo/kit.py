"""The invented firm's instruments: calibrations, self-tests and the checks made before use. Serial numbers are made up."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import NamedTuple

from locates.permits.demo.days import Calendar, settle

GOOD = ("in_tolerance", "in_tolerance")
ADJUSTED = ("out_of_tolerance", "in_tolerance")
FIRST_USE, LAST_USE, EVERY = 248, 26, 4  # working days back: a year of use, up to the records told one by one
SELF_TEST_EVERY = 20
LABORATORIES = ("Fathom Bench Calibration", "Ridgeway Instrument House")
USE_NOTES = ("", "", "Battery changed", "", "Wet cable reel dried first", "")


class Instrument(NamedTuple):
    """`calibrated`: days since each calibration. `keeper` makes the self-tests and everyday checks. `months` and `self_test_days` none: it needs none."""

    instrument: str
    kind: str
    serial_no: str
    description: str
    keeper: str
    calibrated: tuple[int, ...]
    months: str = "12"
    self_test_days: str = "none"
    out_of_service: int | None = None
    hired_until: int | None = None
    last_self_test: int = 2


UK = (
    Instrument("RX-11", "receiver", "RX-440-17183", "Receiver, yellow case 1", "P-14", (512, 148), self_test_days="35"),
    Instrument("RX-12", "receiver", "RX-440-17190", "Receiver, yellow case 2", "P-15", (498, 133), self_test_days="35"),
    Instrument("RX-13", "receiver", "RX-415-09226", "Receiver, older pattern, spare", "P-16", (735, 369), self_test_days="35"),
    Instrument("TX-21", "transmitter", "TX-81-5503", "Transmitter, yellow case 1", "P-14", (512, 148)),
    Instrument("TX-22", "transmitter", "TX-81-5517", "Transmitter, yellow case 2", "P-15", (498, 349)),
    Instrument("CL-31", "clamp", "CL-100-771", "Signal clamp, 100 mm", "P-15", (), "none"),
    Instrument("SO-41", "sonde", "SO-38-2260", "Sonde, 38 mm, on 60 m of rod", "P-14", (300,)),
)
NZ = (
    Instrument("RX-14", "receiver", "RX-440-20415", "Receiver, harbour store", "P-17", (430, 66), self_test_days="35"),
    Instrument("RX-15", "receiver", "RX-440-20422", "Receiver, harbour store, second", "P-18", (401, 38, 3), self_test_days="35"),
    Instrument("TX-23", "transmitter", "TX-81-6120", "Transmitter, harbour store", "P-17", (430, 66)),
    Instrument("CL-32", "clamp", "CL-50-1043", "Signal clamp, 50 mm", "P-17", (), "none", out_of_service=2),
    Instrument("SO-42", "sonde", "SO-38-2391", "Sonde, 38 mm, hired", "P-17", (120,), hired_until=12),
)
# carried together: receiver, transmitter, clamp, sonde
CASE_1 = ("RX-11", "TX-21")
CASE_2 = ("RX-12", "TX-22", "CL-31")
SPARE = ("RX-13", "TX-21")
HARBOUR = ("RX-14", "TX-23")
HARBOUR_SECOND = ("RX-15", "TX-23")

STORE = {"Europe/London": UK, "Pacific/Auckland": NZ}

# what a laboratory found on the day it was not as it should be: instrument and days since
FOUND_OUT = {("RX-15", 3): ADJUSTED, ("TX-22", 349): ADJUSTED}


def _days_back(days: Calendar, back: int | None) -> str:
    return "" if back is None else days.day(back).isoformat()


def instrument_rows(days: Calendar, store: tuple[Instrument, ...]) -> list[dict[str, str]]:
    return [
        {
            "instrument": one.instrument,
            "kind": one.kind,
            "serial_no": one.serial_no,
            "description": one.description,
            "calibration_months": one.months,
            "self_test_days": one.self_test_days,
            "out_of_service_from": _days_back(days, one.out_of_service),
            "hired_until": _days_back(days, one.hired_until),
        }
        for one in store
    ]


def calibration_rows(days: Calendar, store: tuple[Instrument, ...]) -> list[dict[str, str]]:
    return [_calibration(days, one, number, back) for one in store for number, back in enumerate(one.calibrated, 1)]


def _calibration(days: Calendar, one: Instrument, number: int, back: int) -> dict[str, str]:
    found, left = FOUND_OUT.get((one.instrument, back), GOOD)
    return {
        "calibration": f"CAL-{one.instrument}-{number}",
        "instrument": one.instrument,
        "calibrated_on": settle(days.day(back)).isoformat(),
        "laboratory": LABORATORIES[(back + number) % 2],
        "certificate_no": f"C{7000 + 13 * back}",
        "as_found": found,
        "as_left": left,
    }


def check(days: Calendar, name: str, instrument: str, kind: str, at: datetime, person: str, result: str = "pass", note: str = "") -> dict[str, str]:
    row = {"check": name, "instrument": instrument, "kind": kind, "checked_at": days.text(at)}
    return row | {"person": person, "result": result, "note": note}


def everyday_checks(days: Calendar, store: tuple[Instrument, ...]) -> list[dict[str, str]]:
    """Before each use through the year. Now and then one fails; the fault is mended and the check passed within the hour."""
    return [row for shift, one in enumerate(store) for row in _uses(days, one, shift)]


def _uses(days: Calendar, one: Instrument, shift: int) -> Iterator[dict[str, str]]:
    for number, back in enumerate(range(FIRST_USE - shift % EVERY, LAST_USE, -EVERY), 1):
        at = days.clock(days.worked(back), "07:05") + timedelta(minutes=(7 * number + 11 * shift) % 40)
        name = f"CH-{one.instrument}-{number:03d}"
        failed = (number + 5 * shift) % 29 == 0
        if failed:
            yield check(days, f"{name}F", one.instrument, "before_use", at, one.keeper, "fail", "No signal on the test line: lead broken at the plug")
        note = "Lead replaced, checked again" if failed else USE_NOTES[(number + shift) % len(USE_NOTES)]
        yield check(days, name, one.instrument, "before_use", at + timedelta(minutes=45 * failed), one.keeper, "pass", note)


def self_tests(days: Calendar, store: tuple[Instrument, ...]) -> list[dict[str, str]]:
    """Every four weeks, those that need it, up to the working day named for each."""
    return [
        check(days, f"ST-{one.instrument}-{number:02d}", one.instrument, "self_test", days.clock(days.worked(back), "06:40"), one.keeper)
        for one in store
        if one.self_test_days != "none"
        for number, back in enumerate(range(one.last_self_test + 12 * SELF_TEST_EVERY, one.last_self_test - 1, -SELF_TEST_EVERY), 1)
    ]
