"""What makes a site's grid wrong."""

from collections.abc import Iterator
from typing import Any

from locates.grids.rules.projection import Point, origin, projection, served
from locates.grids.rules.systems import system
from records.rules.text import Unfit
from records.rules.wrong import Wrong

MOST_STRETCHED = 0.01  # beyond it, distances in the grid are not those on the ground; common practice, no published source


def grid_wrongs(grid: Any) -> Iterator[Wrong]:
    """The fault of a grid whose origin its system does not serve, so far as its columns are known."""
    if not grid.crs or None in (grid.east_0, grid.north_0):
        return
    try:
        lies = origin(grid.crs, grid.east_0, grid.north_0)
        if served(grid.crs, lies):
            stretches = projection(grid.crs, grid.east_0, grid.north_0).stretches()
        else:
            yield Wrong("crs", _out_of_area(grid, lies), ("east_0", "north_0"))
            return
    except Unfit as fault:
        yield Wrong("east_0", f"{fault}{_exchanged(grid)}", ("crs", "north_0"))
        return
    off = max(stretches, key=lambda one: abs(one - 1))
    if abs(off - 1) > MOST_STRETCHED:
        says = f"a metre of {system(grid.crs).name} is {off:.3f} m on the ground at the origin: a system true to within {MOST_STRETCHED:.0%} was expected"
        yield Wrong("crs", says, ("east_0", "north_0"))


def _out_of_area(grid: Any, lies: Point) -> str:
    named, (lon, lat) = system(grid.crs), lies
    west, south, east, north = named.area_of_use.bounds
    return (
        f"the origin lies at longitude {lon:.4f}, latitude {lat:.4f}, out of the area of use of {named.name} "
        f"(longitude {west:g} to {east:g}, latitude {south:g} to {north:g}): another system or origin was expected{_exchanged(grid)}"
    )


def _exchanged(grid: Any) -> str:
    """What a person who took one for the other is told."""
    try:
        within = system(grid.crs).area_of_use is not None and served(grid.crs, origin(grid.crs, grid.north_0, grid.east_0))
    except Unfit:
        return ""
    return ". With east_0 and north_0 exchanged it would lie within" if within else ""
