"""The whole scenario as a register folder. Pure: the same day or instant gives the same rows."""

import csv
from collections.abc import Iterable
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from locates.permits.demo import grid, ground, kit, owners, people, plans, sequels, trials
from locates.permits.demo.brindlewick import BRINDLEWICK
from locates.permits.demo.days import Calendar, instant
from locates.permits.demo.numbers import rule_rows
from locates.permits.demo.parts import Dig, Place
from locates.permits.demo.past import past_searches
from locates.permits.demo.quarnmouth import QUARNMOUTH
from locates.permits.demo.tawharoa import TAWHAROA

PLACES = (QUARNMOUTH, TAWHAROA, BRINDLEWICK)
HOME = ZoneInfo("Europe/London")

Rows = list[dict[str, str]]


def scenario(today: date | datetime) -> dict[str, Rows]:
    """Every file of the register folder, by its name, for a firm that looks at its records at this instant (a day: at its noon in UTC)."""
    at = instant(today)
    home = Calendar(at, HOME)
    files: dict[str, Rows] = {
        "rules.csv": rule_rows(home),
        "sites.csv": [_site(place) for place in PLACES],
        "grids.csv": [_grid(place) for place in PLACES if any(place.grid)],
        "people.csv": people.people_rows(home),
        "postings.csv": people.posting_rows(home, map(_at_work, PLACES)),
        "needs.csv": people.need_rows(home),
        "courses.csv": people.course_rows(),
        "awards.csv": people.award_rows(home),
        "owner_needs.csv": owners.need_rows(home),
        "service_ratings.csv": owners.rating_rows(home),
        "emergencies.csv": sequels.emergency_rows(home),
        "followings.csv": sequels.following_rows(),
        "wrong_plans.csv": sequels.wrong_plan_rows(home),
        "owner_agreements.csv": owners.agreement_rows(TAWHAROA.site, Calendar(at, ZoneInfo(TAWHAROA.time_zone))),
    }
    for part in (*(_store(Calendar(at, ZoneInfo(zone)), store) for zone, store in kit.STORE.items()), *(_place(place, at) for place in PLACES)):
        for name, rows in part.items():
            files.setdefault(name, []).extend(rows)
    return files


def write(folder: Path, at: date | datetime) -> None:
    """Write the scenario into an existing folder, one CSV file a register."""
    for name, rows in scenario(at).items():
        with (folder / name).open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)


def identifiers(files: dict[str, Rows]) -> dict[str, frozenset[str]]:
    """By file, the names of its records: the first column, which is the same on whatever day the scenario is made."""
    return {name: frozenset(next(iter(row.values())) for row in rows) for name, rows in files.items()}


def _site(place: Place) -> dict[str, str]:
    row = {"site": place.site, "name": place.name, "time_zone": place.time_zone, "rule_set": place.rule_set}
    return row | {"owners_to_ask": ";".join(place.owners.values())}


def _grid(place: Place) -> dict[str, str]:
    crs, east, north = place.grid
    return {"site": place.site, "crs": crs, "east_0": east, "north_0": north, "turned_deg": ""}


def _at_work(place: Place) -> tuple[str, list[str], list[str]]:
    """The site, those who issue and accept its permits, and those who search its ground."""
    return place.site, [one for dig in place.digs for one in (dig.issuer, dig.receiver)], [search.operator for search in place.searches]


def _store(days: Calendar, store: tuple[kit.Instrument, ...]) -> dict[str, Rows]:
    return {
        "instruments.csv": kit.instrument_rows(days, store),
        "calibrations.csv": kit.calibration_rows(days, store),
        "checks.csv": kit.everyday_checks(days, store) + kit.self_tests(days, store),
    }


def _place(place: Place, at: datetime) -> dict[str, Rows]:
    days = Calendar(at, ZoneInfo(place.time_zone))
    answers = plans.answers(place)
    streets_before = sum(len(other.streets) for other in PLACES[: PLACES.index(place)])
    searches = (*past_searches(place, streets_before), *place.searches)
    return {
        "checks.csv": _all(ground.checks_before(days, search) for search in searches),
        "enquiries.csv": [plans.enquiry_row(place, days, one) for one in answers],
        "plan_services.csv": _all(plans.service_rows(one) for one in answers),
        "locates.csv": [ground.locate_row(place, days, search) for search in searches],
        "sweeps.csv": _all(ground.sweep_rows(place, search) for search in searches),
        "traces.csv": _all(ground.trace_rows(place, answers, search) for search in searches),
        "outcomes.csv": _all(ground.outcome_rows(place, answers, search) for search in searches),
        "permits.csv": [_permit(place, days, dig) for dig in place.digs],
        "trial_holes.csv": _all(trials.hole_rows(place, days, search) for search in searches),
        "planned_lines.csv": _all(trials.line_rows(one) for one in answers),
        "reports.csv": trials.report_rows(place, days, answers, searches),
    }


def _permit(place: Place, days: Calendar, dig: Dig) -> dict[str, str]:
    street = ground.street_of(place, dig.street)
    return {
        "permit": dig.permit,
        "site": place.site,
        "locate": dig.locate,
        "work": f"{street.name}: {dig.work}",
        "outline": grid.polygon(street, dig.outline),
        "depth_m": dig.depth,
        "method": dig.method,
        "valid_from": days.text(days.clock(days.day(-dig.opens), dig.hours[0])),
        "valid_to": days.text(days.clock(days.day(-dig.closes), dig.hours[1])),
        "issuer": dig.issuer,
        "receiver": dig.receiver,
        "crew": dig.crew,
    }


def _all(parts: Iterable[Rows]) -> Rows:
    return [row for part in parts for row in part]
