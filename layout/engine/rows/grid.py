"""A lay-in grid's tiles on one axis of a ceiling: borders, tile middles, and which middles lines of marks take.

    edge |border|   tile   |   tile   |   tile   |border| edge
                      x          x          x              x: where a mark may stand

Knows tiles and lines, no fixtures and no rooms.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import floor

from layout.engine.ceiling import Grid
from layout.engine.lengths import ZERO, Distance, Length, LengthError, Unit, inches, mm, nanometers

MOST_TILES = 150  # places in a row that are looked through: 300 ft of 24 in tiles
A_NANOMETER = nanometers(1)
NOMINAL = {  # grid modules as sold; common practice, no source
    Unit.INCH: tuple(inches(size) for size in (12, 20, 24, 30, 48, 60)),
    Unit.MM: tuple(mm(size) for size in (300, 600, 625, 1200, 1250)),
}


class GridError(LengthError):
    """A grid that can't be laid on a ceiling. The message names the field and the remedy."""


@dataclass(frozen=True, slots=True)
class Border:
    """full_tiles: whole ones in a row. border: the cut tile at either end; a whole tile's width where none is cut."""

    full_tiles: int
    border: Distance


def border(net: Distance, tile: Length) -> Border:
    """The border rule: as many whole tiles as leave at least half a tile at both walls.

    border = (net - n x tile) / 2 with n = floor(net / tile); under half a tile, n - 1. What divides evenly has whole
    tiles at the walls: its border is 0, n stays. Source: half-tile border rule, as quoted by public pages.
    """
    count = floor(net.nm / tile.nm)
    if not count:
        return Border(0, net)  # one cut tile, wall to wall
    left = (net - tile * count) / 2
    if left and left < tile / 2:
        count, left = count - 1, left + tile / 2
    return Border(count, left)


def usual_grid(unit: Unit) -> Grid:
    """24 x 24 in or 600 x 600 mm by the border rule, until somebody says otherwise. Common practice, no source."""
    side = inches(24) if unit is Unit.INCH else mm(600)
    return Grid(side, side)


def other_units_nominal(pitch: Length, unit: Unit) -> str:
    """'24 in' or '600 mm' where a pitch is another system's usual one and none of this unit's; else ''."""
    other = Unit.MM if unit is Unit.INCH else Unit.INCH
    if any(abs(pitch - size) <= mm(1) for size in NOMINAL[unit]):
        return ""
    near = [size for size in NOMINAL[other] if abs(pitch - size) <= mm(1)]
    if not near:
        return ""
    return f"{near[0].inches} in" if other is Unit.INCH else f"{near[0].mm} mm"


@dataclass(frozen=True, slots=True)
class Tiles:
    """The tiles of one axis, from the zero corner.

    lines: the tees, ascending, inside the ceiling. middles: where a mark may stand, ascending. full: whole tiles.
    mirrors: the grid is the same from both walls.
    """

    size: Distance
    pitch: Length
    lines: tuple[Distance, ...]
    middles: tuple[Length, ...]
    full: int
    mirrors: bool

    @property
    def first_border(self) -> Distance:
        return self.lines[0] if self.lines else self.size

    @property
    def last_border(self) -> Distance:
        return self.size - self.lines[-1] if self.lines else self.size

    def off(self, at: Distance) -> Distance:
        """From a mark to the nearest middle it may take."""
        return min((abs(at - middle) for middle in self.middles), key=lambda each: each.nm, default=self.size)

    def cut_tile(self, at: Distance) -> Distance | None:
        """How wide the cut border tile is that a mark stands in; None in a whole tile."""
        if at < self.first_border < self.pitch:
            return self.first_border
        if self.size - at < self.last_border < self.pitch:
            return self.last_border
        return None

    def nearest(self, at: Distance, taken: frozenset[Length] = frozenset()) -> Length | None:
        """The free middle nearest to a place; of two alike the one toward the ceiling's middle."""
        free = [middle for middle in self.middles if middle not in taken]
        middle = self.size / 2
        return min(free, key=lambda each: (abs(each - at).nm, abs(each - middle).nm, each.nm), default=None)


def tiles_of(size: Distance, pitch: Length, line: Distance | None, *, half_tiles: bool, cut_tiles: bool) -> Tiles:
    """A ceiling's tiles on one axis.

    Args: size: edge to edge. line: a grid line as found, from the zero edge; None: by the border rule.
    Raises GridError.
    """
    if pitch <= ZERO:
        raise GridError("Tile: give its size, more than 0, both ways.")
    if size.nm / pitch.nm > MOST_TILES:
        raise GridError(f"Tile: more than {MOST_TILES} of them would lie in a row. Check the tile's size.")
    first = border(size, pitch).border if line is None else Distance(line.nm % pitch.nm)
    lines = tuple(_lines(first, size, pitch))
    edges = [ZERO, *lines, size]
    middles: list[Length] = []
    full = 0
    for start, end in pairwise(edges):
        whole = end - start == pitch
        full += whole
        if whole or (cut_tiles and end > start):
            middles.append(on_the_nanometer(start + (end - start) / 2))
        if whole and half_tiles:
            middles += [on_the_nanometer(start + pitch / 4), on_the_nanometer(end - pitch / 4)]
    if len(middles) > MOST_TILES:
        raise GridError(
            f"Tile: {len(middles)} places would lie in a row, and {MOST_TILES} are looked through. Leave half tiles "
            "out, or check the tile's size."
        )
    mirrors = not lines or lines[0] == size - lines[-1]
    return Tiles(size, pitch, lines, tuple(sorted(middles)), full, mirrors)


def _lines(first: Distance, size: Distance, pitch: Length) -> Iterator[Distance]:
    at = first if first else first + pitch
    while at < size:
        yield at
        at = at + pitch


def on_the_nanometer(at: Distance) -> Length:
    """Where it is, on a tape's mark or not: a Length holds whole nanometers."""
    return nanometers(floor(at.nm))


# Which middles lines take


@dataclass(frozen=True, slots=True)
class Chosen:
    """The lines at tile middles. off_middle: how far off the grid's own middle the worst of two twins stand."""

    at: tuple[Length, ...]
    off_middle: Distance


def choose(
    tiles: Tiles, asked: tuple[Length, ...], held: Mapping[int, Length], limit: Length | None = None
) -> Chosen | None:
    """The tile middles for lines asked for elsewhere; None when there are too few. held: pinned, by number from 1.

    Of all choices, in this order: one that mirrors about the grid's own middle, where the tiles and the pinned lines
    do; gaps within the limit; outer lines in the tile nearest to where they were asked or the next one, or two on; gaps
    as alike as they can be; nearest in all to what was asked; nearest to the zero corner.
    """
    if not tiles.middles:
        return None
    about = tiles.middles[0] + tiles.middles[-1]
    ends = zip(tiles.middles, reversed(tiles.middles), strict=True)
    mirrors = all(abs(a + b - about) <= A_NANOMETER for a, b in ends) and all(
        abs(at + held.get(len(asked) + 1 - number, ZERO) - about) <= A_NANOMETER for number, at in held.items()
    )
    for mirrored in (True, False) if mirrors else (False,):
        search = _Search(tiles, asked, held, mirrored=mirrored)
        for most in dict.fromkeys((limit, None)):
            for reach in (1, 2, None):
                found = search.best(most, reach)
                if found is not None:
                    twins = zip(found, reversed(found), strict=True)
                    off = max((abs(a + b - about) / 2 for a, b in twins), key=lambda each: each.nm)
                    return Chosen(found, off if off > A_NANOMETER and not held else ZERO)
    return None


class _Search:
    """Exact over tile middles, whole nanometers. Mirrored: the lines before the middle are chosen, the rest follow."""

    def __init__(
        self, tiles: Tiles, asked: tuple[Length, ...], held: Mapping[int, Length], *, mirrored: bool
    ) -> None:
        self.pitch, self.count, self.mirrored = int(tiles.pitch), len(asked), mirrored
        self.asked = [int(at) for at in asked]
        middles = [int(at) for at in tiles.middles]
        pinned = {number: int(at) for number, at in held.items()}
        self.twin = dict(zip(middles, reversed(middles), strict=True))
        self.twin |= {at: pinned.get(self.count + 1 - number, at) for number, at in pinned.items()}
        near, lines = middles, self.count
        self.center: int | None = None
        self.possible = True
        if mirrored:
            near, lines = [at for at in middles if at < self.twin[at]], self.count // 2
            if self.count % 2:
                in_the_middle = next((at for at in middles if at == self.twin[at]), None)
                self.center = pinned.get(lines + 1, in_the_middle)
                self.possible = self.center is not None
        self.places = [[pinned[n]] if n in pinned else near for n in range(1, lines + 1)]

    def best(self, limit: Length | None, reach: int | None) -> tuple[Length, ...] | None:
        """reach: how many tiles on from the nearest one the outer lines may stand; None: any."""
        if not self.possible:
            return None
        if not self.places:  # one line, in the middle
            return (nanometers(self.center),) if self.center is not None else None
        if self.count == 1:
            return (nanometers(min(self.places[0], key=lambda at: (abs(at - self.asked[0]), at))),)
        places = [list(each) for each in self.places]
        if reach is not None:
            places[0] = self._within(places[0], 0, reach)
            if not self.mirrored:
                places[-1] = self._within(places[-1], -1, reach)
        if not all(places):
            return None
        most = int(limit) if limit is not None else None
        found: tuple[int, int, list[int]] | None = None  # unevenness, distance, lines
        spots = sorted({at for each in places for at in each})
        gaps = {b - a for n, a in enumerate(spots) for b in spots[n + 1 :]} | self._closing(places)
        average = self._average(places)
        for least in sorted((gap for gap in gaps if gap <= average[1]), reverse=True):
            if found is not None and average[0] - least > found[0]:
                break
            widest = self._narrowest(places, least, most)
            if widest is None:
                continue
            uneven = widest - least
            if found is not None and uneven > found[0]:
                continue
            distance, lines = self._nearest(places, least, widest)
            if found is None or (uneven, distance, lines) < found:
                found = uneven, distance, lines
        return self._whole(found[2]) if found else None

    def _within(self, places: list[int], line: int, reach: int) -> list[int]:
        """The places no more than so many tiles from the one nearest to what was asked."""
        nearest = min(places, key=lambda at: (abs(at - self.asked[line]), at), default=0)
        return [at for at in places if abs(at - nearest) <= reach * self.pitch]

    def _closing(self, places: list[list[int]]) -> set[int]:
        return {gap for at in places[-1] if (gap := self._last_gap(at)) is not None}

    def _last_gap(self, at: int) -> int | None:
        """Across the middle, when the last free line stands there; None where the lines go on to the far end."""
        if not self.mirrored:
            return None
        return (self.center if self.center is not None else self.twin[at]) - at

    def _average(self, places: list[list[int]]) -> tuple[int, int]:
        """The least and the most an average gap can be."""
        first = places[0]
        if self.mirrored:
            spans = [self.twin[at] - at for at in first]
        else:
            spans = [b - a for a in (first[0], first[-1]) for b in (places[-1][0], places[-1][-1])]
        return min(spans) // (self.count - 1), max(spans) // (self.count - 1)

    def _narrowest(self, places: list[list[int]], least: int, most: int | None) -> int | None:
        """The smallest widest gap with none under `least`."""
        onward: dict[int, int] = {}
        for at in places[-1]:
            gap = self._last_gap(at)
            if gap is None:
                onward[at] = least
            elif gap >= least:
                onward[at] = gap
        for line in reversed(places[:-1]):
            before: dict[int, int] = {}
            for at in line:
                ways = [max(after - at, widest) for after, widest in onward.items() if after - at >= least]
                if ways:
                    before[at] = min(ways)
            onward = before
        widest = min(onward.values(), default=None)
        return None if widest is None or (most is not None and widest > most) else widest

    def _nearest(self, places: list[list[int]], least: int, widest: int) -> tuple[int, list[int]]:
        """Of lines with all gaps in that range, those nearest to what was asked, and how far off they are."""

        def off(line: int, at: int) -> int:
            return abs(at - self.asked[line])

        last = len(places) - 1
        onward: dict[int, tuple[int, list[int]]] = {}
        for at in places[-1]:
            gap = self._last_gap(at)
            if gap is None or least <= gap <= widest:
                onward[at] = off(last, at), [at]
        for line in range(last - 1, -1, -1):
            before: dict[int, tuple[int, list[int]]] = {}
            for at in places[line]:
                ways = [way for after, way in onward.items() if least <= after - at <= widest]
                if ways:
                    distance, lines = min(ways)
                    before[at] = distance + off(line, at), [at, *lines]
            onward = before
        return min(onward.values())

    def _whole(self, lines: list[int]) -> tuple[Length, ...]:
        if not self.mirrored:
            return tuple(nanometers(at) for at in lines)
        middle = [] if self.center is None else [self.center]
        return tuple(nanometers(at) for at in (*lines, *middle, *(self.twin[at] for at in reversed(lines))))
