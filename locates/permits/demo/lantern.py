"""Lantern Street: its lower end of mains, its upper end with the services to no. 14."""

from locates.permits.demo.kit import CASE_1, CASE_2
from locates.permits.demo.parts import Buried, Dig, Found, Search, Street, rectangle

LANTERN = Street(
    "LAN",
    "Lantern Street",
    (1204.5, 861.2),
    68,
    16,
    (
        Buried("LV", "OST", "electricity", ((-4, 4.3), (9, 4.4), (20, 4.2)), note="Low voltage, three cables in one trench"),
        Buried("GAS", "HOL", "gas", ((-4, 2.6), (14, 2.75), (20, 2.7)), width="0.18", note="Steel, medium pressure"),
        Buried("WM", "TAR", "water", ((-4, -2.9), (11, -2.75), (20, -2.8)), width="0.16", note="Cast iron main"),
        Buried("TEL", "VEN", "telecom", ((-4, -4.6), (12, -4.5), (20, -4.7)), note="Two ducts, copper and fibre"),
        Buried("SEW", "QMD", "sewer", ((-4, 0.3), (20, 0.5)), False, "0.3", "Clay, 2.4 m to invert"),
        Buried("OLD", "TAR", "water", ((-4, -1.6), (20, -1.5)), width="0.1", note="Main said to be dead"),
    ),
)

TERRACE = Street(
    "TER",
    "Lantern Street, upper end",
    (1246.25, 878.05),
    68,
    28,
    (
        Buried("LV", "OST", "electricity", ((-4, 4.3), (16, 4.1), (32, 4.2)), note="Low voltage, three cables in one trench"),
        Buried("LV14", "OST", "electricity", ((7, 4.19), (7.3, 6), (7.2, 9)), note="Service to no. 14"),
        Buried("GAS", "HOL", "gas", ((-4, 2.7), (32, 2.5)), width="0.18", note="Steel, medium pressure"),
        Buried("GAS14", "HOL", "gas", ((9.5, 2.63), (9.6, 9)), False, "0.032", "Plastic service to no. 14"),
        Buried("WM", "TAR", "water", ((-4, -2.75), (32, -2.7)), width="0.16", note="Cast iron main"),
        Buried("TEL", "VEN", "telecom", ((-4, -4.5), (32, -4.8)), note="Two ducts, copper and fibre"),
    ),
)

SEARCHES = (
    Search(
        "L-101",
        "LAN",
        (2.5, 0.8, 10.5, 7.2),
        back=2,
        operator="P-14",
        kit=CASE_1,
        found=(Found("LV", "direct_connection", depth="0.62", raised="0.91"), Found("GAS", "induction", depth="0.85", raised="1.16")),
    ),
    Search(
        "L-102",
        "TER",
        (3, 0.9, 11.9, 8.2),
        back=3,
        operator="P-15",
        kit=CASE_2,
        found=(
            Found("LV", "direct_connection", depth="0.58", raised="0.88"),
            Found("LV14", "clamp", depth="0.47", raised="0.78"),
            Found("GAS", "induction", depth="0.8", raised="1.09"),
            Found("GAS14", "exposed", "A", "0.6", within=(9, 4.6, 10.5, 5.3)),
        ),
    ),
    Search(
        "L-103",
        "LAN",
        (7.4, -8.4, 14.6, 6),
        back=1,
        operator="P-14",
        kit=(*CASE_1, "", "SO-41"),
        found=(
            Found("TEL", "direct_connection", depth="0.44", raised="0.74"),
            Found("WM", "induction", depth="0.96", raised="1.25"),
            Found("SEW", "sonde", depth="2.38", raised="2.7"),
            Found("GAS", "induction", depth="0.83", raised="1.14"),
            Found("LV", "direct_connection", depth="0.6", raised="0.9"),
        ),
    ),
    Search("L-104", "TER", (15, -7.6, 23.5, -1), back=4, operator="P-14", kit=CASE_1, found=(Found("TEL", "direct_connection", depth="0.45", raised="0.76"),)),
)

DIGS = (
    Dig(
        "Q-101",
        "LAN",
        "L-101",
        "Trial holes for the new lamp column by no. 8",
        rectangle(5, 3.2, 3, 2),
        depth="0.9",
        method="hand",
        issuer="P-03",
        receiver="P-08",
        crew="P-19;P-20",
    ),
    Dig(
        "Q-102",
        "TER",
        "L-102",
        "Joint hole at the service to no. 14",
        rectangle(5.6, 3.4, 3.4, 2.7),
        depth="1.1",
        method="vacuum",
        issuer="P-04",
        receiver="P-13",
        crew="P-21;P-24",
    ),
    Dig(
        "Q-103",
        "LAN",
        "L-103",
        "Trench across the road for a new duct, sump at its head",
        ((9.6, -6.4), (10.8, -6.4), (10.8, 1.2), (12.4, 1.2), (12.4, 3.7), (9.6, 3.7)),
        depth="1.2",
        method="machine",
        issuer="P-03",
        receiver="P-08",
        crew="P-19;P-22;P-23",
    ),
    Dig(
        "Q-104",
        "TER",
        "L-104",
        "New gully by no. 23",
        rectangle(17, -5.8, 3.4, 2.4),
        depth="1.4",
        method="hand",
        issuer="P-04",
        receiver="P-13",
        crew="P-20;P-23",
    ),
)
