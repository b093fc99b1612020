"""The same room's light under other layouts of it: walls against setback, and one number instead of another.

The room is solved once; every further layout only sends its own lights into it. What nearer to the wall does is
computed each time: in narrow rooms, or with very wide beams, it may be the other way round.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from layout.engine.findings import Finding
from layout.engine.lengths import ZERO, Length, LengthError, Unit, inches, mm
from layout.engine.light.measures import Measures, measure
from layout.engine.light.solve import Solved, solve
from layout.engine.light.values import Dims, Emitter, Light, On, Scene
from layout.engine.marks import Kind
from layout.engine.room import RoomInputs, RoomLayout, lay_out
from layout.engine.rows.arrange import Mode
from layout.engine.ways.changes import mirrored_again

SceneOf = Callable[[RoomLayout], Scene]
Progress = Callable[[int, int], None]
Change = Mapping[str, object]  # fields of RoomInputs to replace

COARSE_M = 0.25  # averages of a whole surface need no finer grid
SAME = 0.005  # a change under half a percent is none
STEP = {Unit.INCH: inches(6), Unit.MM: mm(150)}  # between two setbacks tried: a hand's breadth
FINEST = {Unit.INCH: inches(1), Unit.MM: mm(25)}
MOST_POINTS = 80


class Bench:
    """One room solved once, in which other lights are tried.

    A light that stands as one tried before does keeps its share. A scene of another room, plane or task is solved anew.
    """

    def __init__(self, step_m: float = COARSE_M) -> None:
        self.step_m = step_m
        self._solved: Solved | None = None
        self._emitters: list[Emitter] = []

    def solved(self, scene: Scene) -> Solved:
        """Raises LightError."""
        return self.pooled([scene])[0]

    def pooled(self, scenes: Sequence[Scene]) -> list[Solved]:
        """Each scene solved; a light that stands in several of them is computed once. All of one room."""
        named = [replace(scene, lights=tuple(self._lights(scene))) for scene in scenes]
        pool = {light.id: light for scene in named for light in scene.lights}
        first = replace(named[0], lights=tuple(pool.values()))
        kept = self._solved
        if kept is not None and _same_room(kept.scene, first):
            kept = kept.with_lights(first.lights)
        else:
            kept = solve(first, step_m=self.step_m)
        self._solved = kept
        return [kept.with_lights(scene.lights) for scene in named]

    def _lights(self, scene: Scene) -> Iterator[Light]:
        """Named by where and how they shine, so that the same light has the same name in every scene."""
        seen: dict[str, int] = {}
        for light in scene.lights:
            number, emitter = self._emitter(light.emitter)
            stands = (light.x, light.y, light.z, light.tilt_deg, light.toward_deg, light.spin_deg, light.factor)
            name = f"{number} {stands} {light.zone} {light.watts}"
            seen[name] = seen.get(name, 0) + 1
            yield replace(light, emitter=emitter, id=f"{name} {seen[name]}")

    def _emitter(self, given: Emitter) -> tuple[int, Emitter]:
        for number, one in enumerate(self._emitters):
            if one is given or one == given:
                return number, one
        self._emitters.append(given)
        return len(self._emitters) - 1, given


def _same_room(one: Scene, other: Scene) -> bool:
    return (one.room, one.plane_m, one.tasks) == (other.room, other.plane_m, other.tasks)


# What is tried


@dataclass(frozen=True, slots=True)
class Way:
    """One layout to try. change: to the inputs of the room as it is laid out now."""

    mode: Mode
    change: Change


@dataclass(frozen=True, slots=True)
class Off:
    """Which of the outer lights are held off their wall: those at the ends of a row, the outer rows, or both."""

    ends: bool = True
    rows: bool = True


@dataclass(frozen=True, slots=True)
class Wanted:
    """What to sweep over. counts: (rows, lights in a row); empty: as laid out. low, high: setbacks, both tried."""

    low: Length
    high: Length
    step: Length
    off: Off = field(default_factory=Off)
    modes: tuple[Mode, ...] = (Mode.WALL_HELD, Mode.HALF_GAP, Mode.EVEN)
    counts: tuple[tuple[int, int], ...] = ()


def setbacks(low: Length, high: Length, step: Length) -> tuple[Length, ...]:
    """From low to high; those between are whole steps from zero, so that they are easy to read on a tape."""
    if step <= ZERO:
        raise LengthError("Step: give more than 0.")
    if high < low:
        raise LengthError("To: it is less than from. Change one of them.")
    first = int(low.nm // step.nm) + 1
    last = int(-(-high.nm // step.nm)) - 1
    if last - first > MOST_POINTS:
        raise LengthError(f"Step: it makes {last - first + 3} setbacks. Take a wider one; {MOST_POINTS} are tried.")
    between = tuple((step * number).exact() for number in range(first, last + 1))
    return tuple(dict.fromkeys((low, *between, high)))


def ways(base: RoomLayout, wanted: Wanted) -> tuple[Way, ...]:
    """What is asked as changes to the layout. Modes that hold nothing off a wall give one layout for each count.

    Locked is the layout as it was typed, where it was. Raises LengthError where that is more than MOST_POINTS.
    """
    found: list[Way] = []
    for mode in wanted.modes:
        if mode is Mode.LOCKED:
            if base.inputs.typed_along or base.inputs.typed_across:
                found.append(Way(mode, _locked(base.inputs)))
            continue
        offs = setbacks(wanted.low, wanted.high, wanted.step) if mode is Mode.WALL_HELD else (None,)
        for rows, lights in wanted.counts or (counts_of(base),):
            found += [Way(mode, spread(base, wanted.off, mode, off, rows, lights)) for off in offs]
    if len(found) > MOST_POINTS:
        raise LengthError(f"That is {len(found)} layouts. Take a wider step or fewer counts; {MOST_POINTS} are tried.")
    return tuple(found)


def counts_of(layout: RoomLayout) -> tuple[int, int]:
    """Rows, and lights in each, as they stand."""
    return len(layout.arrangement.rows), len(layout.arrangement.columns)


def _locked(inputs: RoomInputs) -> Change:
    typed = {"mode_along": inputs.typed_along, "mode_across": inputs.typed_across}
    return {name: Mode.LOCKED for name, at in typed.items() if at}


def spread(base: RoomLayout, off: Off, mode: Mode, setback: Length | None, rows: int, lights: int) -> Change:
    """The wishes of one way to space. What a person pinned or moved is let go; speakers stay where the count allows.

    A single line of lights stands in the middle whatever it is held at.
    """
    change: dict[str, object] = {"pins": (), "moved": (), "rows": rows, "lights_per_row": lights}
    if off.ends:
        change |= {"mode_along": mode, "typed_along": ()}
    if off.rows:
        change |= {"mode_across": mode, "typed_across": ()}
    if setback is not None:
        change |= {"end_setback": setback} if off.ends else {}
        change |= {"row_setback": setback} if off.rows else {}
    return {**change, **with_speakers(base, rows, lights)}


def with_speakers(base: RoomLayout, rows: int, lights: int) -> Change:
    """Speakers keep their places from the ends; those that another count has no gap or light for are left out."""
    inputs = base.inputs
    change: dict[str, object] = {
        "speaker_rows": tuple(row for row in inputs.speaker_rows if row <= rows),
        "speakers_between": tuple(row for row in inputs.speakers_between if row < rows),
    }
    if lights != len(base.arrangement.columns):
        was = len(base.arrangement.columns)
        change["speaker_gaps"] = mirrored_again(inputs.speaker_gaps, was - 1, lights - 1)
        change["speaker_columns"] = mirrored_again(inputs.speaker_columns, was, lights)
        if not change["speaker_gaps"] and not change["speaker_columns"]:
            change["speakers_between"] = ()
    return {name: value for name, value in change.items() if value != getattr(inputs, name)}


# What comes out


@dataclass(frozen=True, slots=True)
class Point:
    """One layout and its light. off_ends, off_rows: the outer lights off the ceiling's edge."""

    way: Way
    layout: RoomLayout
    measures: Measures
    off_ends: Length
    off_rows: Length
    lights: int

    @property
    def findings(self) -> tuple[Finding, ...]:
        return self.layout.arrangement.findings


@dataclass(frozen=True, slots=True)
class Sweep:
    """points: in the order asked. refused: what could not be laid out, and why. chosen: the room as it is."""

    chosen: Point
    points: tuple[Point, ...]
    refused: tuple[tuple[Way, str], ...] = ()


def sweep(
    base: RoomLayout,
    asked: Sequence[Way],
    scene_of: SceneOf,
    *,
    step_m: float = COARSE_M,
    progress: Progress | None = None,
) -> Sweep:
    """Each way laid out as it is asked and its light computed; limits that it breaks are told with its point.

    scene_of: may raise what it likes; that stops the sweep. Raises LightError.
    """
    bench, points, refused = Bench(step_m), [], []
    mode = base.inputs.mode_along
    chosen = _point(Way(mode, {}), base, bench.solved(scene_of(base)))
    for number, way in enumerate(asked):
        try:
            layout = lay_out(replace(base.inputs, **way.change), base)  # type: ignore[arg-type]
        except LengthError as why:
            refused.append((way, str(why)))
        else:
            if lights_of(layout):
                points.append(_point(way, layout, bench.solved(scene_of(layout))))
            else:
                refused.append((way, "That many lights won't fit."))
        if progress:
            progress(number + 1, len(asked))
    return Sweep(chosen, tuple(points), tuple(refused))


def _point(way: Way, layout: RoomLayout, solved: Solved) -> Point:
    return Point(
        way, layout, measure(solved), off_the_wall(layout, along=True), off_the_wall(layout, along=False),
        lights_of(layout),
    )  # fmt: skip


def lights_of(layout: RoomLayout) -> int:
    return sum(mark.kind is Kind.LIGHT for mark in layout.arrangement.marks)


def off_the_wall(layout: RoomLayout, along: bool) -> Length:
    """The least distance of a light from the ceiling's edge it is counted from. The layout has a light."""
    marks = layout.arrangement.marks
    return min(mark.along if along else mark.across for mark in marks if mark.kind is Kind.LIGHT)


# One number instead of another


@dataclass(frozen=True, slots=True)
class Numbers:
    """A layout's light. near_lx: the two walls that the number is taken from; off: how far the lights are off them."""

    near_lx: float
    walls_lx: float
    plane: Measures
    off: Length


def with_setback(inputs: RoomInputs, *, along: bool, off: Length) -> RoomInputs:
    """The same wishes with the first lights that far off the wall, whatever held them there before but pins."""
    if along:
        return replace(inputs, end_setback=off, mode_along=Mode.WALL_HELD, typed_along=())
    return replace(inputs, row_setback=off, mode_across=Mode.WALL_HELD, typed_across=())


def numbers_of(solved: Solved, layout: RoomLayout, walls: Iterable[int], *, along: bool) -> Numbers:
    """walls: the numbers of the two (or more) that the setback is taken from."""
    found = measure(solved)
    return Numbers(near_lx(solved, walls), found.walls_avg_lx, found, off_the_wall(layout, along))


def near_lx(solved: Solved, walls: Iterable[int], dims: Dims | None = None) -> float:
    """The average over these walls, by area."""
    wanted, light, area = set(walls), 0.0, 0.0
    for grid in solved.grids:
        if grid.on is On.WALL and grid.number in wanted:
            light += float(np.sum(solved.lux(grid.name, dims) * grid.areas))
            area += float(grid.areas.sum())
    return light / area if area else 0.0


def other_way_round(now: Numbers, then: Numbers) -> bool:
    """Whether here nearer is darker: those walls lose where the lights come nearer, or win where they go away."""
    nearer, brighter = then.off < now.off, then.near_lx / now.near_lx - 1 if now.near_lx else 0.0
    return (nearer and brighter < -SAME) or (not nearer and brighter > SAME)
