"""The book of grids."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from locates.grids.registers import TABLES
from locates.grids.rules.systems import system
from records.access import Ties
from records.book import Ask, Book, Deed, Extra
from records.rules.text import Unfit

TABLE = {table.file: table for table in TABLES}


def systems(grids: Sequence[Any], at: datetime) -> dict[Any, str]:
    """What the registry calls each grid's system."""
    return {one.pk: _name(one.crs) for one in grids}


def _name(crs: str) -> str:
    try:
        return system(crs).name
    except Unfit:
        return "not known to this machine's list of systems"


GRIDS = Book(
    slug="grids",
    title="Grids",
    noun="grid",
    tells="How each site's metre grid lies on the Earth, so that positions told by satellites, tracks and maps come into it.",
    table=TABLE["grids.csv"],
    ties=Ties((), "site"),
    shows=("site", "crs", "east_0", "north_0", "turned_deg"),
    finds=("site__site", "site__name", "crs"),
    asks=(
        Ask("site", "Site"),
        Ask("crs", "Coordinate system", "Its code, such as EPSG:2193, or its WKT or PROJ text: a projected system in metres, eastings and northings."),
        Ask("east_0", "Easting of the origin, metres", "Where x 0, y 0 of the site's grid lies in that system."),
        Ask("north_0", "Northing of the origin, metres"),
        Ask(
            "turned_deg", "Turned by, degrees", "So far the site's y axis is turned clockwise from the system's north, 0 to below 360. Left blank: not at all."
        ),
    ),
    extras=(Extra("Called", systems),),
    order="site",
    beside=("site",),
    deeds=(Deed("grid", "How it lies; try a position", "grid.see"),),
)

BOOKS = (GRIDS,)
