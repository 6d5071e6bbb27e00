"""Read a register folder straight into the gate's evidence, without the database: for tests that judge many small registers."""

import csv
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from unicodedata import normalize
from zoneinfo import ZoneInfo

from shapely import from_wkt

from locates.permits.rules import evidence as e
from locates.rules.fitness import Calibration, Check, Instrument
from records.rules.cover import Award
from records.rules.numbers import Row


def rows(folder, name):
    path = next((path for path in Path(folder).iterdir() if path.stem == name and path.suffix.lower() == ".csv"), None)
    if path is None:
        return []
    with path.open(encoding="utf-8-sig", newline="") as file:
        return [{key.strip(): normalize("NFC", (value or "").strip()) for key, value in row.items()} for row in csv.DictReader(file)]


def day(text):
    return date.fromisoformat(text) if text else None


def instant(text):
    return datetime.fromisoformat(text).astimezone(UTC) if text else None


def metres(text):
    return Decimal(text) if text else None


def count(text):
    return None if text in ("none", "") else int(text)


def items(text):
    return tuple(item.strip() for item in (text or "").split(";") if item.strip())


def shape(text):
    return from_wkt(text) if text else None


def grouped(made):
    groups = {}
    for key, value in made:
        groups.setdefault(key, []).append(value)
    return {key: tuple(values) for key, values in groups.items()}


def people(folder):
    courses = {row["course"]: row for row in rows(folder, "courses")}
    awards = grouped((row["person"], award(row, courses[row["course"]])) for row in rows(folder, "awards"))
    return {row["person"]: e.Person(row["person"], row["name"], day(row.get("left_on")), awards.get(row["person"], ())) for row in rows(folder, "people")}


def award(row, course):
    months = count(course["valid_months"])
    return Award(row["award"], frozenset(items(course["authorises"])), day(row["awarded_on"]), months, day(row.get("expires_on")), day(row.get("withdrawn_on")))


def instruments(folder):
    calibrations = grouped(
        (row["instrument"], Calibration(row["calibration"], day(row["calibrated_on"]), day(row.get("due_on")), row["as_found"], row["as_left"]))
        for row in rows(folder, "calibrations")
    )
    checks = grouped((row["instrument"], Check(row["check"], row["kind"], instant(row["checked_at"]), row["result"])) for row in rows(folder, "checks"))
    return {row["instrument"]: instrument(row, calibrations, checks) for row in rows(folder, "instruments")}


def instrument(row, calibrations, checks):
    name = row["instrument"]
    months, days = count(row["calibration_months"]), count(row["self_test_days"])
    out, hired = day(row.get("out_of_service_from")), day(row.get("hired_until"))
    return Instrument(name, row["kind"], row["serial_no"], "", months, days, out, hired, calibrations.get(name, ()), checks.get(name, ()))


def enquiries(folder):
    services = grouped(
        (row["enquiry"], e.PlanService(row["service"], row["enquiry"], row["utility"], row["conductive"] == "yes", items(row.get("same_as"))))
        for row in rows(folder, "plan_services")
    )
    wrong = grouped((row["enquiry"], e.FoundWrong(row["wrong"], instant(row["found_at"]), row["what"])) for row in rows(folder, "wrong_plans"))
    return grouped(
        (
            row["site"],
            e.Enquiry(
                row["enquiry"],
                row["service_owner"],
                day(row["sent_on"]),
                shape(row.get("area")),
                instant(row.get("answered_at")),
                day(row.get("good_through")),
                row.get("nothing_shown") == "yes",
                "",
                items(row.get("replaces")),
                day(row.get("closed_on")),
                row.get("closed_because", ""),
                services.get(row["enquiry"], ()),
                wrong.get(row["enquiry"], ()),
            ),
        )
        for row in rows(folder, "enquiries")
    )


def locates(folder, persons, kit):
    sweeps = grouped(
        (
            row["locate"],
            e.Sweep(row["sweep"], row["technique"], shape(row["area"]), metres(row.get("bearing_deg")), None, metres(row.get("transmitter_offset_m"))),
        )
        for row in rows(folder, "sweeps")
    )
    traces = grouped((row["locate"], trace(row)) for row in rows(folder, "traces"))
    outcomes = grouped((row["locate"], e.Outcome(row["service"], row["outcome"], row["note"])) for row in rows(folder, "outcomes"))
    return {
        row["locate"]: e.Locate(
            row["locate"],
            row["site"],
            persons[row["operator"]],
            kit.get(row["receiver"]),
            instant(row["started_at"]),
            instant(row.get("finished_at")),
            *(kit.get(row.get(kind) or "") for kind in ("transmitter", "clamp", "sonde")),
            *(found.get(row["locate"], ()) for found in (sweeps, traces, outcomes)),
        )
        for row in rows(folder, "locates")
    }


def trace(row):
    lengths = (metres(row.get(name)) for name in ("width_m", "depth_m", "raised_by_m", "raised_depth_m"))
    return e.Trace(row["trace"], row["utility"], row["technique"], shape(row["line"]), row["quality_level"], *lengths, items(row.get("services")))


def emergency(row, persons):
    return row and e.Emergency(row["danger"], row["waiting"], persons[row["decided_by"]], instant(row["decided_at"]))


def evidence(folder):
    """The evidence of every permit in the folder, by permit."""
    persons, kit, asked = people(folder), instruments(folder), enquiries(folder)
    found = locates(folder, persons, kit)
    rules = grouped((row["rule_set"], Row(row["key"], day(row["effective_from"]), row["value"], row.get("source", ""))) for row in rows(folder, "rules"))
    sites = {
        row["site"]: e.Site(row["site"], row["name"], ZoneInfo(row["time_zone"]), row["rule_set"], items(row.get("owners_to_ask")))
        for row in rows(folder, "sites")
    }
    emergencies = {row["permit"]: row for row in rows(folder, "emergencies")}
    made = []
    for row in sorted(rows(folder, "permits"), key=lambda row: row["permit"]):
        site = sites[row["site"]]
        crew = tuple(persons[one] for one in items(row.get("crew")))
        permit = e.Permit(
            row["permit"],
            row["work"],
            shape(row["outline"]),
            Decimal(row["depth_m"]),
            row["method"],
            instant(row["valid_from"]),
            instant(row["valid_to"]),
            persons[row["issuer"]],
            persons[row["receiver"]],
            crew,
        )
        held = rules.get(site.rule_set, ())
        urgent = emergency(emergencies.get(permit.permit), persons)
        made.append(e.Evidence(permit, site, held, asked.get(site.site, ()), found.get(row.get("locate") or ""), emergency=urgent))
    return made
