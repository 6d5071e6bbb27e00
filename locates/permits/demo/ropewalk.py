"""Ropewalk: lamp columns one after another upon one locate. Their permits are signed and have gone different ways since; one begins anew."""

from locates.permits.demo.kit import CASE_2
from locates.permits.demo.parts import Buried, Dig, Found, Search, Street, rectangle

ROPEWALK = Street(
    "ROP",
    "Ropewalk",
    (902.5, 1014.0),
    41,
    64,
    (
        Buried("LV", "OST", "electricity", ((-4, 4.2), (30, 4.3), (68, 4.1)), note="Low voltage"),
        Buried("TEL", "VEN", "telecom", ((-4, 5.3), (68, 5.2)), note="One duct"),
        Buried("GAS", "HOL", "gas", ((-4, -3.3), (68, -3.5)), width="0.125", note="Steel"),
        Buried("WM", "TAR", "water", ((-4, -4.7), (68, -4.6)), width="0.1", note="Ductile iron"),
    ),
)

SEARCHES = (
    Search(
        "L-121",
        "ROP",
        (0.5, 0.3, 63, 7.9),
        back=5,
        operator="P-15",
        kit=CASE_2,
        found=(Found("LV", "clamp", depth="0.6", raised="0.91"), Found("TEL", "induction", depth="0.45", raised="0.76")),
    ),
    Search(
        "L-122",
        "ROP",
        (41.2, 0.2, 49.4, 8.2),
        back=1,
        operator="P-15",
        kit=CASE_2,
        found=(Found("LV", "clamp", depth="0.61", raised="0.92"), Found("TEL", "induction", depth="0.46", raised="0.77")),
        yesterday=("12:50", "15:10"),
    ),
)


def _column(number: int, issuer: str, receiver: str, crew: str, opens: int, closes: int) -> Dig:
    return Dig(
        f"Q-12{number}",
        "ROP",
        "L-121",
        f"Base of lamp column {number}",
        rectangle(8 * number - 4, 2.9, 2.6, 2.5),
        depth="1.0",
        method="hand",
        issuer=issuer,
        receiver=receiver,
        crew=crew,
        opens=opens,
        closes=closes,
    )


DIGS = (
    _column(1, "P-03", "P-08", "P-19;P-20", -1, 1),
    _column(2, "P-04", "P-13", "P-21;P-23", -1, 3),
    _column(3, "P-03", "P-08", "P-22;P-23", -1, 3),
    _column(4, "P-04", "P-08", "P-19;P-20", -1, 2),
    _column(5, "P-03", "P-13", "P-21;P-24", -2, -1),
    _column(6, "P-04", "P-13", "P-20;P-22", -3, -1),
    _column(7, "P-03", "P-08", "P-19;P-22", -3, -1),
    Dig(
        "Q-128",
        "ROP",
        "L-122",
        "Base of lamp column 6, begun anew",
        rectangle(43.7, 2.7, 3.2, 2.9),
        depth="1.2",
        method="hand",
        issuer="P-04",
        receiver="P-13",
        crew="P-20;P-22",
        closes=3,
    ),
)
