"""A technique's claimed ground beside the ground that the log covered, drawn to scale as the permit's plan is."""

from collections.abc import Iterator

from shapely import union_all

from locates.logs.rules.beside import Figure, square
from records.paper.drawing import svg
from records.paper.key import key_drawing, stacked
from records.paper.plan import Ground, Plan, plan_drawing
from records.rules.words import spoken

WIDTH, SIZE = 400, 11  # of a drawing on a page, in its own units


def figure_svg(figure: Figure) -> str:
    """The drawing; nothing where there is no ground to show, or no log says where it was."""
    if figure.seen is None or (figure.claimed.is_empty and figure.seen.is_empty):
        return ""
    plan = plan_of(figure)
    return svg(stacked([plan_drawing(plan, WIDTH, WIDTH * 1.2, SIZE, False), key_drawing(plan, WIDTH, SIZE)], SIZE))


def plan_of(figure: Figure) -> Plan:
    says = f"Plan for {spoken(figure.technique)}: the ground claimed as swept, and the ground that the log covered in that mode."
    return Plan(union_all([figure.claimed, figure.seen]), tuple(_grounds(figure)), (), says)


def _grounds(figure: Figure) -> Iterator[Ground]:
    if not figure.seen.is_empty:
        yield Ground(figure.seen, "where the log was in this mode", "#e4e9f2", "#5a6b86", 0.5)
    if not figure.claimed.is_empty:
        yield Ground(figure.claimed, f"claimed as swept: {square(figure.claimed_m2)}", None, "#000000", 1.4, (8, 3))
    if figure.unseen is not None and not figure.unseen.is_empty:
        yield Ground(figure.unseen, f"claimed, and the log never was near: {square(figure.unseen_m2)}", None, "#a61b1b", 0.8, hatch=45.0)
