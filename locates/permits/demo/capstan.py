"""Capstan Steps: a water main burst there yesterday. It was dug in an emergency, and is to be dug again."""

from locates.permits.demo.kit import CASE_2
from locates.permits.demo.parts import Asked, Buried, Dig, Found, Search, Street, rectangle

CAPSTAN = Street(
    "CAP",
    "Capstan Steps",
    (760.0, 720.0),
    14,
    24,
    (
        Buried("WM", "TAR", "water", ((-4, 0.9), (28, 1.0)), width="0.1", note="Cast iron main"),
        Buried("GAS", "HOL", "gas", ((-4, 2.7), (28, 2.6)), width="0.125", note="Steel"),
        Buried("LV", "OST", "electricity", ((-4, -1.1), (28, -1.0)), note="Low voltage"),
        Buried("TEL", "VEN", "telecom", ((-4, -4.9), (28, -5.0)), note="One duct"),
    ),
)

SEARCHES = (
    Search(
        "L-131",
        "CAP",
        (7.4, -3, 15.2, 4.6),
        back=1,
        operator="P-15",
        kit=CASE_2,
        found=(
            Found("WM", "direct_connection", depth="0.9", raised="1.2"),
            Found("GAS", "induction", depth="0.74", raised="1.05"),
            Found("LV", "clamp", depth="0.55", raised="0.86"),
        ),
        yesterday=("16:05", "17:10"),
    ),
)

DIGS = (
    Dig(
        "Q-131",
        "CAP",
        "L-131",
        "Burst water main by no. 3: a clamp on it",
        rectangle(10, -0.3, 2.4, 2.2),
        depth="1.1",
        method="hand",
        issuer="P-03",
        receiver="P-13",
        crew="P-20;P-21",
        opens=-1,
        closes=-1,
        hours=("17:30", "23:00"),
    ),
    Dig(
        "Q-132",
        "CAP",
        "L-131",
        "A new length of water main where the clamp is",
        rectangle(9.8, -0.4, 3, 2.4),
        depth="1.2",
        method="hand",
        issuer="P-03",
        receiver="P-13",
        crew="P-20;P-21",
        opens=1,
        closes=3,
    ),
)

UNANSWERED = Asked(sent=1, answered=None)  # an owner who was asked once more when it burst
