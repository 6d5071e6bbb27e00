"""Saltpan Lane: bores under the road, and digs whose locate has grown old."""

from locates.permits.demo.kit import CASE_1, CASE_2
from locates.permits.demo.parts import Buried, Dig, Found, Search, Street, rectangle

SALTPAN = Street(
    "SAL",
    "Saltpan Lane",
    (1088.0, 702.75),
    20,
    40,
    (
        Buried("LV", "OST", "electricity", ((-4, 3.8), (44, 3.6)), note="Low voltage"),
        Buried("GAS", "HOL", "gas", ((-4, -2.2), (18, -2.3), (44, -2.4)), width="0.09", note="Steel"),
        Buried("WM", "TAR", "water", ((-4, -3.9), (44, -4.0)), width="0.1", note="Ductile iron"),
        Buried("TEL", "VEN", "telecom", ((-4, 4.9), (44, 5.0)), note="One duct"),
        Buried("PRIV", "", "unknown", ((-4, 1.1), (44, 0.8)), planned=False),
    ),
)

SEARCHES = (
    Search(
        "L-112",
        "SAL",
        (5.5, -7.5, 10.5, 8.5),
        back=3,
        operator="P-14",
        kit=CASE_1,
        found=(
            Found("LV", "exposed", "A", "0.6", within=(7, 3, 9, 5)),
            Found("GAS", "exposed", "A", "0.78", within=(7.4, -3, 8.7, -1.5)),
            Found("WM", "exposed", "A", "0.95", within=(7.9, -4.5, 8.3, -3.4)),
            Found("TEL", "exposed", "A", "0.45", within=(7.3, 4.5, 8.8, 5.5)),
        ),
        afternoon=True,
    ),
    Search(
        "L-113",
        "SAL",
        (20, -7.5, 25, 8.5),
        back=3,
        operator="P-15",
        kit=CASE_2,
        found=(
            Found("LV", "clamp", depth="0.6", raised="0.9"),
            Found("GAS", "exposed", "A", "0.8", within=(21.5, -3, 23.3, -1.5)),
            Found("WM", "exposed", "A", "0.92", within=(21.5, -4.6, 23.2, -3.4)),
            Found("TEL", "exposed", "A", "0.47", within=(21.5, 4.5, 23.2, 5.5)),
            Found("PRIV", "passive_power", "C"),
        ),
        afternoon=True,
    ),
    Search(
        "L-114",
        "SAL",
        (12, 1.8, 18.5, 7.6),
        back=20,
        operator="P-14",
        kit=CASE_1,
        found=(Found("LV", "direct_connection", depth="0.62", raised="0.93"), Found("TEL", "direct_connection", depth="0.5", raised="0.79")),
    ),
    Search(
        "L-115",
        "SAL",
        (30.5, -6.6, 38.5, 0.2),
        back=8,
        operator="P-14",
        kit=CASE_1,
        found=(Found("GAS", "direct_connection", depth="0.76", raised="1.07"), Found("WM", "induction", depth="0.94", raised="1.25")),
    ),
)

DIGS = (
    Dig(
        "Q-113",
        "SAL",
        "L-112",
        "Bore under the lane for a water service, all crossings exposed",
        rectangle(7.3, -5.4, 1.4, 11.6),
        depth="1.8",
        method="bore",
        issuer="P-03",
        receiver="P-08",
        crew="P-19;P-22",
    ),
    Dig(
        "Q-114",
        "SAL",
        "L-113",
        "Bore under the lane for the second service",
        rectangle(21.8, -5.4, 1.3, 11.6),
        depth="1.8",
        method="bore",
        issuer="P-04",
        receiver="P-13",
        crew="P-21;P-24",
    ),
    Dig(
        "Q-115",
        "SAL",
        "L-114",
        "Kerb drain by no. 5",
        rectangle(14, 3.2, 2.8, 2.4),
        depth="0.9",
        method="machine",
        issuer="P-06",
        receiver="P-08",
        crew="P-20;P-23",
    ),
    Dig(
        "Q-116",
        "SAL",
        "L-115",
        "Main laying, second length",
        rectangle(32.4, -4.8, 4.2, 3),
        depth="1.3",
        method="machine",
        issuer="P-03",
        receiver="P-08",
        crew="P-22;P-23",
        closes=5,
    ),
)
