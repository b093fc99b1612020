"""The least cable that joins lights with junctions at lights alone. Knows plan points; not cables, prices or Django.

The least tree over points is found by always taking the shortest step to a point not joined yet.
Source: R. C. Prim, Shortest Connection Networks and Some Generalizations, Bell System Technical Journal 36 (1957),
from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from layout.engine.wiring.chain import Number, distances, whole

ROOT = -1


@dataclass(frozen=True, slots=True)
class Tree:
    """edges: from, to, as indexes of the points (ROOT for the root), in the order they are reached."""

    edges: tuple[tuple[int, int], ...]
    length: Fraction


def least_tree(points: Sequence[tuple[Number, Number]], root: tuple[Number, Number] | None = None) -> Tree:
    """The least tree along x and y over the points and the root. Exact; any one unit.

    Without a root it grows from the point with the least x, then y. The points' sequence doesn't matter: of equally
    short steps the one to the point with the lower x, then y, from the point joined earliest.
    Raises ValueError for a number that isn't finite.
    """
    places, scale = whole([*points, *([root] if root is not None else [])])
    first = places.pop() if root is not None else None
    inner = sorted(range(len(places)), key=places.__getitem__)
    edges = grown(*distances([places[index] for index in inner], first))
    xy = [*places, first or (0, 0)]  # ROOT, -1, finds the root
    named = tuple((inner[a] if a != ROOT else ROOT, inner[b]) for a, b in edges)
    length = sum(abs(xy[a][0] - xy[b][0]) + abs(xy[a][1] - xy[b][1]) for a, b in named)
    return Tree(named, Fraction(length, scale))


def grown(between: Sequence[Sequence[int]], from_root: Sequence[int] | None) -> tuple[tuple[int, int], ...]:
    """The least tree's edges over a table of distances, from the root, or from the first point when there is none.

    Of equally short steps: the one to the lower index, from what was joined earliest.
    """
    count = len(between)
    if not count:
        return ()
    if from_root is None:
        left, reach, parent = list(range(1, count)), list(between[0]), [0] * count
    else:
        left, reach, parent = list(range(count)), list(from_root), [ROOT] * count
    edges = []
    while left:
        nearest = min(left, key=lambda j: (reach[j], j))
        left.remove(nearest)
        edges.append((parent[nearest], nearest))
        for j in left:
            if between[nearest][j] < reach[j]:
                reach[j], parent[j] = between[nearest][j], nearest
    return tuple(edges)
