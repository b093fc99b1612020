"""Why a layout won't fit: the smallest set of rules that can't all hold, each candidate tried exactly. Moves nothing.

Every layout that clears gives up some rules; a clash has one rule at least of each such set. So the smallest set that
meets them all is tried: if lines can stand under it, what they give up is one more set, and the next smallest is tried.
One axis at a time, the other one's lines as they stand.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import combinations, pairwise
from math import ceil

from layout.engine.findings import Code, Finding
from layout.engine.lengths import ZERO, Distance, Length, nanometers
from layout.engine.marks import Kind, Mark
from layout.engine.overhead.check import Conflict
from layout.engine.overhead.legal import clear_at
from layout.engine.overhead.stand import Direction, Standing
from layout.engine.room import Fitting
from layout.engine.rows.wish import Mode
from layout.engine.ways.chain import Rules, stand
from layout.engine.ways.changes import mode_of
from layout.engine.ways.lines import Stretches, common, within
from layout.engine.ways.read import Ceiling, coordinate, held_lines, lines_at, place_of, whole
from layout.engine.ways.rules import Clash, InTheWay, Safety, Taste, Way

Rule = str  # a Taste, or the name of what is in the way; Safety.EDGE and Safety.WEB
Names = frozenset[Rule]

MOST_TRIED = 16  # lines past which the clash is told by its place alone: every set takes too long to try
ROUNDS = 200  # sets tried before the last one is given as it is
MORE_LINES = 4  # other counts tried: up to this many more than asked


def clash_of(asked: Ceiling, ways: Iterable[Way] = ()) -> Clash | None:
    """None where nothing is in the way. ways: known ways out, which spare trying what they show."""
    if asked.left:
        return _of_conflict(asked, tuple(ways))
    if asked.broken:
        return _of_finding(asked, asked.broken[0])
    over = next((each for each in asked.still if each.code is Code.GAP_OVER_LIMIT), None)
    return _of_finding(asked, over) if over is not None else None


def _of_conflict(asked: Ceiling, ways: tuple[Way, ...]) -> Clash:
    first = max(asked.left, key=lambda each: (each.mark not in asked.in_wings, each.fixed, each.short_by.nm))
    direction = first.on or Direction.ALONG
    marks = {mark.id: mark for mark in asked.layout.arrangement.marks}
    if first.mark in asked.in_wings:
        return replace(_clash(asked, direction, frozenset({Taste.OFF_THE_WALL, Taste.COUNT}), first), number=0)
    if place_of(marks[first.mark], asked.layout, direction).midway:
        return _clash(asked, direction, _of_speaker(asked, marks[first.mark], direction), first)
    axis = AxisRules(asked, direction)
    if len(axis.at) > MOST_TRIED:
        names = _by_its_place(asked, marks[first.mark], direction) | {first.what}
    else:
        names = axis.smallest(axis.given_up(way) for way in ways if way.layout.inputs.light == asked.inputs.light)
    theirs = [each for each in asked.left if each.what in names] or [first]
    return _clash(asked, direction, names, max(theirs, key=lambda each: each.short_by.nm), theirs)


def _of_speaker(asked: Ceiling, speaker: Mark, direction: Direction) -> Names:
    """A speaker midway in the middle gap is fixed by the center line; in any other by the lights beside it."""
    size = asked.layout.along.laid_out if direction is Direction.ALONG else asked.layout.across.laid_out
    if coordinate(speaker, direction) * 2 == size:
        return frozenset({Taste.MIDWAY, Taste.MIRRORED, Taste.COUNT})
    return frozenset({Taste.MIDWAY, Taste.OFF_THE_WALL, Taste.GAPS_ALIKE, Taste.COUNT})


def _by_its_place(asked: Ceiling, mark: Mark, direction: Direction) -> Names:
    """Rules that fix a line, by where it stands: a clash for certain, if not the smallest."""
    number, count = place_of(mark, asked.layout, direction).line, len(lines_at(asked.layout, direction))
    if 2 * number + 1 == count:
        return frozenset({Taste.MIRRORED, Taste.COUNT})
    if number in (0, count - 1):
        return frozenset({Taste.OFF_THE_WALL, Taste.COUNT})
    return frozenset({Taste.OFF_THE_WALL, Taste.GAPS_ALIKE, Taste.COUNT})


def _clash(
    asked: Ceiling, direction: Direction, names: Names, met: Conflict, others: Iterable[Conflict] = ()
) -> Clash:
    layout = asked.layout
    mark = next(mark for mark in layout.arrangement.marks if mark.id == met.mark)
    place = place_of(mark, layout, direction)
    told: dict[str, InTheWay] = {}
    for each in (met, *others):
        told.setdefault(each.what, _in_the_way(asked, mark, each, direction))
    return Clash(
        taste=tuple(taste for taste in Taste if taste in names),
        safety=tuple(told.values()),
        direction=direction,
        number=place.line + 1,
        count=len(lines_at(layout, direction)),
        mark=mark.id,
        kind=mark.kind,
        at=coordinate(mark, direction),
        off_wall=_off_wall(asked, mark, direction),
        cutout=asked.fittings[mark.kind].cutout,
        speaker=place.midway,
    )


def _off_wall(asked: Ceiling, mark: Mark, direction: Direction) -> Distance:
    layout = asked.layout
    size = layout.along.laid_out if direction is Direction.ALONG else layout.across.laid_out
    at = coordinate(mark, direction)
    return min(at, size - at, key=lambda each: each.nm)


def _in_the_way(asked: Ceiling, mark: Mark, conflict: Conflict, direction: Direction) -> InTheWay:
    standing = asked.layout.standing
    at = coordinate(mark, direction)
    members = {member.name: member.at for member in (*standing.members, *standing.beyond)}
    things = {thing.name: thing.along if direction is Direction.ALONG else thing.across for thing in standing.things}
    center = members.get(conflict.what) or things.get(conflict.what) or at
    return InTheWay(
        kind=Safety.MEMBER if not conflict.entry else Safety.THING,
        name=conflict.what,
        apart=abs(center - at),
        needed=abs(center - at) + conflict.short_by if conflict.on is not None else conflict.clear,
        short_by=conflict.short_by,
        part=conflict.part,
    )


def _of_finding(asked: Ceiling, finding: Finding) -> Clash:
    """Edges, material between holes, the spacing limit: the distance off the wall, and how many there are."""
    marks = {mark.id: mark for mark in asked.layout.arrangement.marks}
    mark = marks.get(finding.subject.partition(", ")[0])
    direction = Direction.ALONG
    if finding.code is Code.TOO_CLOSE_TO_EDGE and mark is not None:
        direction = _nearest_edge(asked, mark)
    kind, taste = {
        Code.TOO_CLOSE_TO_EDGE: (Safety.EDGE, (Taste.OFF_THE_WALL,)),
        Code.HOLES_TOO_CLOSE: (Safety.WEB, (Taste.OFF_THE_WALL, Taste.COUNT)),
        Code.SPEAKER_NEAR_LIGHT: (Safety.WEB, (Taste.COUNT, Taste.MIDWAY)),
        Code.TOO_DEEP: (Safety.DEPTH, (Taste.CUTOUT,)),
        Code.GAP_OVER_LIMIT: (None, (Taste.OFF_THE_WALL, Taste.SPACING, Taste.COUNT)),
    }.get(finding.code, (Safety.OTHER, ()))
    short = finding.short_by or ZERO
    return Clash(
        taste=taste,
        safety=(InTheWay(kind, finding.near, needed=finding.limit or ZERO, short_by=short),) if kind else (),
        direction=direction,
        number=place_of(mark, asked.layout, direction).line + 1 if mark is not None else 1,
        count=len(lines_at(asked.layout, direction)),
        mark=finding.subject,
        kind=mark.kind if mark is not None else Kind.LIGHT,
        at=coordinate(mark, direction) if mark is not None else ZERO,
        off_wall=_off_wall(asked, mark, direction) if mark is not None else ZERO,
        cutout=asked.fittings[mark.kind].cutout if mark is not None else ZERO,
    )


def _nearest_edge(asked: Ceiling, mark: Mark) -> Direction:
    layout = asked.layout
    along = min(mark.along, layout.along.laid_out - mark.along, key=lambda each: each.nm)
    across = min(mark.across, layout.across.laid_out - mark.across, key=lambda each: each.nm)
    return Direction.ALONG if along <= across else Direction.ACROSS


# Which sets of rules can hold


class AxisRules:
    """One axis of a layout, its lights' lines, and every rule they are held to."""

    def __init__(self, asked: Ceiling, direction: Direction) -> None:
        self.asked, self.direction = asked, direction
        inputs, layout = asked.inputs, asked.layout
        self.kind = inputs.rows_of
        self.tick = int(inputs.unit.tick)
        self.size = int(layout.along.laid_out if direction is Direction.ALONG else layout.across.laid_out)
        self.at = tuple(int(each) for each in lines_at(layout, direction))
        self.others = tuple(sorted(set(lines_at(layout, direction.other))))
        self.held = held_lines(layout, direction)
        self.typed = mode_of(inputs, direction) is Mode.LOCKED
        self.known: dict[Names, Names | None] = {}
        self.free: dict[tuple[Names, bool, tuple[int, ...]], Stretches] = {}
        standing = layout.standing
        members = (*standing.members_on(direction), *(each for each in standing.beyond if each.on is direction))
        self.in_the_way = (*(each.name for each in members), *(each.name for each in standing.things), Safety.EDGE)
        self.safety = frozenset(self.in_the_way)

    @property
    def tastes(self) -> tuple[Taste, ...]:
        if self.typed:
            return (Taste.PINNED, Taste.STRAIGHT, Taste.CUTOUT)
        pinned = (Taste.PINNED,) if self.held else ()
        spacing = (Taste.SPACING,) if self.direction is Direction.ALONG and not self._over_limit(self.at) else ()
        shape = (Taste.MIRRORED, Taste.OFF_THE_WALL, Taste.GAPS_ALIKE) if not self.held else ()
        return (*shape, Taste.COUNT, *spacing, *pinned, Taste.STRAIGHT, Taste.CUTOUT)

    def smallest(self, known: Iterable[Names] = ()) -> Names:
        """The smallest set of rules that can't all hold."""
        given_up = [each for each in {*known, self._broken(self.at, self.others, cut=True)} if each]
        chosen: Names = frozenset()
        for _ in range(ROUNDS):
            chosen = self._smallest_meeting(given_up)
            broken = self.can_hold(chosen)
            if not broken:  # none can hold; or all do, and what is in the way stands on no line
                return chosen
            given_up.append(self._least_given_up(chosen, broken))
        return chosen

    def _least_given_up(self, chosen: Names, broken: Names) -> Names:
        """From rules that are given up, every one that need not be is taken back."""
        kept = frozenset({*self.tastes, *self.in_the_way, Safety.WEB}) - broken | chosen
        for rule in (*self.in_the_way, Safety.WEB, *self.tastes):
            if rule in broken:
                fewer = self.can_hold(kept | {rule})
                if fewer is not None and fewer:
                    broken = fewer
                    kept |= frozenset({*self.tastes, *self.in_the_way, Safety.WEB}) - broken
        return broken

    def _smallest_meeting(self, sets: list[Names]) -> Names:
        """The smallest set with a member of each; taste in its own order, then from the zero side."""
        order: list[Rule] = [*self.tastes, *self.in_the_way, Safety.WEB]
        rules = [rule for rule in order if any(rule in each for each in sets)]
        for count in range(1, len(rules) + 1):
            for picked in combinations(rules, count):
                one = frozenset(picked)
                if all(one & each for each in sets):
                    return one
        return frozenset(rules)

    def given_up(self, way: Way) -> Names:
        """The rules a way's layout gives up on this axis; none where it says nothing about it."""
        layout = way.layout
        moved = any(mark.moved_from is not None for mark in layout.arrangement.marks)
        others = tuple(sorted(set(lines_at(layout, self.direction.other))))
        if moved or others != self.others:
            return frozenset()
        return self._broken(tuple(int(each) for each in lines_at(layout, self.direction)), others, cut=True)

    def can_hold(self, names: Names) -> Names | None:
        """The rules that lines under these rules give up; None when no lines can stand under them."""
        if names not in self.known:
            self.known[names] = self._can_hold(names)
        return self.known[names]

    def _can_hold(self, names: Names) -> Names | None:
        if Taste.STRAIGHT in names:
            found = self._stands(names, self.others)
            return None if found is None else self._broken(found, self.others, cut=Taste.CUTOUT in names)
        broken: Names = frozenset({Taste.STRAIGHT})
        for other in self.others:
            found = self._stands(names, (other,))
            if found is None:
                return None
            broken |= self._broken(found, (other,), cut=Taste.CUTOUT in names)
        return broken

    def _stands(self, names: Names, others: tuple[Length, ...]) -> tuple[int, ...] | None:
        for count in self._counts(names):
            found = self._with(count, names, others)
            if found is not None:
                return found
        return None

    def _counts(self, names: Names) -> Iterator[int]:
        now = len(self.at)
        if Taste.COUNT in names or self.typed:
            yield now
            return
        yield from sorted(range(1, now + MORE_LINES + 1), key=lambda each: (abs(each - now), each))

    def _with(self, count: int, names: Names, others: tuple[Length, ...]) -> tuple[int, ...] | None:
        """That many lines under these rules, in nanometers."""
        cut = Taste.CUTOUT in names
        free = self._free(names, cut, others)
        held = Taste.PINNED in names and count == len(self.at)
        if held and (self.typed or len(self.held) == count):
            fine = all(within(at, free) for at in self.at)
            return self.at if fine else None
        tick, middle = self.tick, self.size // 2
        ticks = tuple((-(-low // tick), high // tick) for low, high in free)
        ticks = tuple((low, high) for low, high in ticks if low <= high)
        lines = [ticks] * count
        if held:
            for number in self.held:
                at = self.at[number - 1]
                if not within(at, free):
                    return None
                lines[number - 1] = ((at // tick, at // tick),)
        limit = int(self.asked.inputs.spacing_limit) // tick if Taste.SPACING in names else self.size // tick
        first = self._off_the_wall(count) if Taste.OFF_THE_WALL in names and count > 1 else None
        rules = Rules(
            size=self.size // tick,
            free=tuple(lines),
            least=(self._least(names) // tick,) * (count - 1),
            most=limit,
            mirrored=Taste.MIRRORED in names,
            alike=Taste.GAPS_ALIKE in names,
            first=first,
            last=None if first is None else self.size // tick - first,
            middle_stands=within(middle, free),
        )
        now = (self.at[-1] - self.at[0]) // max(1, len(self.at) - 1) // tick
        places = stand(rules, now)
        if places is None:
            return None
        found = [place * tick for place in places]
        if rules.mirrored and count % 2:
            found[count // 2] = middle
        return tuple(found)

    def _off_the_wall(self, count: int) -> int:
        """In ticks, where the outer line is wanted with that many lines."""
        if count == len(self.at):
            return self.at[0] // self.tick
        mode = mode_of(self.asked.inputs, self.direction)
        parts = {Mode.EVEN: count + 1, Mode.HALF_GAP: 2 * count}.get(mode)
        if parts is None:
            return self.at[0] // self.tick
        return (2 * self.size + parts * self.tick) // (2 * parts * self.tick)

    def _least(self, names: Names) -> int:
        if Safety.WEB not in names:
            return self.tick
        cut = self._fitting(Taste.CUTOUT in names).cutout
        return max(self.tick, ceil((cut + self.asked.inputs.web_min).nm))

    def _fitting(self, cut: bool) -> Fitting:
        fitting = self.asked.fittings[self.kind]
        return fitting if cut else replace(fitting, cutout=nanometers(0), frame=None)

    def _free(self, names: Names, cut: bool, others: tuple[Distance, ...]) -> Stretches:
        """Where a line of this axis may stand beside what these rules name."""
        key = (names & self.safety, cut, tuple(int(other.nm) for other in others))
        if key not in self.free:
            legal = clear_at(self._fitting(cut), _only(self.asked.layout.standing, names))
            free = common(whole(legal.legal_line(self.direction, others)), ((0, self.size),))
            if Safety.EDGE in names:
                edge = ceil((self._fitting(cut).cutout / 2 + self.asked.inputs.edge_min).nm)
                free = common(free, ((edge, self.size - edge),) if 2 * edge <= self.size else ())
            self.free[key] = free
        return self.free[key]

    def _broken(self, at: tuple[int, ...], others: tuple[Length, ...], *, cut: bool) -> Names:
        """Every rule these lines break. cut: found for the chosen cutout; else it may be one of the rules broken."""
        broken: set[Rule] = set(self._tastes_broken(at))
        in_the_way = {name for name in self.in_the_way if not self._clear_of(name, at, others, cut=True)}
        if not cut:
            small = {name for name in in_the_way if self._clear_of(name, at, others, cut=False)}
            broken |= {Taste.CUTOUT} if small else set()
            in_the_way -= small
        gaps = [b - a for a, b in pairwise(at)]
        if gaps and min(gaps) < self._least(frozenset({Safety.WEB, Taste.CUTOUT})):
            in_the_way.add(Safety.WEB)
        return frozenset(broken | in_the_way)

    def _clear_of(self, name: Rule, at: tuple[int, ...], others: tuple[Length, ...], *, cut: bool) -> bool:
        free = self._free(frozenset({name}), cut, others)
        return all(within(place, free) for place in at)

    def _tastes_broken(self, at: tuple[int, ...]) -> Iterator[Taste]:
        if at == self.at:
            return
        if self.typed or (self.held and any(at[n - 1 : n] != self.at[n - 1 : n] for n in self.held)):
            yield Taste.PINNED
        if len(at) != len(self.at):
            yield Taste.COUNT
        if any(a + b != self.size for a, b in zip(at, reversed(at), strict=True)):
            yield Taste.MIRRORED
        gaps = [b - a for a, b in pairwise(at)]
        if gaps and max(gaps) - min(gaps) > self.tick:
            yield Taste.GAPS_ALIKE
        off = self._off_the_wall(len(at)) * self.tick
        if len(at) > 1 and (at[0] != off or at[-1] != self.size - off):
            yield Taste.OFF_THE_WALL
        if Taste.SPACING in self.tastes and self._over_limit(at):
            yield Taste.SPACING

    def _over_limit(self, at: tuple[int, ...]) -> bool:
        limit = int(self.asked.inputs.spacing_limit)
        return self.direction is Direction.ALONG and any(b - a > limit for a, b in pairwise(at))


def _only(standing: Standing, names: Names) -> Standing:
    """The same ceiling with what these rules name overhead, and nothing else."""
    return replace(
        standing,
        members=tuple(each for each in standing.members if each.name in names),
        beyond=tuple(each for each in standing.beyond if each.name in names),
        things=tuple(each for each in standing.things if each.name in names),
    )
