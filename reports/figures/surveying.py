"""Figures of surveying: the ceiling that is left, the other diagonal, tile borders, room in a bay. Engine calls only.

Lengths come in any one unit. The engine knows nanometers, so a unit is stood for by as many of them as make every
number given a whole one; what it answers is divided by the same number.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from math import lcm

from layout.engine.lengths import Distance, Length, nanometers
from layout.engine.overhead.bays import free_travel
from layout.engine.rows.grid import border
from layout.engine.square import NoTriangle, three_four_five
from layout.engine.stacks import Layer, NothingLeft, SideBuildUp, net_span
from layout.engine.survey import NM_PER_M, DoesNotClose, predicted_diagonal
from reports.figures.figure import ANY_UNIT, Figure, FigureError, Input, Result
from reports.figures.kinds import Exact, said_number

GROUP = "surveying"
MORE, ANY = Exact(), Exact(zero=True)


def _size(name: str, label: str, example: float, kind: Exact = MORE, hint: str = "") -> Input:
    return Input(name, label, kind, ANY_UNIT, example, hint=hint)


def _whole(*numbers: Fraction) -> tuple[int, tuple[Length, ...]]:
    """How many nanometers stand for the unit, and each number as a length."""
    unit = lcm(*(number.denominator for number in numbers))
    return unit, tuple(nanometers(int(number * unit)) for number in numbers)


def _net(
    length: Fraction, width: Fraction, left: Fraction, right: Fraction, bottom: Fraction, top: Fraction
) -> Mapping[str, object]:
    unit, (along, across, *sides) = _whole(length, width, left, right, bottom, top)
    starts_ends = [SideBuildUp((Layer("build-up", side),)) for side in sides]
    spans = []
    for name, framing, start, end, taken in (
        ("length", along, *starts_ends[:2], left + right),
        ("width", across, *starts_ends[2:], bottom + top),
    ):
        try:
            spans.append(net_span(framing, start, end))
        except NothingLeft:
            whole = said_number(framing.nm / unit)
            raise FigureError(
                f"nothing is left of {whole} when the two sides take {said_number(taken)}. Check the three numbers.",
                name,
            ) from None
    wide, deep = spans
    return {
        "length": wide.net.nm / unit,
        "width": deep.net.nm / unit,
        "shift_along": wide.center_shift.nm / unit,
        "shift_across": deep.center_shift.nm / unit,
    }


def _diagonal(
    bottom: Fraction, right: Fraction, top: Fraction, left: Fraction, diagonal_bl_tr: Fraction
) -> Mapping[str, object]:
    # A meter stands for the unit: the engine's answer is good to a nanometer of it.
    wall = {"bottom": bottom, "top": top, "left": left, "right": right, "diagonal": diagonal_bl_tr}
    at = {name: Distance(value * NM_PER_M) for name, value in wall.items()}
    try:
        other = predicted_diagonal(at["bottom"], at["top"], at["left"], at["right"], at["diagonal"])
        corner = three_four_five(at["bottom"], at["left"], other, at["bottom"])
    except (DoesNotClose, NoTriangle):
        raise FigureError(
            "two sides and the diagonal across them can't meet in a triangle. Measure all three again.",
            "diagonal_bl_tr",
        ) from None
    return {"other_diagonal": other.nm / NM_PER_M, "corner_bl_deg": corner.degrees}


def _border(net: Fraction, tile: Fraction) -> Mapping[str, object]:
    unit, (ceiling, module) = _whole(net, tile)
    found = border(ceiling, module)
    return {"full_tiles": found.full_tiles, "border": found.border.nm / unit}


def _travel(spacing: Fraction, member_width: Fraction, cutout: Fraction, gap: Fraction) -> Mapping[str, object]:
    if member_width >= spacing:
        raise FigureError("a member as wide as the spacing leaves no bay. Give less than the spacing.", "member_width")
    unit, (pitch, member, hole, free) = _whole(spacing, member_width, cutout, gap)
    travel = free_travel(pitch, member, hole, free)
    return {"travel": travel.nm / unit, "fits": travel.nm >= 0}


FIGURES = (
    Figure(
        name="stack.net",
        title="The ceiling the finish leaves",
        group=GROUP,
        inputs=(
            _size("length", "Framing, along the room", 240),
            _size("width", "Framing, across the room", 168),
            _size("left", "Build-up and gap, left", 2.875, ANY),
            _size("right", "Build-up and gap, right", 0.625, ANY),
            _size("bottom", "Build-up and gap, near side", 2.875, ANY),
            _size("top", "Build-up and gap, far side", 2.875, ANY),
        ),
        results=(
            Result("length", "Ceiling, along", ANY_UNIT),
            Result("width", "Ceiling, across", ANY_UNIT),
            Result("shift_along", "Its center stands to the right of the framing's by", ANY_UNIT),
            Result("shift_across", "and farther from the near side by", ANY_UNIT),
        ),
        rule="Framing less what stands on both sides; the center moves by half the difference of the two sides.",
        source="arithmetic of the build-up; which layers there are is common practice, no source",
        reckon=_net,
        cautions=("Boards are taken as they measure, not as they are named.",),
    ),
    Figure(
        name="survey.diagonal",
        title="The other diagonal",
        group=GROUP,
        inputs=(
            _size("bottom", "Near wall", 240),
            _size("right", "Right wall", 168),
            _size("top", "Far wall", 239.5),
            _size("left", "Left wall", 168.5),
            _size("diagonal_bl_tr", "Diagonal, near left to far right", 293.5),
        ),
        results=(
            Result("other_diagonal", "Diagonal, near right to far left", ANY_UNIT),
            Result("corner_bl_deg", "Corner, near left", "degrees"),
        ),
        rule="Four sides and one diagonal are two triangles: the other follows. Read it too, it proves the rest.",
        source="Euclid; law of cosines",
        reckon=_diagonal,
    ),
    Figure(
        name="tile.border",
        title="Border tiles",
        group=GROUP,
        inputs=(_size("net", "Ceiling, edge to edge", 186), _size("tile", "Tile", 24)),
        results=(
            Result("full_tiles", "Whole tiles in a row", "tiles"),
            Result("border", "Border at either wall", ANY_UNIT),
        ),
        rule="As many whole tiles as leave half a tile or more at both walls; no border where they divide evenly.",
        source="half-tile border rule, common practice, as quoted by public pages",
        reckon=_border,
    ),
    Figure(
        name="bay.travel",
        title="Room to move in a joist bay",
        group=GROUP,
        inputs=(
            _size("spacing", "Joists, center to center", 16),
            _size("member_width", "Joist, width", 1.5),
            _size("cutout", "Cutout", 6.375),
            _size("gap", "Free beside the hole, each side", 0.5, ANY),
        ),
        results=(
            Result("travel", "Either way from the middle of the bay", ANY_UNIT),
            Result("fits", "The hole fits the bay", ""),
        ),
        rule="Half the spacing less half the hole, the gap and half the joist. Below zero the hole doesn't fit.",
        source="geometry; a gap of 1/2 in is common practice, no source",
        reckon=_travel,
        cautions=("Measure the joists on site. A cutout never justifies cutting a joist: move the mark.",),
    ),
)
