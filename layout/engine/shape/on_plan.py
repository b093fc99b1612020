"""An outline in meters, as light and sound look at it: what is inside, how far off its edge, how large.

Floats: what is drilled is held against the exact outline; here a micrometer is nothing.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Truths = npt.NDArray[np.bool_]
Corners = Floats | Sequence[tuple[float, float]]


def inside(corners: Corners, points: Floats) -> Truths:
    """Which points (n, 2) are inside, by the parity of edges crossed, (n,); on an edge either may be said."""
    at = np.asarray(corners, dtype=np.float64)
    odd = np.zeros(len(points), dtype=np.bool_)
    x, y = points[:, 0], points[:, 1]
    for (ax, ay), (bx, by) in zip(at, np.roll(at, -1, axis=0), strict=True):
        if ay != by:
            odd ^= ((ay > y) != (by > y)) & (x < ax + (y - ay) * (bx - ax) / (by - ay))
    return odd


def holds(corners: Corners, x: float, y: float) -> bool:
    """`inside` for one place."""
    return bool(inside(corners, np.array([[x, y]], dtype=np.float64))[0])


def off_edge(corners: Corners, points: Floats) -> Floats:
    """How far each point (n, 2) is from the nearest edge, m, (n,). A corner given twice is no edge."""
    at = np.asarray(corners, dtype=np.float64)
    least = np.full(len(points), np.inf)
    for a, b in zip(at, np.roll(at, -1, axis=0), strict=True):
        edge = b - a
        square = edge @ edge
        along = np.clip((points - a) @ edge / square, 0.0, 1.0) if square else np.zeros(len(points))
        off = points - a - along[:, None] * edge
        least = np.minimum(least, np.hypot(off[:, 0], off[:, 1]))
    return least


def area(corners: Corners) -> float:
    """m2; above 0 where the corners run counterclockwise."""
    x, y = np.asarray(corners, dtype=np.float64).T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
