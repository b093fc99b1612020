"""The ways out of a layout that won't fit, in the order a crew takes them, each tried for real before it is offered.

Every way is a change to what was asked for, laid out again and held against everything overhead. No way takes from a
clearance: what is offered is clear. Source of the order and of the 2 in and 8 in: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from itertools import chain, islice

from layout.engine.findings import Code
from layout.engine.lengths import Length, LengthError, Unit, inches, mm
from layout.engine.overhead.legal import clear_at
from layout.engine.overhead.stand import Direction
from layout.engine.placement.problem import MOST_LINES
from layout.engine.room import Fitting, RoomInputs, RoomLayout, lay_out
from layout.engine.rows.wish import Mode
from layout.engine.ways import search
from layout.engine.ways.alone import ways_alone
from layout.engine.ways.changes import held_at, mode_of, with_count, with_ends
from layout.engine.ways.compromise import as_compromise, least_in_the_way
from layout.engine.ways.costs import costs, moves
from layout.engine.ways.lines import Lines, within
from layout.engine.ways.read import Ceiling, ceiling_of, lines_at, read_lines
from layout.engine.ways.rules import Missing, NoWay, Way, WayKind, Ways
from layout.engine.ways.why import clash_of

SLIDE = {Unit.INCH: inches(24), Unit.MM: mm(600)}
PAIRS = {Unit.INCH: inches(16), Unit.MM: mm(400)}
SHIFT = {Unit.INCH: inches(8), Unit.MM: mm(200)}
UNSEEN = {Unit.INCH: inches(2), Unit.MM: mm(50)}  # a shift over this is seen: the center is lost
MOST_MARKS = 200  # past this no compromise is looked for: it would take longer than a person waits
TRIES = 40  # candidates laid out for real before a search is given up
ALIKE_TRIES = 8  # what so many of them leave just as it is, no other place of the same lines clears

Found = Way | Missing


def ways_out(inputs: RoomInputs, alternatives: Iterable[Fitting] = ()) -> Ways:
    """alternatives: other fixtures the shop has, to be tried in place of the light. Raises what lay_out raises."""
    return ways_of(lay_out(inputs), alternatives)


def ways_of(layout: RoomLayout, alternatives: Iterable[Fitting] = ()) -> Ways:
    """The same for a room that is laid out already."""
    finder = Finder(ceiling_of(layout))
    if finder.nothing_wrong:
        return Ways()
    found = list(_each_once(finder.all(tuple(alternatives))))
    ways = tuple(each for each in found if isinstance(each, Way))
    missing = tuple(each for each in found if isinstance(each, Missing))
    clash = clash_of(finder.asked, ways)
    if ways or not finder.asked.left or len(layout.arrangement.marks) > MOST_MARKS:
        return Ways(clash, ways, missing, None, finder.asked.left)
    best, change = least_in_the_way(finder.asked)
    last = finder.alone(best)
    if isinstance(last, Way):  # the least in the way, and what is left of it moved by itself
        others = tuple(each for each in missing if each.kind is not WayKind.ONE_ALONE)
        return Ways(clash, (last,), others, None, finder.asked.left)
    return Ways(clash, (), missing, as_compromise(finder.asked, best, change), finder.asked.left)


class Finder:
    """One layout and what is tried on it. asked: as it was asked for. start: the same, or with its rows slid off what
    the moves off the joists can't clear.
    """

    def __init__(self, asked: Ceiling) -> None:
        self.asked = self.start = asked
        self.unit = asked.inputs.unit
        self.tick = self.unit.tick
        self.over_limit = any(each.code is Code.GAP_OVER_LIMIT for each in asked.still)
        self.keep_limit = self.over_limit and asked.clears
        self.off_joists = _off_joists(asked)  # the direction that leads off a joist
        self.stuck_on = _stuck_on(asked)
        self.unmoved: dict[Direction, frozenset[object]] = {}  # what moves on one axis were seen to leave as it was
        self._tried: dict[frozenset[tuple[str, object]], Ceiling | None] = {}
        self._read: dict[tuple[int, Direction, bool], Lines] = {}

    @property
    def nothing_wrong(self) -> bool:
        return self.asked.clears and not self.over_limit

    @property
    def along_joists(self) -> Direction:
        return self.off_joists.other

    @property
    def directions(self) -> tuple[Direction, ...]:
        """Those that can clear what is in the way, the one that leads off the joists first."""
        if self.keep_limit:
            return (Direction.ALONG,)
        if len(self.stuck_on) == 1:
            return tuple(self.stuck_on)
        return (self.off_joists, self.along_joists)

    def all(self, alternatives: tuple[Fitting, ...]) -> Iterator[Found]:
        if self.keep_limit:  # nothing is in the way: only gaps are too wide
            yield self.of_kind(WayKind.RESPACE)
            yield self.count(WayKind.ONE_MORE, 1)
            return
        if self.asked.layout.arrangement.columns:
            yield self.slide()
            yield from self.moves()
        yield self.smaller(alternatives)
        yield self.count(WayKind.ONE_MORE, 1)
        yield self.count(WayKind.ONE_FEWER, -1)
        if self.asked.layout.arrangement.columns:
            yield self.alone()

    def moves(self) -> tuple[Found, ...]:
        """Re-spacing, pairs and a shift; where none of them clears, the same with the rows slid off what they can."""
        kinds = (WayKind.RESPACE, WayKind.PAIRS, WayKind.SHIFT)
        found = tuple(self.of_kind(kind) for kind in kinds)
        if any(isinstance(each, Way) for each in found):
            return found
        if all(each.on is self.off_joists for each in self.asked.left) or (slid := self._slid_clear()) is None:
            return found
        self.start, self.stuck_on = slid, {self.off_joists}
        again = tuple(self.of_kind(kind) for kind in kinds)
        if any(isinstance(each, Way) for each in again):
            return again
        self.start, self.stuck_on = self.asked, _stuck_on(self.asked)
        return found

    # Trying for real

    def tried(self, change: Mapping[str, object]) -> Ceiling | None:
        """The ceiling with a change; None where it can't be laid out at all."""
        key = frozenset(change.items())
        if key not in self._tried:
            inputs = replace(self.asked.inputs, **change)  # type: ignore[arg-type]
            try:
                self._tried[key] = ceiling_of(lay_out(inputs, self.asked.layout), self.asked)
            except LengthError:
                self._tried[key] = None
        return self._tried[key]

    def clears(self, ceiling: Ceiling | None) -> bool:
        if ceiling is None or not ceiling.clears:
            return False
        return not self.keep_limit or all(each.code is not Code.GAP_OVER_LIMIT for each in ceiling.still)

    def way(
        self, kind: WayKind, direction: Direction, change: Mapping[str, object], after: Ceiling, fixture: str = ""
    ) -> Way:
        before = self.asked.layout
        return Way(
            kind,
            direction,
            moves(before, after.layout),
            costs(before, after.layout),
            dict(change),
            after.layout,
            after.still,
            fixture,
        )

    def first(
        self, kind: WayKind, direction: Direction, changes: Iterable[Mapping[str, object]], start: Ceiling | None = None
    ) -> Way | None:
        """The first change that clears everything."""
        held = self._changed(start or self.start)
        unmoved: frozenset[object] | None = None
        for number, change in enumerate(islice(changes, TRIES), 1):
            whole = {**held, **change}
            if (after := self.tried(whole)) is None:
                continue
            if self.clears(after):
                return self.way(kind, direction, whole, after)
            unmoved = _not_fitting(after) if unmoved is None else unmoved & _not_fitting(after)
            known = self.unmoved.get(direction, frozenset())
            if (number >= ALIKE_TRIES and unmoved) or (number > 1 and unmoved & known):
                self.unmoved[direction] = known | unmoved
                return None
        return None

    def _changed(self, start: Ceiling) -> dict[str, object]:
        """The fields in which a start differs from what was asked."""
        return {
            name: getattr(start.inputs, name)
            for name in ("pins", "typed_along", "typed_across", "lights_per_row", "rows", "speaker_gaps")
            if getattr(start.inputs, name) != getattr(self.asked.inputs, name)
        }

    # Moves

    def slide(self) -> Found:
        """Rows along the joists, mirrored where that clears with no larger move; costs nothing across the joists."""
        direction, most = self.along_joists, SLIDE[self.unit]
        if self.stuck_on - {direction}:
            return Missing(WayKind.SLIDE, NoWay.ON_FRAMING, direction)
        lines = self._lines(direction)
        ways = [
            self.first(WayKind.SLIDE, direction, self._places(direction, places))
            for places in (_paired(lines, self.ticks(most)), search.shifts(lines, self.ticks(most)))
        ]
        found = [way for way in ways if way is not None]
        return min(found, key=_largest_move) if found else self._missing(WayKind.SLIDE, direction, most, lines)

    def of_kind(self, kind: WayKind) -> Found:
        """Over the directions that can clear it, the one with the least move."""
        found: list[Way] = []
        missing: list[Missing] = []
        for direction in self.directions:
            sliding = direction is self.along_joists and not self.stuck_on and not self.keep_limit
            if sliding and kind is not WayKind.RESPACE:
                continue
            one = self._one(kind, direction)
            if isinstance(one, Way):
                found.append(one)
            else:
                missing.append(one)
        return min(found, key=_largest_move) if found else missing[0]

    def _one(self, kind: WayKind, direction: Direction) -> Found:
        """Within the spacing limit; over it where nothing else clears, which is one of the way's costs."""
        lines = self._lines(direction)
        found = self._within(kind, direction, lines)
        if isinstance(found, Missing) and not self.keep_limit and lines.most < lines.size:
            wider = self._within(kind, direction, replace(lines, most=lines.size))
            return wider if isinstance(wider, Way) else found
        return found

    def _within(self, kind: WayKind, direction: Direction, lines: Lines) -> Found:
        most = {WayKind.PAIRS: PAIRS, WayKind.SHIFT: SHIFT}.get(kind, SLIDE)[self.unit]
        if kind is WayKind.RESPACE:
            changes = self._ends(direction, search.respaced(lines))
        elif kind is WayKind.PAIRS:
            changes = self._places(direction, _paired(lines, self.ticks(most)))
        else:
            changes = self._places(direction, search.shifts(lines, self.ticks(most)))
        return self.first(kind, direction, changes) or self._missing(kind, direction, most, lines)

    def _missing(self, kind: WayKind, direction: Direction, most: Length, lines: Lines) -> Missing:
        count, middle = len(lines.at), len(lines.at) // 2
        wish = self.asked.layout.arrangement.wish
        if lines.held:
            why = NoWay.PINNED
        elif (wish.tiles_along if direction is Direction.ALONG else wish.tiles_across) is not None:
            why = NoWay.ON_TILES
        elif kind is not WayKind.SHIFT and kind is not WayKind.SLIDE and count < 2:
            why = NoWay.NOTHING_TO_MOVE
        elif kind is WayKind.PAIRS and not lines.mirrored:
            why = NoWay.NOT_MIRRORED
        elif kind is not WayKind.SHIFT and count % 2 and not within(lines.at[middle], lines.may_stand[middle]):
            why = NoWay.MIDDLE_FIXED
        else:
            why = NoWay.NOT_WITHIN
        return Missing(kind, why, direction, most)

    def _slid_clear(self) -> Ceiling | None:
        """The rows slid along the joists, clear of all but the joists."""
        direction = self.along_joists
        standing = self.asked.layout.standing
        past = tuple(member for member in standing.beyond if member.on is direction)
        others = replace(standing, members=standing.members_on(direction), beyond=past)
        fittings = self.asked.fittings
        lines = read_lines(
            replace(self.asked, legal={kind: clear_at(fittings[kind], others) for kind in self.asked.legal}), direction
        )
        most = self.ticks(SLIDE[self.unit])
        for places in islice(chain(_paired(lines, most), search.shifts(lines, most)), TRIES):
            after = self.tried(held_at(self.asked.inputs, direction, places))
            if after is not None and after.left and all(each.on is self.off_joists for each in after.left):
                return after
        return None

    def _lines(self, direction: Direction) -> Lines:
        key = (id(self.start), direction, self.keep_limit)
        if key not in self._read:
            self._read[key] = read_lines(self.start, direction, keep_limit=self.keep_limit)
        return self._read[key]

    def ticks(self, most: Length) -> int:
        return int(most.nm / self.tick.nm)

    def _places(self, direction: Direction, every: Iterable[search.Places]) -> Iterator[Mapping[str, object]]:
        for places in every:
            yield held_at(self.start.inputs, direction, places)

    def _ends(self, direction: Direction, every: Iterable[search.Places]) -> Iterator[Mapping[str, object]]:
        """Asked for by the distance off the wall; with the lines pinned where the tape's marks would fall elsewhere."""
        for places in every:
            held = held_at(self.start.inputs, direction, places)
            if mode_of(self.asked.inputs, direction) is not Mode.LOCKED:
                ends = with_ends(self.asked.inputs, direction, places)
                yield ends
                yield {**ends, **held}
            else:
                yield held

    # Other fixtures, other counts, one by itself

    def smaller(self, alternatives: tuple[Fitting, ...]) -> Found:
        """The largest other fixture that clears without a move."""
        light = self.asked.inputs.light
        others = [other for other in alternatives if other.key != light.key and _takes_less(other, light)]
        for other in sorted(others, key=lambda each: -each.cutout.nm):
            change = {"light": other}
            after = self.tried(change)
            if after is not None and self.clears(after):
                return self.way(WayKind.SMALLER, self.off_joists, change, after, other.name)
        why = NoWay.STILL_IN_THE_WAY if others else NoWay.NO_SMALLER
        return Missing(WayKind.SMALLER, why, self.off_joists)

    def count(self, kind: WayKind, more: int) -> Found:
        """One line more or fewer where that clears, as asked or with the least re-spacing or move of pairs."""
        missing: list[Missing] = []
        for direction in self.directions:
            one = self._count(kind, direction, more)
            if isinstance(one, Way):
                return one
            missing.append(one)
        return missing[0]

    def _count(self, kind: WayKind, direction: Direction, more: int) -> Found:
        change = with_count(self.asked.layout, direction, more)
        if change is None:
            return Missing(kind, self._why_no_count(direction, more), direction)
        after = self.tried(change)
        if after is None or not after.layout.arrangement.columns:
            return Missing(kind, NoWay.STILL_IN_THE_WAY, direction)
        if self.clears(after):
            return self.way(kind, direction, change, after)
        moved = Finder(after)
        moved.keep_limit = self.keep_limit
        found = [each for each in moved.moves() if isinstance(each, Way) and each.kind is not WayKind.SHIFT]
        if not found:
            return Missing(kind, NoWay.STILL_IN_THE_WAY, direction)
        least = min(found, key=_largest_move)
        whole = {**change, **least.change}
        again = self.tried(whole)
        if again is None or not self.clears(again):
            return Missing(kind, NoWay.STILL_IN_THE_WAY, direction)
        return self.way(kind, direction, whole, again)

    def _why_no_count(self, direction: Direction, more: int) -> NoWay:
        if mode_of(self.asked.inputs, direction) is Mode.LOCKED:
            return NoWay.TYPED
        lines = lines_at(self.asked.layout, direction)
        return NoWay.SPEAKERS_LOST if 1 <= len(lines) + more <= MOST_LINES else NoWay.NOTHING_TO_MOVE

    def alone(self, start: Ceiling | None = None) -> Found:
        """A line by itself where all that it carries is in the way, else each light that is."""
        begun = start or self.start
        for direction, change in ways_alone(begun, self.directions, self.ticks(PAIRS[self.unit])):
            way = self.first(WayKind.ONE_ALONE, direction, [change], begun)
            if way is not None:
                return way
        return Missing(WayKind.ONE_ALONE, NoWay.NOT_WITHIN, self.directions[0], PAIRS[self.unit])


def _each_once(found: Iterable[Found]) -> Iterator[Found]:
    """A way that puts every mark where an earlier one does is named, not offered again."""
    seen = []
    for each in found:
        if isinstance(each, Way):
            places = [(mark.id, mark.along, mark.across) for mark in each.layout.arrangement.marks]
            if not each.fixture and places in seen:
                yield Missing(each.kind, NoWay.SAME, each.direction)
                continue
            seen.append(places)
        yield each


def _not_fitting(ceiling: Ceiling) -> frozenset[object]:
    """What doesn't fit, where and by how much."""
    overhead = ((each.mark, each.what, each.short_by) for each in ceiling.left)
    return frozenset((*overhead, *((each.code, each.subject, each.short_by) for each in ceiling.broken)))


def _stuck_on(ceiling: Ceiling) -> set[Direction]:
    """The coordinates on which something is on framing."""
    return {each.on for each in ceiling.left if each.on is not None}


def _off_joists(ceiling: Ceiling) -> Direction:
    """The coordinate that most members stand on. Without framing, rows slide across the rows."""
    standing = ceiling.layout.standing
    across = len(standing.members_on(Direction.ACROSS)) > len(standing.members_on(Direction.ALONG))
    return Direction.ACROSS if across else Direction.ALONG


def _paired(lines: Lines, most: int) -> Iterator[search.Places]:
    places = search.paired(lines, most)
    if places is not None and places != lines.at:
        yield places


def _largest_move(way: Way) -> Fraction:
    return way.farthest.nm


def _takes_less(other: Fitting, light: Fitting) -> bool:
    shallower = other.depth is not None and light.depth is not None and other.depth < light.depth
    return other.cutout < light.cutout or shallower or (light.frame is not None and other.frame is None)
