"""What was measured afterwards, as register rows: trial holes over what was read, lines as the owners' plans show them, and what an owner was told."""

from collections.abc import Iterator

from locates.permits.demo import grid
from locates.permits.demo.days import Calendar
from locates.permits.demo.ground import buried, street_of
from locates.permits.demo.parts import Found, Place, Point, Search
from locates.permits.demo.plans import Answer, known_as
from records.rules.words import EXPOSED, PASSIVE

DUG, TOLD = "09:40", "16:20"
LONG_AGO = 20  # working days back, from which on every reading was dug up; of later ones every other
MOSTLY_M, ASTRAY_M = 0.07, 0.85  # how far plans lie beside the truth: so far times 3 at most, and one in eleven astray


def hole_rows(site: Place, days: Calendar, search: Search) -> list[dict[str, str]]:
    """The morning after, where a signal gave a depth."""
    if search.under_way or search.back < 2:
        return []
    read = [(number, one) for number, one in enumerate(search.found, 1) if one.depth and one.technique not in (*PASSIVE, EXPOSED)]
    return [_hole(site, days, search, number, one) for number, one in read if number % 2 or search.back > LONG_AGO]


def _hole(site: Place, days: Calendar, search: Search, number: int, found: Found) -> dict[str, str]:
    street, trace = street_of(site, search.street), f"{search.locate}-T{number}"
    service = buried(street, found.key)
    path = grid.stretch(service.path, found.within or search.box)
    east, north = grid.place(street, _beside(_middle(path), _lot(trace) * 0.01)).split(" ")
    return {
        "hole": f"H-{trace}",
        "locate": search.locate,
        "trace": trace,
        "exposed_at": days.text(days.clock(days.worked(search.back - 1), DUG)),
        "person": search.operator,
        "x": east,
        "y": north,
        "utility": service.utility,
        "depth_m": f"{float(found.depth) - (_lot(trace + found.key) + 1) * 0.012:.3f}",
        "width_m": service.width,
        "note": "",
    }


def _middle(path: tuple[Point, ...]) -> Point:
    (along, left), (to_along, to_left) = path[0], path[1]
    return (along + to_along) / 2, (left + to_left) / 2


def _beside(point: Point, metres: float) -> Point:
    return point[0], point[1] + metres


def _lot(name: str) -> int:
    """From -3 to 3, always the same for a name."""
    return sum(map(ord, name)) % 7 - 3


def line_rows(one: Answer) -> list[dict[str, str]]:
    """Where the latest plan shows each service: near the truth, and now and then not."""
    return [_line(one, shown.key, shown.path) for shown in one.shows] if one.latest else []


def _line(one: Answer, key: str, path: tuple[Point, ...]) -> dict[str, str]:
    name = one.service(key)
    off = ASTRAY_M if sum(map(ord, name)) % 11 == 0 else _lot(name) * MOSTLY_M
    drawn = grid.line(one.street, [_beside(point, off) for point in path])
    return {"service": name, "line": drawn, "accuracy_m": "", "note": "Taken from the owner's drawing with a scale rule"}


def report_rows(site: Place, days: Calendar, site_answers: list[Answer], searches: tuple[Search, ...]) -> list[dict[str, str]]:
    """Of what no plan shows, the first that was found at the site was reported; the rest waits."""
    return [row for _, row in zip(range(1), _reports(site, days, site_answers, searches), strict=False)]


def _reports(site: Place, days: Calendar, site_answers: list[Answer], searches: tuple[Search, ...]) -> Iterator[dict[str, str]]:
    for search in searches:
        for number, found in enumerate(search.found, 1):
            if not search.under_way and search.back and not known_as(site_answers, search.street, found.key, search.back):
                yield {
                    "report": f"R-{search.locate}-T{number}",
                    "locate": search.locate,
                    "trace": f"{search.locate}-T{number}",
                    "hole": "",
                    "service": "",
                    "service_owner": next(iter(site.owners.values())),
                    "reported_at": days.text(days.clock(days.worked(search.back), TOLD)),
                    "person": search.operator,
                    "note": "By telephone; they will look whose it is",
                }
