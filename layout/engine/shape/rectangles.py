"""An outline cut into rectangles, for rows are straight and a zone is a rectangle. Knows no lights and no zones' names.

A room of square corners is cut so that the pieces cover it all; of a room with skewed walls the largest upright
rectangles inside it are taken, and what is narrower than a light needs is left, unless that is all there is.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise, product
from math import lcm

from layout.engine.ceiling import Corner
from layout.engine.lengths import Distance, Length, LengthError, Unit, inches, mm
from layout.engine.shape.outline import Outline

# A light stands 12 in off a wall at least, so nothing narrower than twice that takes one. Common practice, no source.
LEAST = {Unit.INCH: inches(24), Unit.MM: mm(600)}
STEPS = {
    Unit.INCH: tuple(inches(n) for n in (1, 3, 6, 12, 24, 48)),
    Unit.MM: tuple(mm(n) for n in (25, 100, 250, 1000)),
}
MOST_STEPS = 256  # lines each way that a room with skewed walls is searched on
MOST_TRIED = 6  # corners that stick into the room up to which every way of cutting is tried
MOST_PIECES = 60


class TooManyPieces(LengthError):
    """An outline so jagged that no one would lay lights out by its rectangles."""


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle in plan: from the left and the door side of the rectangle that encloses the room."""

    left: Distance
    door: Distance
    right: Distance
    far: Distance

    @property
    def wide(self) -> Distance:
        return self.right - self.left

    @property
    def deep(self) -> Distance:
        return self.far - self.door

    @property
    def area_nm2(self) -> Fraction:
        return self.wide.nm * self.deep.nm

    @property
    def corners(self) -> tuple[Corner, ...]:
        return (
            Corner(self.left, self.door),
            Corner(self.right, self.door),
            Corner(self.right, self.far),
            Corner(self.left, self.far),
        )


@lru_cache(maxsize=128)  # a draft is laid out again at every keystroke, over the same outline
def cut(outline: Outline, unit: Unit) -> tuple[Box, ...]:
    """The rectangles of an outline, the largest first, then the nearest to the door and the left.

    Square corners: as few as there can be where at most MOST_TRIED corners stick into the room, of these the ways with
    the largest rectangle first; else the largest first, again and again. Raises TooManyPieces.
    """
    if outline.square_cornered:
        turns = [(corner, turn) for corner, turn in _turns(outline) if turn]
        grid = _grid(outline, [corner.x for corner, _ in turns], [corner.y for corner, _ in turns])
        inward = [corner for corner, turn in turns if turn < 0]  # where a cut has to start
        if len(inward) // 2 + 1 > MOST_PIECES:  # a cut ends at two corners that stick in at most
            raise _too_many()
        pieces = grid.fewest(inward) if len(inward) <= MOST_TRIED else grid.largest_first()
    else:
        pieces = _inside_skewed(outline, unit)
    return tuple(sorted(pieces, key=lambda box: (-box.area_nm2, box.door.nm, box.left.nm)))


def _inside_skewed(outline: Outline, unit: Unit) -> list[Box]:
    """Searched on the lines of the upright walls and on whole steps between them.

    A rectangle from wall to wall comes first where it gives up no more than a quarter of the largest: rows are pulled
    from walls, not from a line 2 in off them that gains a foot in a bay.
    """
    ring = (*outline.corners, outline.corners[0])
    ends = [end for a, b in pairwise(ring) if a.x == b.x or a.y == b.y for end in (a, b)]
    walls_x, walls_y = [end.x for end in ends], [end.y for end in ends]
    steps_x, steps_y = _steps([c.x for c in ring], unit), _steps([c.y for c in ring], unit)
    grid = _grid(outline, [*walls_x, *steps_x], [*walls_y, *steps_y])
    largest = grid.largest()
    if largest is None:
        return []
    pieces: list[Box] = []
    to_walls = _grid(outline, walls_x, walls_y)  # on the lines through the ends of upright walls
    between = to_walls.largest(LEAST[unit]) if ends else None
    if between and 4 * to_walls.box(between).area_nm2 >= 3 * grid.box(largest).area_nm2:
        pieces.append(to_walls.box(between))
        grid.take(grid.cells(pieces[0]))
    return [*pieces, *grid.largest_first(LEAST[unit])] or [grid.box(largest)]


def _steps(at: Sequence[Distance], unit: Unit) -> list[Distance]:
    """The two ends, and whole steps between."""
    low, high = min(at, key=lambda each: each.nm), max(at, key=lambda each: each.nm)
    steps = STEPS[unit]
    step = next((one for one in steps if (high - low).nm <= MOST_STEPS * one.nm), steps[-1])
    first = -(-low.nm // step.nm)
    return [low, high, *(Distance(n * step.nm) for n in range(int(first), int(high.nm // step.nm) + 1))]


def _turns(outline: Outline) -> Iterator[tuple[Corner, Fraction]]:
    """Each corner and how the outline turns there: below 0 where it sticks into the room, 0 where it goes on."""
    ring = outline.corners
    for n, at in enumerate(ring):
        before, after = ring[n - 1], ring[(n + 1) % len(ring)]
        yield at, (at.x - before.x).nm * (after.y - at.y).nm - (at.y - before.y).nm * (after.x - at.x).nm


def _grid(outline: Outline, xs: Sequence[Distance], ys: Sequence[Distance]) -> _Grid:
    """Cells between all these lines; a cell is free where the whole of it is on the ceiling.

    The lines of all upright walls are among them. A cell that no other wall runs through is all inside or all outside.
    """
    scale = lcm(*(at.nm.denominator for at in (*xs, *ys, *(at for c in outline.corners for at in (c.x, c.y)))))
    across, up = sorted({int(x.nm * scale) for x in xs}), sorted({int(y.nm * scale) for y in ys})
    middles = [door + far for door, far in pairwise(up)]  # twice
    corners = [(int(corner.x.nm * scale), int(corner.y.nm * scale)) for corner in outline.corners]
    edges = [sorted(edge) for edge in pairwise((*corners, corners[0])) if edge[0][0] != edge[1][0]]
    free = []
    for left, right in pairwise(across):
        here = [(a, b) for a, b in edges if a[0] < right and left < b[0]]
        column = [False] * len(middles)
        crossed = sorted(2 * _height(a, b, left + right) for a, b in here if 2 * a[0] <= left + right < 2 * b[0])
        for low, high in zip(crossed[::2], crossed[1::2], strict=True):
            for row in range(bisect_left(middles, low), bisect_right(middles, high)):
                column[row] = True
        for a, b in here:
            ends = sorted((_height(a, b, 2 * max(left, a[0])), _height(a, b, 2 * min(right, b[0]))))
            for row in range(max(0, bisect_right(up, ends[0]) - 1), min(len(column), bisect_left(up, ends[1]))):
                column[row] = False
        free.append(column)
    return _Grid(across, up, free, scale)


def _height(a: tuple[int, int], b: tuple[int, int], twice_x: int) -> Fraction:
    if a[1] == b[1]:
        return Fraction(a[1])
    return a[1] + Fraction((b[1] - a[1]) * (twice_x - 2 * a[0]), 2 * (b[0] - a[0]))


def _too_many() -> TooManyPieces:
    return TooManyPieces(f"Outline: more than {MOST_PIECES} rectangles in it. Enter its zones as parts of the ceiling.")


@dataclass(slots=True)
class _Grid:
    """Lines each way, and which cells between them are free: free[column][row]. scale: lines to a nanometer."""

    xs: list[int]
    ys: list[int]
    free: list[list[bool]]
    scale: int

    def box(self, cells: tuple[int, int, int, int]) -> Box:
        """left, door, right, far as line numbers."""
        left, door, right, far = cells
        sides = (self.xs[left], self.ys[door], self.xs[right], self.ys[far])
        return Box(*(Distance(Fraction(side, self.scale)) for side in sides))

    def cells(self, box: Box) -> tuple[int, int, int, int]:
        """The line numbers of a box that stands on lines."""
        left, right = self._line(self.xs, box.left), self._line(self.xs, box.right)
        return left, self._line(self.ys, box.door), right, self._line(self.ys, box.far)

    # The largest, again and again

    def largest_first(self, least: Length | None = None) -> list[Box]:
        """least: stop where the largest is narrower; what is left is too narrow for a light."""
        left = _Grid(self.xs, self.ys, [list(column) for column in self.free], self.scale)
        pieces: list[Box] = []
        while (cells := left.largest(least)) is not None:
            if len(pieces) == MOST_PIECES:
                raise _too_many()
            pieces.append(self.box(cells))
            left.take(cells)
        return pieces

    def take(self, cells: tuple[int, int, int, int]) -> None:
        """These are free no more."""
        for column in range(cells[0], cells[2]):
            for row in range(cells[1], cells[3]):
                self.free[column][row] = False

    def largest(self, least: Length | None = None) -> tuple[int, int, int, int] | None:
        """The largest free rectangle, found under the skyline of each row in turn."""
        narrowest = int(least.nm) * self.scale if least else 0
        best: tuple[int, int, int, int] | None = None
        most = 0
        base = [0] * len(self.free)  # the line each column has been free from, up to this row
        for row in range(len(self.ys) - 1):
            top = self.ys[row + 1]
            for column, cells in enumerate(self.free):
                if not cells[row]:
                    base[column] = row + 1
            waiting: list[tuple[int, int]] = []  # (line a rectangle starts at, line its columns are free from)
            for column in range(len(base) + 1):
                start = column
                door = base[column] if column < len(base) else row + 1
                while waiting and waiting[-1][1] < door:
                    start, lower = waiting.pop()
                    wide, deep = self.xs[column] - self.xs[start], top - self.ys[lower]
                    if wide * deep > most and min(wide, deep) >= narrowest:
                        most, best = wide * deep, (start, lower, column, row + 1)
                if door <= row and not (waiting and waiting[-1][1] == door):
                    waiting.append((start, door))
        return best

    # The fewest

    def fewest(self, inward: Sequence[Corner]) -> list[Box]:
        """Every way to cut once from each corner that sticks in; of the ways with fewest pieces, the largest first."""
        at = [(self._line(self.xs, corner.x), self._line(self.ys, corner.y)) for corner in inward]
        ways = (
            self._pieces(at, upright, upright_first)
            for upright in product((False, True), repeat=len(at))
            for upright_first in ((False, True) if len(set(upright)) > 1 else (False,))
        )
        return min(ways, key=_order)

    def _line(self, lines: list[int], at: Distance) -> int:
        return bisect_left(lines, int(at.nm * self.scale))

    def _pieces(self, at: list[tuple[int, int]], upright: tuple[bool, ...], upright_first: bool) -> list[Box]:
        """Cuts run until they meet the outline or a cut made before."""
        level: set[tuple[int, int]] = set()  # (column, line) with a cut along that line
        plumb: set[tuple[int, int]] = set()  # (line, row)
        for standing in (upright_first, not upright_first):
            for (x, y), is_upright in zip(at, upright, strict=True):
                if is_upright is standing:
                    self._cut_upright(x, y, plumb, level) if standing else self._cut_level(x, y, level, plumb)
        return [self.box(cells) for cells in self._rooms(level, plumb)]

    def _cut_level(self, x: int, y: int, level: set[tuple[int, int]], plumb: set[tuple[int, int]]) -> None:
        for step, column in ((1, x), (-1, x - 1)):
            while 0 <= column < len(self.free) and self.free[column][y - 1] and self.free[column][y]:
                level.add((column, y))
                line = column + (step > 0)
                if (line, y - 1) in plumb and (line, y) in plumb:
                    break
                column += step

    def _cut_upright(self, x: int, y: int, plumb: set[tuple[int, int]], level: set[tuple[int, int]]) -> None:
        for step, row in ((1, y), (-1, y - 1)):
            while 0 <= row < len(self.ys) - 1 and self.free[x - 1][row] and self.free[x][row]:
                plumb.add((x, row))
                line = row + (step > 0)
                if (x - 1, line) in level and (x, line) in level:
                    break
                row += step

    def _rooms(self, level: set[tuple[int, int]], plumb: set[tuple[int, int]]) -> Iterator[tuple[int, int, int, int]]:
        """What the cuts leave joined: each piece from its corner nearest the door and the left."""
        seen: set[tuple[int, int]] = set()
        for column, cells in enumerate(self.free):
            for row, free in enumerate(cells):
                if not free or (column, row) in seen:
                    continue
                right, far = column + 1, row + 1
                while right < len(self.free) and self.free[right][row] and (right, row) not in plumb:
                    right += 1
                while far < len(cells) and cells[far] and (column, far) not in level:
                    far += 1
                seen |= {(x, y) for x in range(column, right) for y in range(row, far)}
                yield column, row, right, far


def _order(pieces: Sequence[Box]) -> tuple[int, list[tuple[Fraction, Fraction]]]:
    """Fewest first; then the largest, the second largest and so on, a wide one before a deep one of the same area."""
    return len(pieces), sorted((-box.area_nm2, -box.wide.nm) for box in pieces)
