"""Brindlewick: a site where work is to begin while the owners' answers are still wanting, so that nothing there may be signed."""

from locates.permits.demo.kit import CASE_1
from locates.permits.demo.parts import Asked, Buried, Dig, Found, Place, Search, Street, rectangle

DEPOT = Street(
    "DEP",
    "Tram depot approach",
    (620.0, 930.0),
    96,
    46,
    (
        Buried("TRAC", "OST", "electricity", ((-4, 3.9), (50, 3.6)), note="Traction supply"),
        Buried("GAS", "HOL", "gas", ((-4, -2.7), (50, -2.4)), width="0.125", note="Steel"),
        Buried("TEL", "VEN", "telecom", ((-4, 5.1), (50, 5.0))),
        Buried("WM", "TAR", "water", ((-4, -4.1), (50, -4.3)), width="0.15"),
        Buried("BD", "BRI", "sewer", ((-4, 0.2), (50, 0.0)), False, "0.3", "Clay"),
    ),
)

SEARCHES = (
    Search(
        "L-301",
        "DEP",
        (2, 1.2, 11, 7.2),
        back=5,
        operator="P-14",
        kit=CASE_1,
        found=(Found("TRAC", "direct_connection", depth="0.8", raised="1.11"),),
        afternoon=True,
    ),
    Search("L-303", "DEP", (28, 1.2, 36, 7.2), back=6, operator="P-15", kit=("RX-12",), found=(Found("TRAC", "induction", depth="0.78", raised="1.09"),)),
)

DIGS = (
    Dig(
        "B-301", "DEP", "L-301", "Pole foundation 1", rectangle(4, 2.8, 5, 2.8), depth="2.0", method="machine", issuer="P-07", receiver="P-08", crew="P-19;P-22"
    ),
    Dig(
        "B-302",
        "DEP",
        "",
        "Pole foundation 2",
        rectangle(16, 2.8, 5, 2.8),
        depth="2.0",
        method="machine",
        issuer="P-07",
        receiver="P-08",
        crew="",
        opens=2,
        closes=6,
    ),
    Dig(
        "B-303",
        "DEP",
        "L-303",
        "Cable draw pit, ten days' work",
        rectangle(30, 2.8, 4, 2.8),
        depth="1.5",
        method="machine",
        issuer="P-07",
        receiver="P-07",
        crew="P-22",
        closes=10,
    ),
    Dig(
        "B-304",
        "DEP",
        "",
        "Pole foundation 3, dates mistyped",
        rectangle(39, 2.8, 4, 2.8),
        depth="2.0",
        method="machine",
        issuer="P-06",
        receiver="P-08",
        crew="P-19",
        opens=3,
        closes=1,
    ),
)

BRINDLEWICK = Place(
    "BRIND",
    "Brindlewick, tram depot approach",
    "Europe/London",
    "default",
    {"OST": "Ostrelle Power Networks", "HOL": "Hollin Gas", "VEN": "Vennet Telecom", "TAR": "Tarrow Water", "BRI": "Brindlewick Drainage Board"},
    (DEPOT,),
    SEARCHES,
    DIGS,
    {
        ("DEP", "HOL"): Asked(sent=32, answered=28, rounds=1),
        ("DEP", "VEN"): Asked(sent=9, answered=None, rounds=1),
        ("DEP", "TAR"): Asked(sent=30, answered=None, rounds=1, closed=8),
    },
)
