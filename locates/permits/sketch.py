"""How a locate swept the ground under an outline that is being typed: drawn as the permit's plan is, and in words."""

from collections.abc import Iterator

from shapely import union_all
from shapely.geometry.base import BaseGeometry

from locates.permits.paper import HATCHES
from locates.permits.rules.sweeping import Mode, Swept
from records.paper.drawing import svg
from records.paper.key import key_drawing, stacked
from records.paper.plan import Ground, Plan, plan_drawing
from records.rules.words import spoken

WARNS, ONE_WAY = "#a61b1b", "#7a4d00"
ONE_WAY_HATCHES = {"passive_power": 0.0, "passive_radio": 90.0}
WIDTH, SIZE = 320, 12
LEAST_TOLD = 0.05  # square metres


def sketch_svg(swept: Swept, outline: BaseGeometry | None) -> str:
    """The swept ground, what an outline has room in, and, where there is an outline, what it needs and what of that was left out."""
    grounds = tuple(_grounds(swept, outline))
    if not grounds:
        return ""
    told = " ".join(tells(swept, outlined=outline is not None))
    plan = Plan(union_all([one.shape for one in grounds]), grounds, (), f"Sketch of the ground that was swept. {told}")
    drawn = plan_drawing(plan, WIDTH, WIDTH * 0.7, SIZE, False)
    return svg(stacked([drawn, key_drawing(plan, WIDTH, SIZE)], SIZE))


def _grounds(swept: Swept, outline: BaseGeometry | None) -> Iterator[Ground]:
    every = union_all([one.swept for one in swept.modes])
    if not every.is_empty:
        yield Ground(every, "ground swept by passive power or passive radio", "#f4f1e6", "#777777", 0.4, (10, 3))
    if outline is not None:
        yield Ground(swept.needed, "ground that must be swept", None, "#000000", 0.6, (4, 2))
        for mode in swept.modes:
            yield from _lacks(mode)
    if swept.room is not None and not (outline is not None and swept.whole):
        yield Ground(swept.room, "an outline has room in here", None, "#1b4a8f", 1, (2, 2))
    if outline is not None:
        yield Ground(outline, "outline of the dig, as typed", None, "#000000", 1.8)


def _lacks(mode: Mode) -> Iterator[Ground]:
    if not mode.left_out.is_empty:
        yield Ground(mode.left_out, f"NOT SWEPT: {spoken(mode.technique)}", None, WARNS, 0.8, hatch=HATCHES[mode.technique])
    if not mode.one_way.is_empty:
        key = f"SWEPT IN ONE DIRECTION ONLY: {spoken(mode.technique)}"
        yield Ground(mode.one_way, key, None, ONE_WAY, 0.8, hatch=ONE_WAY_HATCHES[mode.technique])


def tells(swept: Swept, *, outlined: bool) -> list[str]:
    """The same in sentences: how much was left out of what the outline needs, and where an outline has room."""
    around = f"{swept.margin_m.normalize():f} m"
    said = [*_needs(swept, around)] if outlined else []
    if outlined and swept.whole:
        return said
    if swept.room is None:
        return [*said, f"No outline fits into the ground that this locate swept in every mode, with {around} around it."]
    left, bottom, right, top = swept.room.bounds
    reach = f"x from {left:.2f} to {right:.2f}, y from {bottom:.2f} to {top:.2f}"
    return [*said, f"The ground swept in every mode has room for an outline of {square(swept.room)} with {around} around it: {reach}."]


def _needs(swept: Swept, around: str) -> Iterator[str]:
    if swept.whole:
        yield f"All of the needed ground, {square(swept.needed)} with {around} around the outline, was swept by passive power and by passive radio."
    for mode in swept.modes:
        name = spoken(mode.technique)
        if not mode.left_out.is_empty:
            yield f"{square(mode.left_out)} of the {square(swept.needed)} of needed ground was not swept by {name}."
        if not mode.one_way.is_empty:
            yield f"{square(mode.one_way)} of it was swept by {name} in one direction only."


def square(shape: BaseGeometry) -> str:
    """An area in words."""
    return f"{shape.area:.1f} m²" if shape.area >= LEAST_TOLD else "less than 0.1 m²"
