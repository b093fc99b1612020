"""Counts, setbacks and dim levels that come nearest to what is wanted of a room's light, within the rules of placing.

Every layout on offer is laid out by `lay_out` and breaks none of its rules; those that do are counted by the rule. The
search is bounded and says its bounds: whole steps of setback, few more lights than the spacing limit asks for. Within
them every layout is scored on a coarse grid; those that none beats are solved again on the fine one and told from that.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from itertools import product
from math import ceil

from layout.engine.findings import Code
from layout.engine.lengths import Length, LengthError, Unit, inches, mm
from layout.engine.light import patterns
from layout.engine.light.compare import (
    COARSE_M,
    STEP,
    Bench,
    Change,
    Progress,
    SceneOf,
    lights_of,
    setbacks,
    with_speakers,
)
from layout.engine.light.dimming import Levels, level_for, levels_for
from layout.engine.light.measures import Measures, measure
from layout.engine.light.solve import STEP_M, Solved
from layout.engine.light.targets import Line, Target, against
from layout.engine.light.values import Dims, LightError
from layout.engine.room import RoomLayout, lay_out
from layout.engine.rows.arrange import Mode
from layout.engine.rows.wish import Wish, fewest

MOST_LAYOUTS = 500  # laid out and scored in one search
MOST_LIGHTS = 60  # in a layout on offer
MOST_FINE = 30  # layouts none beats that are solved again
POOL = 240  # different lights computed together
# No nearer than this unless the wall is to be grazed; common practice, no source
OFF_LEAST = {Unit.INCH: inches(12), Unit.MM: mm(300)}
OFF_MOST = {Unit.INCH: inches(42), Unit.MM: mm(1050)}  # or half the spacing limit where that is more



class Name(StrEnum):
    NEAREST = "nearest"  # where nothing meets all that is wanted
    FEWEST = "fewest lights"
    BRIGHTEST = "brightest walls"
    LEAST = "least power"
    EVENEST = "most even"


# What each is chosen by, first to last: places in a proposal's score. The first have their say before MOST_OFFERED
ORDER = {
    Name.FEWEST: (1, 2, 3, 4), Name.BRIGHTEST: (2, 3, 1, 4), Name.LEAST: (4, 1, 2, 3), Name.EVENEST: (3, 2, 1, 4),
}  # fmt: skip
MOST_OFFERED = 3


@dataclass(frozen=True, slots=True)
class Proposal:
    """A layout and its light. full: undimmed; measures: at its levels. lines: what is wanted, beside what is found.

    change: to the inputs of the room it was proposed for. names: why it is on offer; empty: only on the curve.
    used: power at its levels, taken as in step with the light; W, or lm of the lamps where watts are unknown.
    """

    change: Change
    layout: RoomLayout
    lights: int
    full: Measures
    measures: Measures
    levels: Levels
    lines: tuple[Line, ...]
    used: float
    found: tuple[patterns.Pattern, ...] = ()
    names: tuple[Name, ...] = ()

    @property
    def miss(self) -> float:
        return missed(self.lines)

    @property
    def meets_all(self) -> bool:
        return all(line.met for line in self.lines)

    @property
    def score(self) -> tuple[float, ...]:
        """What is traded, less is better in each: missed, lights, walls over plane, least over average, power used."""
        walls, even = self.measures.wall_over_plane or 0.0, self.measures.min_over_avg or 0.0
        return (self.miss, self.lights, -walls, -even, self.used)


@dataclass(frozen=True, slots=True)
class Bounds:
    """What a search tried. step: between setbacks; more: lights or rows beyond what the spacing limit asks for."""

    step: Length
    more: int
    off: tuple[Length, Length]
    spacing_limit: Length
    most_lights: int = MOST_LIGHTS


@dataclass(frozen=True, slots=True)
class Search:
    """now: the room as it is. trade_offs: layouts that no other beats in everything, fewest lights first.

    tried: laid out. ruled_out: of those, how many each rule did away with (a layout may break several). refused: could
    not be laid out at all. alike: came out as one tried before.
    """

    now: Proposal
    trade_offs: tuple[Proposal, ...]
    bounds: Bounds
    tried: int
    fit: int
    ruled_out: Mapping[Code, int] = field(default_factory=dict)
    refused: int = 0
    alike: int = 0

    @property
    def offered(self) -> tuple[Proposal, ...]:
        return tuple(one for one in self.trade_offs if one.names)

    @property
    def meets_all(self) -> bool:
        return any(one.meets_all for one in self.trade_offs)


def missed(lines: Iterable[Line]) -> float:
    """How far off all together, each as a part of what is wanted; 0 where all is met."""
    return sum(abs(line.off) / line.wanted for line in lines if not line.met and line.wanted)


def propose(
    base: RoomLayout,
    target: Target,
    scene_of: SceneOf,
    *,
    spacing_limit: Length | None = None,
    step_m: float = COARSE_M,
    fine_m: float = STEP_M,
    progress: Progress | None = None,
) -> Search:
    """The layouts on offer for what is wanted. Raises LightError where nothing is wanted, and what solving raises."""
    if not any((target.lux, target.uniformity, target.wall_lux, target.ceiling_lux, target.wall_ratio)):
        raise LightError("Say what is wanted: a level, how even, or how bright the walls.", "lux")
    limit = spacing_limit or base.inputs.spacing_limit
    within, changes = candidates(base, limit)
    told = _Told(progress, len(changes) + MOST_FINE)
    found = _Found(base)
    layouts = list(found.fitting(changes, told))
    coarse = Bench(step_m)
    scored = [_rough(*one, target) for one in _solved(coarse, layouts, scene_of)]
    best = thinned(_named(unbeaten(scored)), MOST_FINE)
    fine = Bench(fine_m)
    told.at(len(changes))
    ends = []
    for one, (change, layout, solved) in zip(
        best, _solved(fine, [(one.change, one.layout) for one in best], scene_of), strict=True
    ):
        assert one.layout is layout
        ends.append(_whole(change, layout, solved, target))
        told.at(len(changes) + len(ends))
    now = _whole({}, base, Bench(fine_m).solved(scene_of(base)), target)
    told.at(told.total)
    shown = sorted(_named(unbeaten(ends)), key=lambda one: (one.lights, one.score))
    return Search(
        now, tuple(shown), within, len(changes), len(layouts), dict(found.ruled_out), found.refused, found.alike
    )


class _Told:
    def __init__(self, progress: Progress | None, total: int) -> None:
        self._progress, self.total = progress, total

    def at(self, done: int) -> None:
        if self._progress:
            self._progress(done, self.total)


# What is tried


def candidates(base: RoomLayout, limit: Length, most: int = MOST_LAYOUTS) -> tuple[Bounds, tuple[Change, ...]]:
    """All changes within the bounds, which narrow until there are no more of them than `most`."""
    unit = base.inputs.unit
    step = STEP[unit]
    high = max(OFF_MOST[unit], (step * int(limit.nm // (2 * step.nm))).exact())
    for wider in (1, 2, 4, 8):
        for more in (2, 1, 0):
            bounds = Bounds((step * wider).exact(), more, (OFF_LEAST[unit], high), limit)
            found = tuple(_changes(base, bounds))
            if len(found) <= most:
                return bounds, found
    return bounds, found[:: -(-len(found) // most)]


@dataclass(frozen=True, slots=True)
class _Line:
    """One axis: so many lines, spread so. off: None where the mode says it."""

    count: int
    mode: Mode
    off: Length | None = None


def _changes(base: RoomLayout, bounds: Bounds) -> Iterator[Change]:
    wish = replace(base.arrangement.wish, spacing_limit=bounds.spacing_limit)
    across = replace(wish, along=wish.across)
    for row, column in product(_lines(across, bounds), _lines(wish, bounds)):
        if row.count * column.count > bounds.most_lights:
            continue
        change: dict[str, object] = {
            "rows": row.count, "lights_per_row": column.count, "mode_along": column.mode, "mode_across": row.mode,
            "spacing_limit": bounds.spacing_limit, "typed_along": (), "typed_across": (), "pins": (), "moved": (),
        }  # fmt: skip
        change |= {"end_setback": column.off} if column.off else {}
        change |= {"row_setback": row.off} if row.off else {}
        yield {**change, **with_speakers(base, row.count, column.count)}


def _lines(wish: Wish, bounds: Bounds) -> Iterator[_Line]:
    """Of one axis: one line in the middle, then as many as the limit asks for, and up to `more` beyond."""
    yield _Line(1, Mode.HALF_GAP)
    low, high = bounds.off
    ways: list[tuple[Mode, Length | None]] = [(Mode.HALF_GAP, None), (Mode.EVEN, None)]
    high = min(high, (wish.along / 2 - wish.unit.tick).exact())
    if low <= high:
        whole = (bounds.step * int(high.nm // bounds.step.nm)).exact()
        ways += [(Mode.WALL_HELD, off) for off in setbacks(low, max(low, whole), bounds.step)]
    for mode, off in ways:
        least = max(2, fewest(replace(wish, mode_along=mode, end_setback=off)))
        for count in range(least, least + bounds.more + 1):
            yield _Line(count, mode, off)


class _Found:
    """Layouts that keep every rule, and how many each rule did away with."""

    def __init__(self, base: RoomLayout) -> None:
        self.base = base
        self.ruled_out: Counter[Code] = Counter()
        self.refused = self.alike = 0
        self._seen: set[object] = set()

    def fitting(self, changes: Sequence[Change], told: _Told) -> Iterator[tuple[Change, RoomLayout]]:
        for number, change in enumerate(changes):
            told.at(number)
            try:
                layout = lay_out(replace(self.base.inputs, **change), self.base)  # type: ignore[arg-type]
            except LengthError:
                self.refused += 1
                continue
            arrangement = layout.arrangement
            if not arrangement.fits or not lights_of(layout):
                self.ruled_out.update({finding.code for finding in arrangement.findings})
                continue
            stands = tuple((mark.kind, int(mark.along), int(mark.across)) for mark in arrangement.marks)
            if stands in self._seen:
                self.alike += 1
                continue
            self._seen.add(stands)
            yield change, layout


# What it is worth


def _solved(
    bench: Bench, layouts: Sequence[tuple[Change, RoomLayout]], scene_of: SceneOf
) -> Iterator[tuple[Change, RoomLayout, Solved]]:
    """In lots of layouts whose lights together are about POOL at most."""
    lot: list[tuple[Change, RoomLayout]] = []
    lights = 0
    for one in layouts:
        lot.append(one)
        lights += lights_of(one[1])
        if lights >= POOL:
            yield from _lot(bench, lot, scene_of)
            lot, lights = [], 0
    if lot:
        yield from _lot(bench, lot, scene_of)


def _lot(
    bench: Bench, lot: Sequence[tuple[Change, RoomLayout]], scene_of: SceneOf
) -> Iterator[tuple[Change, RoomLayout, Solved]]:
    solved = bench.pooled([scene_of(layout) for _, layout in lot])
    for (change, layout), one in zip(lot, solved, strict=True):
        yield change, layout, one


def undimmed(solved: Solved) -> Dims:
    return Dims(zones={light.zone: 1.0 for light in solved.scene.lights})


def _rough(change: Change, layout: RoomLayout, solved: Solved, target: Target) -> Proposal:
    """At one level for all; nothing is measured twice, as a level scales all light alike."""
    full = measure(solved, undimmed(solved))
    level = level_for(full, target)
    at_level = replace(
        full,
        plane_avg_lx=level * full.plane_avg_lx,
        walls_avg_lx=level * full.walls_avg_lx,
        ceiling_avg_lx=level * full.ceiling_avg_lx,
    )
    levels = dict.fromkeys(undimmed(solved).zones, level)
    lines, used = against(at_level, target), used_at(solved, levels)
    return Proposal(change, layout, lights_of(layout), full, at_level, levels, lines, used)


def _whole(change: Change, layout: RoomLayout, solved: Solved, target: Target) -> Proposal:
    full = measure(solved, undimmed(solved))
    levels = levels_for(solved, full, target)
    dims = Dims(zones=levels)
    dimmed = measure(solved, dims)
    lines, used = against(dimmed, target), used_at(solved, levels)
    return Proposal(
        change, layout, lights_of(layout), full, dimmed, levels, lines, used, patterns.told(solved, dims)
    )


def used_at(solved: Solved, levels: Levels) -> float:
    lights = solved.scene.lights
    known = all(light.watts is not None for light in lights)
    return sum(levels[light.zone] * ((light.watts or 0.0) if known else light.emitter.flux_lm) for light in lights)


# What is traded


def unbeaten(found: Iterable[Proposal]) -> list[Proposal]:
    """Those that no other is as good as in everything and better in something. Of two alike the first stays."""
    kept: list[Proposal] = []
    for one in sorted(found, key=lambda each: each.score):  # whatever beats one comes before it
        if not any(beats(other.score, one.score) for other in kept):
            kept.append(one)
    return kept


def beats(one: Sequence[float], other: Sequence[float]) -> bool:
    """As good in everything: alike counts, so that of two of one score only one is shown."""
    return all(a <= b for a, b in zip(one, other, strict=True))


def _named(unbeaten_ones: Sequence[Proposal]) -> list[Proposal]:
    """Two or three of them with their names. Where none meets all that is wanted, the nearest is said to be it."""
    if not unbeaten_ones:
        return []
    names: dict[int, list[Name]] = {}
    pool = [number for number, one in enumerate(unbeaten_ones) if one.meets_all]
    if not pool:
        nearest = min(range(len(unbeaten_ones)), key=lambda number: unbeaten_ones[number].score)
        names[nearest] = [Name.NEAREST]
        pool = [number for number, one in enumerate(unbeaten_ones) if one.lines and one.lines[0].met]
    for name, order in ORDER.items():
        if pool:
            best = min(pool, key=lambda number: [unbeaten_ones[number].score[each] for each in order])
            if best in names or len(names) < MOST_OFFERED:
                names.setdefault(best, []).append(name)
    return [replace(one, names=tuple(names.get(number, ()))) for number, one in enumerate(unbeaten_ones)]


def thinned(found: Sequence[Proposal], most: int) -> list[Proposal]:
    """All on offer, then the brightest walls of each count of lights, then others over the whole run of wall ratios."""
    by_walls = sorted(found, key=lambda one: one.score[2])
    kept = [one for one in found if one.names]
    for count in sorted({one.lights for one in found}):
        best = next(one for one in by_walls if one.lights == count)
        if best not in kept and len(kept) < most:
            kept.append(best)
    others = [one for one in by_walls if one not in kept]
    room = most - len(kept)
    if len(others) > room:
        others = [others[ceil((number + 0.5) * len(others) / room) - 1] for number in range(room)]
    return [*kept, *others]
