"""Quarnmouth: five streets of renewals in an old harbour town. Digs of every method; some may be signed, the others each lack something else."""

from locates.permits.demo import capstan, cooper, lantern, ropewalk, saltpan
from locates.permits.demo.parts import Asked, Place

QUARNMOUTH = Place(
    "QUARN",
    "Quarnmouth, Lantern Street renewals",
    "Europe/London",
    "firm-home",
    {"OST": "Ostrelle Power Networks", "HOL": "Hollin Gas", "TAR": "Tarrow Water", "VEN": "Vennet Telecom", "QMD": "Quarnmouth Drains"},
    (lantern.LANTERN, lantern.TERRACE, cooper.COOPER, saltpan.SALTPAN, ropewalk.ROPEWALK, capstan.CAPSTAN),
    lantern.SEARCHES + cooper.SEARCHES + saltpan.SEARCHES + ropewalk.SEARCHES + capstan.SEARCHES,
    lantern.DIGS + cooper.DIGS + saltpan.DIGS + ropewalk.DIGS + capstan.DIGS,
    {("LAN", "TAR"): Asked(dropped=("OLD",)), ("SAL", "HOL"): Asked(printed_days=60), ("CAP", "VEN"): capstan.UNANSWERED},
    ("EPSG:32630", "355000", "5485000"),
)
