"""The year's earlier locates: each street searched from end to end after each earlier round of plans."""

from locates.permits.demo.kit import CASE_1, CASE_2, HARBOUR
from locates.permits.demo.parts import Found, Place, Search, Street

ROUNDS = (198, 118)
OPERATORS = {"Europe/London": (("P-31", CASE_2), ("P-14", CASE_1)), "Pacific/Auckland": (("P-17", HARBOUR),) * 2}


def past_searches(place: Place, shift: int) -> list[Search]:
    """Two for each street, every main that carries a signal followed by induction; one street a day, `shift` days after the round began."""
    return [
        _search(street, number, back - shift - day, *OPERATORS[place.time_zone][number])
        for day, street in enumerate(place.streets)
        for number, back in enumerate(ROUNDS)
    ]


def _search(street: Street, number: int, back: int, operator: str, kit: tuple[str, ...]) -> Search:
    box = (-1.0, -7.5, street.length + 1, 7.5)
    found = tuple(Found(one.key, "induction", depth=f"{0.6 + 0.15 * order:.2f}") for order, one in enumerate(street.buried) if one.conductive)
    return Search(f"L-{street.key}-{number + 1}", street.key, box, back, operator, kit, found)
