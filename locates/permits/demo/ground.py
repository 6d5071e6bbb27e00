"""The searches of the ground, as register rows: locates, sweeps, traces, and how else a service was accounted for."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta

from locates.permits.demo import grid
from locates.permits.demo.days import Calendar
from locates.permits.demo.kit import check
from locates.permits.demo.parts import Buried, Found, Place, Search, Street
from locates.permits.demo.people import name_of
from locates.permits.demo.plans import Answer, known_as

BEYOND = 1.3  # metres: a service farther than this from every dig of the locate is accounted for by word
KIT = ("receiver", "transmitter", "clamp", "sonde")
RAISED_BY = "0.3"
JUST_NOW = timedelta(minutes=50)
MORNING, AFTERNOON = ("08:10", "11:25"), ("12:50", "15:40")
SAYS = "{operator} read the owner's plan on the spot: it lies {metres} m from the edge of the dig at its nearest."


def street_of(site: Place, key: str) -> Street:
    return next(street for street in site.streets if street.key == key)


def buried(street: Street, key: str) -> Buried:
    return next(one for one in street.buried if one.key == key)


def begins(days: Calendar, search: Search) -> datetime:
    if search.under_way:
        return (days.at - JUST_NOW).replace(second=0, microsecond=0)
    return days.clock(_made_on(days, search), hours(search)[0])


def hours(search: Search) -> tuple[str, str]:
    return search.yesterday or (AFTERNOON if search.afternoon else MORNING)


def _made_on(days: Calendar, search: Search) -> date:
    return days.day(1) if search.yesterday else days.worked(search.back)


def locate_row(site: Place, days: Calendar, search: Search) -> dict[str, str]:
    ended = "" if search.under_way else days.text(days.clock(_made_on(days, search), hours(search)[1]))
    carried = dict(zip(KIT, (*search.kit, "", "", ""), strict=False))
    row = {"locate": search.locate, "site": site.site, "operator": search.operator, **carried}
    return row | {"started_at": days.text(begins(days, search)), "finished_at": ended}


def sweep_rows(site: Place, search: Search) -> list[dict[str, str]]:
    street = street_of(site, search.street)
    return [
        {
            "sweep": f"{search.locate}-S{number}",
            "locate": search.locate,
            "technique": walk.technique,
            "area": grid.patch(street, walk.box or search.box),
            "bearing_deg": grid.bearing(street, walk.across),
            "spacing_m": walk.spacing,
            "transmitter_offset_m": walk.offset,
        }
        for number, walk in enumerate(search.walks, 1)
    ]


def trace_rows(site: Place, site_answers: list[Answer], search: Search) -> list[dict[str, str]]:
    street = street_of(site, search.street)
    return [_trace(site_answers, search, street, number, found) for number, found in enumerate(search.found, 1)]


def _trace(site_answers: list[Answer], search: Search, street: Street, number: int, found: Found) -> dict[str, str]:
    service = buried(street, found.key)
    return {
        "trace": f"{search.locate}-T{number}",
        "locate": search.locate,
        "utility": service.utility,
        "technique": found.technique,
        "line": grid.line(street, grid.stretch(service.path, found.within or search.box)),
        "quality_level": found.level,
        "width_m": service.width,
        "depth_m": found.depth,
        "raised_by_m": RAISED_BY if found.raised else "",
        "raised_depth_m": found.raised,
        "services": known_as(site_answers, search.street, found.key, search.back),
    }


def outcome_rows(site: Place, site_answers: list[Answer], search: Search) -> list[dict[str, str]]:
    """What was looked for and not found, and what lies elsewhere on the street by the word of the operator."""
    return list(_outcomes(site, site_answers, search))


def _outcomes(site: Place, site_answers: list[Answer], search: Search) -> Iterator[dict[str, str]]:
    street = street_of(site, search.street)
    digs = [dig.outline for dig in site.digs if dig.locate == search.locate]
    traced = {found.key for found in search.found}
    for service in street.buried:
        name = known_as(site_answers, search.street, service.key, search.back)
        if not name or service.key in traced:
            continue
        away = min((grid.distance(service.path, outline) for outline in digs), default=0.0)
        if service.key in search.not_found:
            yield _outcome(search, name, "not_found", search.not_found[service.key])
        elif away > BEYOND:
            yield _outcome(search, name, "outside_dig", SAYS.format(operator=name_of(search.operator), metres=f"{away:.1f}"))


def _outcome(search: Search, service: str, outcome: str, note: str) -> dict[str, str]:
    return {"locate": search.locate, "service": service, "outcome": outcome, "note": note}


def checks_before(days: Calendar, search: Search) -> list[dict[str, str]]:
    """The checks its operator made on all that was carried, but for what went unchecked."""
    start = begins(days, search)
    return [
        check(days, f"CH-{search.locate}-{instrument}", instrument, "before_use", start - timedelta(minutes=32 - 5 * number), search.operator)
        for number, instrument in enumerate(search.kit)
        if instrument and instrument not in search.unchecked
    ]
