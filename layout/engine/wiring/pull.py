"""What every run of a room is made with: its ceiling, its ways, its cables, its make-up. Knows no zones or speakers."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeVar

from layout.engine.lengths import ZERO, Distance, Length, nanometers
from layout.engine.marks import Axis
from layout.engine.wiring.chain import Drop, Point, distances, natural, ordered, path
from layout.engine.wiring.order import Order
from layout.engine.wiring.paths import Ground, Way
from layout.engine.wiring.values import (
    Allowances,
    Cables,
    Lacks,
    Note,
    Ordered,
    Outlet,
    Part,
    Run,
    RunKind,
)

Parts = tuple[tuple[Part, Distance], ...]
Lacking = tuple[tuple[Lacks, tuple[str, ...]], ...]
Steps = list[int] | None
Solved = TypeVar("Solved")
NO_WAY = 10**15  # nm, 600 miles: farther than anything that can be reached
NEAR = 6  # neighbors of each point whose true ways are put in at once; of the start twice as many
AGAIN = 4  # times an order is sought again with more true ways in it


@dataclass(frozen=True, slots=True)
class Draft:
    """A run, and what it lacks to be counted: each with what waits for it. A length set by hand makes up for it."""

    run: Run
    lacks: Lacking = ()


@dataclass(frozen=True, slots=True)
class Pull:
    """One room's means."""

    ground: Ground
    ceiling: Length | None
    rows_run: Axis
    cables: Cables
    allowances: Allowances

    def run(
        self,
        kind: RunKind,
        cable: str,
        ends: tuple[tuple[str, Point | None], tuple[str, Point | None]],
        before: Parts = (),
        after: Parts = (),
        zone: str = "",
        circuit: str = "",
        lacks: Lacking = (),
        notes: tuple[Note, ...] = (),
    ) -> Draft:
        """From box to box. before, after: the parts that stand before and after its way on the plan."""
        (from_id, a), (to_id, b) = ends
        way = self.ground.way(a, b) if a and b else None
        if a and b and way is None:
            lacks = (*lacks, (Lacks.WAY, (f"{from_id}\N{EN DASH}{to_id}",)))
        if lacks or way is None:
            run = Run(kind, cable, from_id, to_id, (), zone, circuit, way.points if way else (), notes=notes)
            return Draft(run, lacks)
        parts = (*before, *on_the_plan(way), *after)
        return Draft(
            Run(kind, cable, from_id, to_id, parts, zone, circuit, way.points, way.bored, way.around, notes=notes)
        )

    def drop(self, outlet: Outlet) -> Distance:
        """From the ceiling to the box, floors between counted. ZERO while the ceiling's height is not known."""
        return abs(self.ceiling - (outlet.story + outlet.height)) if self.ceiling is not None else ZERO

    def drop_parts(self, part: Part, outlet: Outlet) -> Parts:
        """The drop; floor to floor beside it where the box is a story below; what was measured past the box."""
        drop = self.drop(outlet)
        floors = -outlet.story if outlet.story < ZERO else ZERO
        if self.ceiling is not None and floors and drop > floors:
            told: Parts = ((part, drop - floors), (Part.FLOORS, floors))
        else:
            told = ((part, drop),)
        return (*told, (Part.BEYOND, outlet.beyond)) if outlet.beyond else told

    @property
    def height_lacks(self) -> Lacking:
        return ((Lacks.HEIGHT, ()),) if self.ceiling is None else ()

    def reachable(self, drops: Sequence[Drop], start: Point | None) -> tuple[tuple[Drop, ...], tuple[Drop, ...]]:
        """Those that can be reached from the start, or from most of the others; and those that can't."""
        if self.ground.is_clear:
            return tuple(drops), ()
        groups: list[tuple[Point, list[Drop]]] = [(start, [])] if start else []
        for drop in drops:
            for point, group in groups:
                if self.ground.way(point, drop.at):
                    group.append(drop)
                    break
            else:
                groups.append((drop.at, [drop]))
        main = groups[0][1] if start else max((group for _, group in groups), key=len, default=[])
        return tuple(main), tuple(drop for drop in drops if drop not in main)

    def shortest(
        self, drops: Sequence[Drop], start: Point | None, extra: Sequence[Distance] = (), first: Distance = ZERO
    ) -> Order:
        """The shortest order of drops that stand by ID, ways around things counted.

        extra: what each adds to every way that reaches it (a drop down a wall); first: the same for the start.
        """
        added = [round(each.nm) for each in extra] or [0] * len(drops)

        def solved(between: list[list[int]], steps: Steps) -> Order:
            raised = [
                [each + added[i] + added[j] if i != j else 0 for j, each in enumerate(row)]
                for i, row in enumerate(between)
            ]
            from_start = [each + round(first.nm) + added[j] for j, each in enumerate(steps)] if steps else None
            return ordered(drops, self.rows_run, raised, from_start)

        def hops(found: Order) -> list[tuple[int, int]]:
            inner = list(pairwise(found.order))
            return [(-1, found.order[0]), *inner] if start and found.order else inner

        points = [drop.at for drop in drops]
        found, true = self.over_ways(points, start, solved, hops, AGAIN)
        if true:
            return found[-1]
        lengths = [self._true_length(each.order, points, start, added, round(first.nm)) for each in found]
        shortest = min(range(len(found)), key=lengths.__getitem__)
        return Order(found[shortest].order, lengths[shortest], max(each.least for each in found))

    def over_ways(
        self,
        points: Sequence[Point],
        start: Point | None,
        solve: Callable[[list[list[int]], Steps], Solved],
        hops: Callable[[Solved], Iterable[tuple[int, int]]],
        again: int,
    ) -> tuple[list[Solved], bool]:
        """Solve over distances no way is shorter than; put in the true ones of what it uses; solve again.

        What is shortest over distances some of which are too short, and uses true ones alone, is the shortest.
        start is -1 in hops.
        Returns: what was found each time, and whether the last of it uses true distances alone.
        """
        xy = [(int(each.x), int(each.y)) for each in points]
        between, steps = distances(xy, (int(start.x), int(start.y)) if start else None)
        if self.ground.is_clear:
            return [solve(between, steps)], True

        def put_in(pairs: Iterable[tuple[int, int]]) -> bool:
            changed = False
            for i, j in pairs:
                way = self.ground.way(start if i < 0 and start else points[i], points[j])
                true = int(way.length) if way else NO_WAY
                row = steps if i < 0 and steps is not None else between[i]
                changed |= row[j] != true
                row[j] = true
                if i >= 0:
                    between[j][i] = true
            return changed

        put_in(_near(between, steps))
        found = []
        for _ in range(again):
            found.append(solve(between, steps))
            if not put_in(hops(found[-1])):
                return found, True
        return found, False

    def _true_length(
        self, order: Sequence[int], points: Sequence[Point], start: Point | None, added: Sequence[int], first: int
    ) -> int:
        path = ([start] if start else []) + [points[index] for index in order]
        ends = first + added[order[0]] if start else 0
        return self.length_through(path) + ends + sum(added[a] + added[b] for a, b in pairwise(order))

    def told(self, what: str, name: str, order: Sequence[Drop], length: int, found: Order) -> Ordered:
        ids = tuple(drop.id for drop in order)
        return Ordered(what, name, ids, nanometers(length), nanometers(found.length), nanometers(found.least))

    def as_set(self, ids: Sequence[str], drops: Sequence[Drop]) -> list[Drop]:
        """In a person's order; those it doesn't name follow from its last one, shortest."""
        by_name = {drop.id: drop for drop in drops}
        named = [by_name[each] for each in dict.fromkeys(ids) if each in by_name]
        others = [drop for drop in drops if drop not in named]
        after = self.shortest(others, named[-1].at if named else None)
        return [*named, *(others[index] for index in after.order)]

    def no_way(
        self,
        kind: RunKind,
        cable: str,
        drops: Sequence[Drop],
        reached: Sequence[Drop],
        start: str,
        zone: str = "",
        circuit: str = "",
    ) -> list[Draft]:
        """What can't be reached, from the nearest that can be, until a person sets how long that run is."""
        return [
            Draft(
                Run(kind, cable, _nearest(drop, reached, start), drop.id, (), zone, circuit, (drop.at,)),
                ((Lacks.WAY, (drop.id,)),),
            )
            for drop in drops
        ]

    def length_through(self, points: Sequence[Point]) -> int:
        """Along the ways from each to the next, in nm."""
        if self.ground.is_clear:
            xy = [(int(each.x), int(each.y)) for each in points]
            return sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in pairwise(xy))
        ways = [self.ground.way(a, b) for a, b in pairwise(points)]
        return sum(int(way.length) if way else NO_WAY for way in ways)


def on_the_plan(way: Way) -> Parts:
    if not way.detour:
        return ((Part.PATH, way.length),)
    return (Part.PATH, way.length - way.detour), (Part.DETOUR, way.detour)


def _near(between: list[list[int]], steps: Steps) -> list[tuple[int, int]]:
    """Each point with those nearest to it, the start (-1) with more of them."""
    count = len(between)
    pairs = {(-1, j) for j in sorted(range(count), key=steps.__getitem__)[: 2 * NEAR]} if steps else set()
    for i, row in enumerate(between):
        nearest = sorted((j for j in range(count) if j != i), key=row.__getitem__)[:NEAR]
        pairs |= {(min(i, j), max(i, j)) for j in nearest}
    return sorted(pairs)


def _nearest(drop: Drop, reached: Sequence[Drop], start: str) -> str:
    """The ID of what stands nearest along x and y; the start's when nothing is reached."""
    return min(reached, key=lambda other: (path(drop.at, other.at), natural(other.id))).id if reached else start
