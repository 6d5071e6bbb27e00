"""How the tests record a locate by its page: what they hand in."""

from html import unescape

from tests import cast

SHEET = "0b0e3a52-1d41-4b0e-9d0a-5f4f5f0c7a11"
BEGIN = {"sheet": SHEET, "dig": "PD-1", "receiver": "I-R1", "transmitter": "I-T1", "clamp": "", "sonde": ""}
SWEEP = {"place": "sweep-passive_power", "ground": "whole", "area": "", "bearing_deg": "90", "spacing_m": "0.5"}
TRACE = {
    "place": "trace-V-1",
    "utility": "electricity",
    "technique": "direct_connection",
    "line": "105 96\n105 106",
    "quality_level": "B",
    "depth_m": "0.8",
    "raised_by_m": "0.3",
    "raised_depth_m": "1.1",
    "width_m": "0.1",
    "services": ["V-1"],
}


def begun(client, **other):
    return client.post("/field/begin/S-1/", BEGIN | other)


def handed(client, what, /, **fields):
    return client.post(f"/field/{SHEET}/{what}/", fields)


def text_of(answer):
    return " ".join(unescape(answer.content.decode()).split())


def whole(client):
    """Every piece that the record needs."""
    begun(client)
    handed(client, "check", instrument="I-R1", result="pass", note="")
    handed(client, "check", instrument="I-T1", result="pass", note="")
    handed(client, "plans", do="all")
    for technique in ("passive_power", "passive_radio"):
        handed(client, "sweep", technique=technique, across_deg="0", **SWEEP)
    handed(client, "trace", **TRACE)
    return handed(client, "marks", marks=["paint", "pegs"], marks_note="both kerbs")


def finished(client, **fields):
    return handed(client, "finish", password=cast.PASSWORD, **fields)
