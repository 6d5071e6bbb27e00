"""Port Tawharoa: harbour mains on the other side of the world."""

from locates.permits.demo import kelp, wharf
from locates.permits.demo.parts import Asked, Place

TAWHAROA = Place(
    "TAWHA",
    "Port Tawharoa, harbour mains",
    "Pacific/Auckland",
    "firm-harbour",
    {"KAH": "Kahurere Lines", "SAB": "Sabella Gas", "PTW": "Port Tawharoa Water", "PEL": "Pellow Fibre"},
    (wharf.WHARF, kelp.KELP, kelp.CUSTOMS),
    wharf.SEARCHES + kelp.SEARCHES,
    wharf.DIGS + kelp.DIGS,
    {("WHA", "SAB"): Asked(area=(-6, -12, 98, 12)), ("KEL", "PEL"): Asked(sent=4, answered=2, rounds=1), ("CUS", "PEL"): Asked(entered=False, rounds=1)},
    ("EPSG:2193", "1500000", "5700000"),
)
