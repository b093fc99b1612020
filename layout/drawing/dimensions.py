"""Running dimensions of one axis: one line from the zero corner, a number for every stop, and what is left to the wall.

Superimposed running dimensioning with a common origin (ISO 129-1, from memory). Numbers that would touch are spread and
led back to their stops, in order, so that no leader crosses another.
"""

from __future__ import annotations

from xml.etree.ElementTree import Element

from layout.drawing import words as say
from layout.drawing.frame import (
    BETWEEN,
    BOX_PAD,
    DIMENSION_OFF,
    LEADER,
    Frame,
    Run,
    edge_of,
    in_mm,
    outward,
)
from layout.drawing.ink import PAPER, add, line, rectangle, solid, stroke, words
from layout.drawing.text import Box, spread, width
from layout.engine.lengths import ZERO, Distance
from layout.engine.marks import Axis

ARROW = 1.5
ORIGIN = 0.8


def draw_run(svg: Element, at: Frame, run: Run, interactive: bool) -> tuple[list[Box], list[Box]]:
    """Draw one axis outside its zero wall.

    Gives the boxes of the thin lines that reach into the room, and those of the numbers.
    """
    if not run.dimensions:
        return [], []
    pen = _Pen(svg, at, run, interactive)
    return pen.draw(), pen.numbers


class _Pen:
    """Holds what every stroke of one axis needs: u runs along the axis, v away from the wall the numbers stand at."""

    def __init__(self, svg: Element, at: Frame, run: Run, interactive: bool) -> None:
        turn = at.plan.orientation
        self.at, self.run, self.interactive = at, run, interactive
        self.level = run.axis is Axis.LEFT_RIGHT
        self.is_along = turn.rows_run is run.axis
        self.name = str(say.ALONG if self.is_along else say.ACROSS)
        self.group = add(svg, "g", kind=f"run run-{run.axis.value}")
        beside = turn.zero_side(run.axis.other)
        self.away = outward(beside)
        self.wall = edge_of(at.outer, beside)
        self.stop_line = self.wall + self.away * DIMENSION_OFF
        self.start = at.wall(turn.zero_side(run.axis), at.plan.datum)
        self.end = at.wall(turn.end_side(run.axis), at.plan.datum)
        self.numbers: list[Box] = []
        self.marks: list[tuple[float, float]] | None = None
        self.forward = 1 if self.end > self.start else -1

    def xy(self, u: float, v: float) -> tuple[float, float]:
        return (u, v) if self.level else (v, u)

    def stop(self, distance: Distance) -> float:
        """Where a position falls on this axis."""
        x, y = self.at.point(distance if self.is_along else ZERO, ZERO if self.is_along else distance)
        return x if self.level else y

    def draw(self) -> list[Box]:
        stops = [self.stop(one.at) for one in self.run.dimensions]
        self._line("dimension", self.start, self.stop_line, stops[-1], self.stop_line)
        x, y = self.xy(self.start, self.stop_line)
        add(self.group, "circle", cx=x, cy=y, r=ORIGIN, **(stroke("dimension") | {"fill": PAPER}))
        last = self.run.texts[len(stops) :]
        targets = stops + ([(stops[-1] + self.end) / 2] if last else [])
        centers = self._spread(targets)
        reaches = []
        for one, stop, center in zip(self.run.dimensions, stops, centers, strict=False):
            group = self._focus(f"{self.at.plan.key}-{one.id}", one.line or one.id, f"{self.name} {one.text}")
            reaches.append(self._reach(group, stop, self._farthest(one.at)))
            self._arrow(group, stop)
            self._number(group, one.text, stop, center)
        if last:
            self._last(last[0], stops[-1], targets[-1], centers[-1])
        return reaches

    def _spread(self, targets: list[float]) -> list[float]:
        """Centers of the numbers; spread() wants them ascending."""
        low, high = (0.0, self.at.wide) if self.level else (self.at.outer.top, self.at.outer.bottom)
        sizes = self.run.along_axis()
        if not self.level:
            spare = max(0.0, sum(sizes) - (high - low))
            low, high = (low - spare, high) if self.away > 0 or self._numbers_below() else (low, high + spare)
        if self.forward > 0:
            return spread(targets, sizes, low, high)
        return spread(targets[::-1], sizes[::-1], low, high)[::-1]

    def _numbers_below(self) -> bool:
        return outward(self.at.plan.orientation.zero_side(Axis.DOOR_FAR)) > 0

    def _farthest(self, position: Distance) -> float:
        """The mark farthest from the numbers on this stop: the thin line reaches that far."""
        step, at = in_mm(self.at.plan.tape.step), in_mm(position)
        reached = [v for stands, v in self._marks() if abs(stands - at) < step]
        return max(reached, key=lambda v: abs(v - self.wall), default=self.wall)

    def _marks(self) -> list[tuple[float, float]]:
        """Each mark's place on this axis, and where it stands away from the numbers; worked out once."""
        if self.marks is None:
            turned = 1 if self.level else 0
            self.marks = [
                (
                    in_mm(one.mark.along if self.is_along else one.mark.across),
                    self.at.point(one.mark.along, one.mark.across)[turned],
                )
                for one in self.at.plan.marks
            ]
        return self.marks

    def _reach(self, group: Element, stop: float, far: float) -> Box:
        self._line("reach", stop, self.stop_line, stop, far, group)
        (x1, y1), (x2, y2) = self.xy(stop, self.stop_line), self.xy(stop, far)
        return Box(min(x1, x2) - 0.15, min(y1, y2) - 0.15, max(x1, x2) + 0.15, max(y1, y2) + 0.15)

    def _arrow(self, group: Element, stop: float) -> None:
        back, half, v = stop - self.forward * ARROW, ARROW / 3, self.stop_line
        solid(group, [self.xy(stop, v), self.xy(back, v - half), self.xy(back, v + half)])

    def _number(self, group: Element, text: str, stop: float, center: float, pad: float = 0) -> None:
        edge = self.stop_line + self.away * LEADER
        self._line("dimension", stop, self.stop_line + self.away * 0.4, center, edge - self.away * 0.5, group)
        high = self.run.number_high
        long = width(text, high)
        deep = high if self.level and self.run.level else long
        middle = edge + self.away * (deep / 2 + pad)
        wide = long if self.level and self.run.level else high
        self.numbers.append(Box.around(*self.xy(center, middle), *self.xy(wide, deep)))
        (x1, y1), (x2, y2) = self.xy(stop, self.stop_line), self.xy(center, edge)
        self.numbers.append(Box(min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)))  # the leader's
        words(group, text, *self.xy(center, middle), self.run.number_pt, bold=True, level=self.run.level, kind="number")
        if pad:
            wide, tall = self.xy(self.run.along_axis()[-1] - BETWEEN, deep + 2 * pad)
            x, y = self.xy(center, middle)
            rectangle(group, "edge", x - wide / 2, y - tall / 2, wide, tall)

    def _last(self, text: str, stop: float, middle: float, center: float) -> None:
        """From the last mark to the wall: proves the room before anything is drilled."""
        way = "along" if self.is_along else "across"
        group = self._focus(f"{self.at.plan.key}-{way}-last", f"{way}-last", f"{self.name}, {say.TO_WALL}: {text}")
        self._line("dimension", stop, self.stop_line, self.end, self.stop_line, group)
        beyond = self.stop_line + self.away * 1.4
        self._line("dimension", self.end, self.wall + self.away * 0.8, self.end, beyond, group)
        slash = 0.9
        self._line("symbol", self.end - slash, self.stop_line + slash, self.end + slash, self.stop_line - slash, group)
        self._number(group, text, middle, center, BOX_PAD)

    def _focus(self, identity: str, line_name: str, title: str) -> Element:
        group = add(self.group, "g", kind="dimension-group", id=identity)
        group.set("data-line", line_name)
        if self.interactive:
            group.set("tabindex", "0")
        add(group, "title").text = title
        return group

    def _line(self, kind: str, u1: float, v1: float, u2: float, v2: float, group: Element | None = None) -> None:
        line(self.group if group is None else group, kind, *self.xy(u1, v1), *self.xy(u2, v2))
