r"""What ceiling speakers cover at ear height: circles, patterns of circles, and the level over a real room.

      ceiling  ----------+----------      A coverage angle is that between the directions 6 dB down at EQUAL distance
                        /|\               from the speaker. On the plane of the ears the circle's edge is further away
             h - ear   / | \              as well, and so further down: 9 dB for 90 degrees. The plane-corrected circle
                      /  |  \             is the one whose edge is 6 dB down on the plane.
        ears  -------+---+---+--------

Direct sound only: a room evens it out. Knows no marks as records, no Django.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from layout.engine.sound.levels import field_db, power_of
from layout.engine.sound.nearest import inside
from layout.engine.sound.values import EDGE_DB, NARROWEST_DEG, Floats, Loudspeaker, SoundError, Spot, below, over_zero

MOST_CELLS = 60_000
USUAL_STEP_M = 0.25
FARTHEST_RING = 40  # speakers out from the middle of an endless pattern; the rest is spread evenly
WIDEST_CIRCLE_DEG = 179.0  # a speaker as wide as the half space has no edge: this one is beyond any room
PATTERNS = ("square", "hex")


def half_angle(angle_deg: float) -> float:
    """Half a coverage angle, radians. Raises SoundError at 180 degrees and over, where a circle has no end."""
    if not NARROWEST_DEG <= angle_deg < 180:
        raise SoundError(
            f"A coverage angle of {angle_deg:g} degrees: give the full angle, {NARROWEST_DEG:g} to less than 180.",
            "angle_deg",
        )
    return math.radians(angle_deg / 2)


def diameter_m(ceiling_m: float, ear_m: float, angle_deg: float) -> float:
    """2 (h - ear) tan(angle / 2). A supplier's note has 2.6 m for 2.8 m, 1.5 m and 90 degrees (seen)."""
    return 2 * below(ceiling_m, ear_m) * math.tan(half_angle(angle_deg))


def edge_db(angle_deg: float, off_axis_db: float = EDGE_DB) -> float:
    """At the circle's edge against straight below: what the angle takes, and 20 log10(1 / cos(half)) for the way."""
    return off_axis_db + 20 * math.log10(math.cos(half_angle(angle_deg)))


def plane_diameter_m(ceiling_m: float, ear_m: float, angle_deg: float, edge: float = EDGE_DB) -> float:
    """The circle on the ears' plane whose edge is so many dB down, distance and all: with cos^n off axis,
    cos^(n + 2) = 10^(edge / 10)."""
    half_angle(angle_deg)
    if not edge < 0:
        raise SoundError(f"An edge of {edge:g} dB: give less than 0, such as -6.", "off_axis_db")
    cosine = 10 ** (edge / 10 / (power_of(angle_deg) + 2))
    return 2 * below(ceiling_m, ear_m) * math.sqrt(1 / cosine**2 - 1)


@dataclass(frozen=True, slots=True)
class Pattern:
    """An endless pattern of equal circles. covered and twice: shares of the plane in one circle and in two or more.

    row_over_diameter: from row to row. circles_over_a_point: how many on the average. Spacing is within a row.
    """

    covered: float
    twice: float
    row_over_diameter: float
    circles_over_a_point: float


def pattern(kind: str, spacing_over_diameter: float) -> Pattern:
    """Exact, any spacing. kind: "square", or "hex": rows half a spacing shifted, sqrt(3)/2 of it apart.

    Every point of the plane is a turn or a mirror image of one in the triangle from a speaker to half way to the next
    one to the corner of its cell; there the nearest speaker is at the triangle's tip and the second nearest is the next
    one. So the shares are those of two circles in one triangle.
    """
    slope = _slope(kind)
    over_zero(spacing_over_diameter, "spacing_over_diameter", "The spacing")
    half, radius = 0.5, 0.5 / spacing_over_diameter  # in spacings
    corners = ((0.0, 0.0), (half, 0.0), (half, half * slope))
    area = half * half * slope / 2
    rows = 1.0 if kind == "square" else math.sqrt(3) / 2
    covered, twice = (
        min(1.0, max(0.0, circle_in(corners, (center, 0.0), radius) / area)) if radius < 2 else 1.0
        for center in (0.0, 1.0)
    )
    row = rows * spacing_over_diameter
    return Pattern(covered, twice, row, math.pi / 4 / row / spacing_over_diameter)


def largest_spacing(kind: str) -> float:
    """Over the diameter, with every point in a circle: 1 / sqrt 2 square, sqrt(3) / 2 hex."""
    return math.cos(math.atan(_slope(kind)))


def _slope(kind: str) -> float:
    if kind not in PATTERNS:
        raise SoundError(f"There is no pattern {kind!r}: give {' or '.join(PATTERNS)}.", "pattern")
    return 1.0 if kind == "square" else 1 / math.sqrt(3)


def circle_in(corners: Sequence[Spot], center: Spot, radius: float) -> float:
    """Area of a circle inside a polygon (corners counterclockwise), exact: edge by edge, sectors and triangles."""
    total = 0.0
    for one, other in zip(corners, [*corners[1:], corners[0]], strict=True):
        total += _edge_area(
            (one[0] - center[0], one[1] - center[1]), (other[0] - center[0], other[1] - center[1]), radius
        )
    return total


def _edge_area(start: Spot, end: Spot, radius: float) -> float:
    """Signed area between the circle's middle and the part of it before an edge."""
    way = (end[0] - start[0], end[1] - start[1])
    square = way[0] ** 2 + way[1] ** 2
    if not square:
        return 0.0
    toward = -(start[0] * way[0] + start[1] * way[1]) / square
    off = math.hypot(start[0] + toward * way[0], start[1] + toward * way[1])
    if off >= radius:
        return _sector(start, end, radius)
    half = math.sqrt((radius**2 - off**2) / square)
    enters, leaves = max(0.0, toward - half), min(1.0, toward + half)
    if enters >= leaves:
        return _sector(start, end, radius)
    points = [start, *((start[0] + t * way[0], start[1] + t * way[1]) for t in (enters, leaves)), end]
    inner = (points[1][0] * points[2][1] - points[1][1] * points[2][0]) / 2
    return _sector(points[0], points[1], radius) + inner + _sector(points[2], points[3], radius)


def _sector(start: Spot, end: Spot, radius: float) -> float:
    turn = math.atan2(start[0] * end[1] - start[1] * end[0], start[0] * end[0] + start[1] * end[1])
    return radius**2 * turn / 2


def pattern_evenness_db(
    kind: str, spacing_over_diameter: float, angle_deg: float, *, on_plane: bool = False
) -> float:
    """Loudest minus quietest over an endless pattern, direct sound, energies added, cos^n off axis.

    on_plane: the angle is read as 6 dB down on the ears' plane rather than at equal distance. Printed tables use other
    definitions and differ by some dB: compare patterns by one rule only.
    """
    _slope(kind)
    over_zero(spacing_over_diameter, "spacing_over_diameter", "The spacing")
    half = half_angle(angle_deg)
    falls = power_of(angle_deg) + (0 if on_plane else 2)  # with the distance, cos^falls
    spacing = 2 * math.tan(half) * spacing_over_diameter  # in heights over the ears
    row = spacing * (1.0 if kind == "square" else math.sqrt(3) / 2)
    cells = 24
    x, y = np.meshgrid(np.linspace(0, spacing / 2, cells + 1), np.linspace(0, row, 2 * cells + 1))
    total = np.zeros_like(x)
    audible = min(20.0, math.sqrt(10 ** (12 / falls) - 1))  # heights away a speaker is 60 dB down
    ring = min(FARTHEST_RING, max(3, math.ceil(audible / min(spacing, row)) + 2))
    for j in range(-ring, ring + 1):
        shift = spacing / 2 if kind == "hex" and j % 2 else 0.0
        for i in range(-ring - 1, ring + 1):
            total += (1 + (x - i * spacing - shift) ** 2 + (y - j * row) ** 2) ** (-falls / 2)
    if falls > 2:  # else there is no end to it, and the pattern as far as it goes is all that can be said
        reached = (2 * ring + 1) * (2 * ring + 2) * spacing * row / math.pi  # the square of a radius
        total += 2 * math.pi / (spacing * row) * (1 + reached) ** (1 - falls / 2) / (falls - 2)
    if not total.min() > 1e-300 * total.max():
        raise SoundError("Between speakers so far apart nothing is left: give less.", "spacing_over_diameter")
    return float(10 * np.log10(total.max() / total.min()))


@dataclass(frozen=True, slots=True)
class Circle:
    """What one speaker covers on the plane of the ears. plane_radius_m: 6 dB down there."""

    id: str
    x: float
    y: float
    radius_m: float
    plane_radius_m: float


@dataclass(frozen=True, slots=True, eq=False)
class Coverage:
    """The direct field of a room's speakers at ear height, on a grid of cells.

    xs (columns,), ys (rows,): middles of the cells. level: (rows, columns) dB, NaN where nobody listens. overlap: how
    many circles are over each cell, -1 where nobody listens. covered, twice: shares of the listening area in a circle,
    in two or more. within: its share no more than within_db off the mean (of the energy). evenness_db: loudest minus
    quietest.
    """

    xs: Floats
    ys: Floats
    level: Floats
    overlap: np.ndarray[tuple[int, int], np.dtype[np.int64]]
    circles: tuple[Circle, ...]
    covered: float
    twice: float
    within: float
    within_db: float
    loudest_db: float
    quietest_db: float
    mean_db: float
    loudest_at: Spot
    quietest_at: Spot
    area_m2: float
    cell_m: tuple[float, float]  # width along x, depth along y

    @property
    def evenness_db(self) -> float:
        return self.loudest_db - self.quietest_db


def coverage(
    outline: Sequence[Spot],
    speakers: Sequence[Loudspeaker],
    ear_m: float,
    *,
    within_db: float = 3.0,
    step_m: float = USUAL_STEP_M,
) -> Coverage:
    """Speakers where they are, over the part of the plan where people listen (outline, corners in order, m).

    The step grows when the area is too large for it. Raises SoundError: no speaker, ears not below the speakers, no
    area.
    """
    if not speakers:
        raise SoundError("There is no speaker: place one at least.", "speakers")
    if len(outline) < 3:
        raise SoundError(f"{len(outline)} corners are no area: give three or more.", "outline")
    over_zero(step_m, "step_m", "The step")
    over_zero(within_db, "within_db", "The band")
    circles = tuple(_circle(one, ear_m) for one in speakers)
    xs, ys, cell_m = _cells(outline, step_m)
    across, down = np.meshgrid(xs, ys)
    flat = np.column_stack([across.ravel(), down.ravel()])
    listening = inside(outline, flat)
    if not listening.any():
        raise SoundError(
            "The outline has no area at this step: give its corners in order, or a smaller step.", "outline"
        )
    points = flat[listening]
    levels = field_db(speakers, np.column_stack([points, np.full(len(points), ear_m)]))
    over = np.zeros(len(points), dtype=np.int64)
    for one in circles:
        over += np.hypot(points[:, 0] - one.x, points[:, 1] - one.y) <= one.radius_m
    mean_db = float(10 * np.log10(np.mean(10 ** (levels / 10))))
    loudest, quietest = int(np.argmax(levels)), int(np.argmin(levels))
    return Coverage(
        xs,
        ys,
        _table(listening, levels, np.nan).reshape(across.shape),
        _table(listening, over, -1).reshape(across.shape).astype(np.int64),
        circles,
        float(np.mean(over >= 1)),
        float(np.mean(over >= 2)),
        float(np.mean(np.abs(levels - mean_db) <= within_db)),
        within_db,
        float(levels[loudest]),
        float(levels[quietest]),
        mean_db,
        (float(points[loudest, 0]), float(points[loudest, 1])),
        (float(points[quietest, 0]), float(points[quietest, 1])),
        len(points) * cell_m[0] * cell_m[1],
        cell_m,
    )


def _circle(speaker: Loudspeaker, ear_m: float) -> Circle:
    angle = min(speaker.coverage_deg, WIDEST_CIRCLE_DEG)
    radii = (diameter_m(speaker.z, ear_m, angle) / 2, plane_diameter_m(speaker.z, ear_m, angle) / 2)
    return Circle(speaker.id, speaker.x, speaker.y, *radii)


def _cells(outline: Sequence[Spot], step_m: float) -> tuple[Floats, Floats, Spot]:
    """Middles of cells that fill the outline's own rectangle, none of them half outside it."""
    corners = np.array(outline, dtype=np.float64)
    low, size = corners.min(axis=0), np.ptp(corners, axis=0)
    step_m = max(step_m, math.sqrt(float(size[0] * size[1]) / MOST_CELLS))
    counts = [max(1, math.ceil(side / step_m - 1e-9)) for side in size]
    cell = (float(size[0]) / counts[0], float(size[1]) / counts[1])
    xs, ys = (low[axis] + (np.arange(counts[axis]) + 0.5) * cell[axis] for axis in (0, 1))
    return xs, ys, cell


def _table(where: np.ndarray[tuple[int], np.dtype[np.bool_]], values: np.ndarray, other: float) -> Floats:
    told = np.full(len(where), other)
    told[where] = values
    return told
