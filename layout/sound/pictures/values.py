"""What a picture of sound is made of and what comes out: a room in meters, lengths as the shop says them, an SVG."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from layout.engine.lengths import Tape, Unit, inches, mm
from layout.engine.marks import Kind, Side


@dataclass(frozen=True, slots=True)
class SeatAt:
    """A seat on the plan."""

    name: str
    x_m: float
    y_m: float
    main: bool = False


@dataclass(frozen=True, slots=True)
class MarkAt:
    """What gives sound, on the plan: its ID, and what it plays below it. floor: it stands there."""

    id: str
    kind: Kind
    x_m: float
    y_m: float
    plays: str = ""
    floor: bool = False


@dataclass(frozen=True, slots=True)
class ScreenAt:
    wall: Side
    center_m: float  # along its wall, from the left or the door wall
    width_m: float


@dataclass(frozen=True, slots=True)
class RoomAt:
    """A finished room and what stands in it. walls: their names, door, left, far, right."""

    wide_m: float
    deep_m: float
    walls: tuple[str, str, str, str] = ("", "", "", "")
    corners_m: tuple[tuple[float, float], ...] = ()
    seats: tuple[SeatAt, ...] = ()
    marks: tuple[MarkAt, ...] = ()
    screen: ScreenAt | None = None


def length(meters: float, tape: Tape) -> str:
    """A computed distance as the shop reads one: to the half inch, or to the centimeter."""
    half_inches = inches(Fraction(round(meters / 0.0254 * 2), 2))
    return tape.show(half_inches if tape.unit is Unit.INCH else mm(round(meters * 100) * 10))
