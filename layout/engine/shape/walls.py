"""Walls taped in order around a room, and the outline they make once what the finish takes is off. Knows no zones.

Walk along the walls: each has its length, the turn at its end, and what the finish takes off it. What doesn't close is
told and never mended by itself: a person says which wall takes it up.

    toward the far wall      right 90
        ^      +-------------->+
        |      |   wall 2      |
        |      | wall 1        | wall 3        wall 1 was walked toward the far wall, so the others follow clockwise
               +<--------------+
                    wall 4
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from layout.engine.ceiling import Corner
from layout.engine.lengths import ZERO, Distance, Length, LengthError, Tape, nanometers
from layout.engine.marks import Side
from layout.engine.shape.nearness import root
from layout.engine.shape.outline import MOST_CORNERS, TooManyCorners, told
from layout.engine.shape.turns import Hand, Heading, Turn, along, turned, unit

QUARTERS_ROUND = 4
SQUARE = Turn()


@dataclass(frozen=True, slots=True)
class Wall:
    """length: framing to framing, corner to corner. takes_off: what the finish takes, square to the wall."""

    length: Length
    turn: Turn = SQUARE
    takes_off: Length = ZERO
    name: str = ""

    def __post_init__(self) -> None:
        if self.length <= ZERO:
            raise LengthError(f"{self.name or 'Wall'}: its length is more than 0.")
        if self.takes_off < ZERO:
            raise LengthError(f"{self.name or 'Wall'}: what the finish takes off is not below 0.")


class WallsDoNotClose(LengthError):
    """The walls were asked for an outline, and end away from where they started."""


class NothingLeftInside(LengthError):
    """The finish takes more than a wall has."""


@dataclass(frozen=True, slots=True)
class Suspect:
    """A wall that would bring the walk nearer its start. longer_by: below 0 it is shorter. leaves: what stays open."""

    number: int
    longer_by: Distance
    leaves: Distance


@dataclass(frozen=True, slots=True)
class Closing:
    """How far the last wall ends from where the first began.

    dx, dy: from the start to the end, to the right and toward the far wall. off: the straight distance.
    suspects: the likeliest first: what leaves least open, and of those the longest wall, where a tape sags most (common
    practice, no source).
    """

    dx: Distance
    dy: Distance
    off: Distance
    suspects: tuple[Suspect, ...]


@dataclass(frozen=True, slots=True)
class Turning:
    """Turns that don't go once around. quarters: right less left, in square corners. suspects: the corners that, turned
    the other way, make it go once around; those that make it close best stand first.
    """

    quarters: int
    suspects: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Walked:
    """The framing's corners in the order they were walked, from the door side and the left of all of them.

    start of wall n is corner n. closing, turning: None where they close, and go once around.
    """

    walls: tuple[Wall, ...]
    corners: tuple[Corner, ...]
    headings: tuple[Heading, ...]
    closing: Closing | None
    turning: Turning | None


def walk(walls: Sequence[Wall], toward: Side = Side.FAR) -> Walked:
    """Where walls taped in order stand. toward: the side the first was walked to.

    Corners off the square are held to the nanometer. An end within a nanometer for each wall closes.
    Raises LengthError for fewer than 3 walls, TooManyCorners.
    """
    if len(walls) < 3:
        raise LengthError(f"Walls: {len(walls)} entered. Go all around the room: at least 3.")
    headings = _headings(walls, toward)
    if len(walls) > MOST_CORNERS:
        raise TooManyCorners(len(walls))
    points = [(0, 0)]
    for wall, heading in zip(walls, headings, strict=False):
        x, y = along(heading, wall.length)
        points.append((points[-1][0] + x, points[-1][1] + y))
    end = points.pop()
    low_x, low_y = min(x for x, _ in points), min(y for _, y in points)
    corners = tuple(Corner(nanometers(x - low_x), nanometers(y - low_y)) for x, y in points)
    closing = None if max(map(abs, end)) <= len(walls) else _closing(walls, headings, end)
    return Walked(tuple(walls), corners, tuple(headings[:-1]), closing, _turning(walls, (*points[1:], end)))


def said(walked: Walked, tape: Tape | None = None) -> str:
    """What doesn't close and what to look at, in plain words; empty where all closes."""
    if walked.turning is not None:
        return _turning_said(walked.turning)
    if walked.closing is None:
        return ""
    walls, closing = walked.walls, walked.closing
    alone = [one for one in closing.suspects if not one.leaves]
    if not alone:
        ends = f"the last ends {_off(closing, tape)} of where the first began"
        return f"The walls do not close: {ends}.{_pair(walked, tape)}"
    first = alone[0]
    what = "short" if first.longer_by > ZERO else "long"
    return (
        f"The walls do not close: {told(abs(first.longer_by), tape)} {what} along {_called(walls, first.number)}. "
        f"Which wall is wrong? They close with {', or '.join(_changed(walls, one, tape) for one in alone)}."
    )


def _off(closing: Closing, tape: Tape | None) -> str:
    ways = (
        (closing.dx, "to the right" if closing.dx > ZERO else "to the left"),
        (closing.dy, "toward the far wall" if closing.dy > ZERO else "toward the door wall"),
    )
    return " and ".join(f"{told(abs(by), tape)} {way}" for by, way in ways if by)


def _pair(walked: Walked, tape: Tape | None) -> str:
    """The two likeliest walls that close it together."""
    suspects = walked.closing.suspects if walked.closing else ()
    for first, other in ((suspects[0], other) for other in suspects[1:]):
        try:
            closed = take_up(walked, (first.number, other.number))
        except LengthError:
            continue
        changes = (
            Suspect(number, closed.walls[number - 1].length - walked.walls[number - 1].length, ZERO)
            for number in (first.number, other.number)
        )
        both = " and ".join(_changed(walked.walls, one, tape) for one in changes)
        return f" No single wall mends that. Look first at two: they close with {both}."
    return " Check the turns as well: no two walls mend that."


def _called(walls: Sequence[Wall], number: int) -> str:
    name = walls[number - 1].name
    return f"the {name}" if name else f"wall {number}"


def _changed(walls: Sequence[Wall], one: Suspect, tape: Tape | None) -> str:
    way = "longer" if one.longer_by > ZERO else "shorter"
    return f"{_called(walls, one.number)} {way} by {told(abs(one.longer_by), tape)}"


def _turning_said(turning: Turning) -> str:
    look = ""
    if turning.suspects:
        corners = " or ".join(f"wall {number}" for number in turning.suspects[:3])
        look = f" Look first at the turn at the end of {corners}."
    return (
        f"The turns do not go once around: right corners less left ones come to {turning.quarters}, and make "
        f"{QUARTERS_ROUND} around a room (or {-QUARTERS_ROUND}, walked the other way).{look}"
    )


def take_up(walked: Walked, numbers: Sequence[int]) -> Walked:
    """The walk again with the named walls made longer or shorter so that it closes: one, or two on different lines.

    Raises LengthError when they can't close it. Nothing else ever changes a reading.
    """
    if walked.closing is None:
        return walked
    x, y = -walked.closing.dx.nm, -walked.closing.dy.nm
    chosen = [unit(walked.headings[number - 1]) for number in numbers]
    if len(chosen) == 1:
        by = [chosen[0][0] * x + chosen[0][1] * y]
    elif len(chosen) == 2:
        (ax, ay), (bx, by_) = chosen
        turn = ax * by_ - ay * bx
        if not turn:
            raise LengthError("Those two walls run on the same line: name one of them, or two on different lines.")
        by = [(x * by_ - y * bx) / turn, (ax * y - ay * x) / turn]
    else:
        raise LengthError("Name one wall or two that take up what is open.")
    walls = list(walked.walls)
    for number, more in zip(numbers, by, strict=True):
        length = round(walls[number - 1].length.nm + more)
        if length <= 0:
            raise LengthError(f"{_called(walls, number).capitalize()} isn't long enough to take that up. Name another.")
        walls[number - 1] = replace(walls[number - 1], length=nanometers(length))
    again = walk(walls, _toward(walked.headings[0]))
    if again.closing is not None:
        raise LengthError(f"That leaves {told(again.closing.off, None)} open. Name two walls on different lines.")
    return again


def _toward(heading: Heading) -> Side:
    return {(0, 1): Side.FAR, (0, -1): Side.DOOR, (1, 0): Side.RIGHT, (-1, 0): Side.LEFT}[heading]


def finished_corners(walked: Walked) -> tuple[Corner, ...]:
    """The finished ceiling's corners: every wall moved in by what the finish takes off it, each met with the next.

    From the door side and the left of all of them. Where a wall goes straight on and the finish changes, a step is
    left. Raises WallsDoNotClose, NothingLeftInside; whether the outline is sound is asked of outline_of.
    """
    if walked.closing is not None or walked.turning is not None:
        raise WallsDoNotClose(said(walked))
    lines = [_moved_in(walked, n) for n in range(len(walked.walls))]
    points: list[tuple[Fraction, Fraction]] = []
    for before, after in pairwise((lines[-1], *lines)):
        points += _met(before, after)
    runs = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise((*points, points[0]))]
    _check_left(walked, points, runs)
    low_x, low_y = min(x for x, _ in points), min(y for _, y in points)
    return tuple(Corner(Distance(x - low_x), Distance(y - low_y)) for x, y in points)


def _check_left(
    walked: Walked, points: Sequence[tuple[Fraction, Fraction]], runs: Sequence[tuple[Fraction, Fraction]]
) -> None:
    """No wall may have turned round: that would be a wall the finish has eaten."""
    if len(points) != len(walked.walls):  # a step: the outline's own checks tell a step too many
        return
    for number, ((x, y), (hx, hy)) in enumerate(zip(runs, walked.headings, strict=True), 1):
        if x * hx + y * hy <= 0:
            raise NothingLeftInside(
                f"Nothing is left of {_called(walked.walls, number)}: what the finish takes off the walls beside it is "
                "more than its length. Check its length and theirs."
            )


def _headings(walls: Sequence[Wall], toward: Side) -> list[Heading]:
    """Each wall's, and the one after the last turn."""
    first = {Side.FAR: (0, 1), Side.DOOR: (0, -1), Side.RIGHT: (1, 0), Side.LEFT: (-1, 0)}[toward]
    headings = [first]
    for wall in walls:
        headings.append(turned(headings[-1], wall.turn))
    return headings


# What doesn't close


def _closing(walls: Sequence[Wall], headings: Sequence[Heading], end: tuple[int, int]) -> Closing:
    dx, dy = end
    suspects = []
    for number, (_, heading) in enumerate(zip(walls, headings, strict=False), 1):
        ux, uy = unit(heading)
        by = -(ux * dx + uy * dy)
        left = root(Fraction((dx + by * ux) ** 2 + (dy + by * uy) ** 2))
        by_whole, left = nanometers(round(by)), (ZERO if left.nm <= len(walls) else left)
        if abs(by_whole.nm) > len(walls) and walls[number - 1].length + by_whole > ZERO:
            suspects.append(Suspect(number, by_whole, left))
    suspects.sort(key=lambda one: (one.leaves.nm, -walls[one.number - 1].length.nm, one.number))
    off = root(Fraction(dx * dx + dy * dy))
    return Closing(nanometers(dx), nanometers(dy), off, tuple(suspects))


def _turning(walls: Sequence[Wall], ends: Sequence[tuple[int, int]]) -> Turning | None:
    """Asked of square corners only: what is off by angles shows in what doesn't close. ends: each wall's."""
    if any(wall.turn.angle is not None for wall in walls):
        return None
    quarters = _quarters(walls)
    if abs(quarters) == QUARTERS_ROUND:
        return None
    found = []
    for number, (wall, (x, y)) in enumerate(zip(walls, ends, strict=True), 1):
        if abs(quarters - 2 if wall.turn.hand is Hand.RIGHT else quarters + 2) == QUARTERS_ROUND:
            # The other way at this corner swings all that follows half around it
            over, up = 2 * x - ends[-1][0], 2 * y - ends[-1][1]
            found.append((over * over + up * up, number))
    return Turning(quarters, tuple(number for _, number in sorted(found)))


def _quarters(walls: Sequence[Wall]) -> int:
    return sum(1 if wall.turn.hand is Hand.RIGHT else -1 for wall in walls)


# What the finish takes off

Line = tuple[tuple[Fraction, Fraction], Heading, tuple[Fraction, Fraction]]


def _moved_in(walked: Walked, n: int) -> Line:
    """A wall's finished face: a point on it at the wall's start, its heading, and the wall's end moved in alike."""
    wall, (hx, hy) = walked.walls[n], walked.headings[n]
    clockwise = _clockwise(walked.corners)
    inward = (hy, -hx) if clockwise else (-hy, hx)
    ox, oy = along(inward, wall.takes_off) if wall.takes_off else (0, 0)
    a, b = walked.corners[n], walked.corners[(n + 1) % len(walked.corners)]
    return (a.x.nm + ox, a.y.nm + oy), (hx, hy), (b.x.nm + ox, b.y.nm + oy)


def _met(before: Line, after: Line) -> list[tuple[Fraction, Fraction]]:
    """Where two faces meet: one corner, or the two of a step where the wall goes straight on."""
    _, (hx, hy), (px, py) = before
    (qx, qy), (gx, gy), _ = after
    turn = hx * gy - hy * gx
    if not turn:
        return [(px, py)] if (px, py) == (qx, qy) else [(px, py), (qx, qy)]
    on = ((qx - px) * gy - (qy - py) * gx) / turn
    # A wall that runs square to the room keeps its line exactly; only the other coordinate can need rounding
    x = px if not hx else qx if not gx else Fraction(round(px + on * hx))
    y = py if not hy else qy if not gy else Fraction(round(py + on * hy))
    return [(x, y)]


def _clockwise(corners: Sequence[Corner]) -> bool:
    ring = (*corners, corners[0])
    return sum(a.x.nm * b.y.nm - b.x.nm * a.y.nm for a, b in pairwise(ring)) < 0
