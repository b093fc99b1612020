"""A room's ceiling to scale as SVG, with its twin in words. Knows values only: no database, no request, no page."""

from layout.drawing.plan import plan_svg
from layout.drawing.symbols import symbol_svg
from layout.drawing.values import (
    Datum,
    Names,
    PerSide,
    PlanDrawing,
    PlanMark,
    PlanRow,
    RunningDimension,
    last_to_wall,
    plan_table,
    running,
)

__all__ = [
    "Datum",
    "Names",
    "PerSide",
    "PlanDrawing",
    "PlanMark",
    "PlanRow",
    "RunningDimension",
    "last_to_wall",
    "plan_svg",
    "plan_table",
    "running",
    "symbol_svg",
]
