"""Kelp Terrace and Customs Lane: plans that came too late, or were never entered, and a locate still under way."""

from locates.permits.demo.kit import HARBOUR
from locates.permits.demo.parts import Buried, Dig, Found, Search, Street, rectangle

KELP = Street(
    "KEL",
    "Kelp Terrace",
    (142.75, 488.0),
    35,
    42,
    (
        Buried("LV", "KAH", "electricity", ((-4, 3.4), (46, 3.2)), note="Low voltage"),
        Buried("WM", "PTW", "water", ((-4, -2.8), (46, -3.0)), width="0.1", note="Cast iron"),
        Buried("FIB", "", "telecom", ((-4, 4.6), (46, 4.4)), planned=False),
    ),
)

CUSTOMS = Street(
    "CUS",
    "Customs Lane",
    (545.5, 402.0),
    8,
    30,
    (
        Buried("LV", "KAH", "electricity", ((-4, 2.6), (34, 2.7)), note="Low voltage"),
        Buried("WM", "PTW", "water", ((-4, -2.1), (34, -2.2)), width="0.1", note="Ductile iron"),
    ),
)

SEARCHES = (
    Search(
        "L-208",
        "KEL",
        (4, 0.6, 12.6, 6.8),
        back=5,
        operator="P-17",
        kit=HARBOUR,
        found=(Found("LV", "direct_connection", depth="0.66", raised="0.97"), Found("FIB", "induction", depth="0.5", raised="0.8")),
    ),
    Search(
        "L-209",
        "KEL",
        (20, -6, 25.2, 7),
        back=1,
        operator="P-17",
        kit=HARBOUR,
        found=(
            Found("LV", "exposed", "A", "0.64", within=(21.6, 3, 23.6, 4)),
            Found("WM", "exposed", "A", "0.9", within=(21.6, -3.6, 23.6, -2.4)),
            Found("FIB", "exposed", "A", "0.5", within=(21.6, 4, 23.6, 5)),
        ),
    ),
    Search(
        "L-210",
        "KEL",
        (29, 0.6, 38, 6.8),
        back=0,
        operator="P-17",
        kit=HARBOUR,
        found=(Found("LV", "direct_connection", depth="0.65", raised="0.96"), Found("FIB", "induction", depth="0.52", raised="0.83")),
        under_way=True,
    ),
    Search(
        "L-211",
        "CUS",
        (6, 0.4, 14, 5.4),
        back=4,
        operator="P-17",
        kit=HARBOUR,
        found=(Found("LV", "direct_connection", depth="0.7", raised="1.01"),),
        afternoon=True,
    ),
)

DIGS = (
    Dig(
        "T-208",
        "KEL",
        "L-208",
        "House connection, no. 31",
        rectangle(6, 2.2, 4.8, 2.8),
        depth="1.0",
        method="hand",
        issuer="P-05",
        receiver="P-12",
        crew="P-29",
    ),
    Dig(
        "T-209",
        "KEL",
        "L-209",
        "Bore across the terrace for fibre",
        rectangle(21.9, -4.2, 1.4, 9.4),
        depth="1.7",
        method="bore",
        issuer="P-05",
        receiver="P-11",
        crew="P-25;P-26",
    ),
    Dig(
        "T-210",
        "KEL",
        "L-210",
        "House connection, no. 44",
        rectangle(31, 2.2, 5, 2.8),
        depth="1.0",
        method="hand",
        issuer="P-05",
        receiver="P-12",
        crew="P-29",
        opens=1,
        closes=4,
    ),
    Dig(
        "T-211",
        "CUS",
        "L-211",
        "Pole base behind the custom house",
        rectangle(8, 1.9, 3.8, 1.8),
        depth="1.1",
        method="machine",
        issuer="P-02",
        receiver="P-11",
        crew="P-25;P-30",
    ),
)
