"""Furniture on a plan. Knows values; a piece is anything with a name, a place from two walls and a size."""

from dataclasses import replace

from layout.drawing.layers import Furnished
from layout.engine.marks import Axis
from layout.furniture.places import insets_of, middle_of
from layout.plan_layers import place_of


def with_furniture(plan, layout, pieces):
    """The plan with these pieces drawn beneath its marks."""
    if not pieces:
        return plan
    in_x, in_y = insets_of(layout)
    level = layout.inputs.orientation.rows_run is Axis.LEFT_RIGHT
    drawn = []
    for piece in pieces:
        x, y = middle_of(piece)
        long, deep = (piece.wide, piece.deep) if level else (piece.deep, piece.wide)
        drawn.append(Furnished(piece.name, place_of(layout, x - in_x, y - in_y), long, deep, piece.round))
    return replace(plan, layers=replace(plan.layers, furniture=tuple(drawn)))
