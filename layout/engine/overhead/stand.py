"""Everything overhead, turned to along and across the rows from the ceiling's zero corner. Judges nothing.

What was measured from a wall's framing, its finished face or the ceiling's edge all stands from the edge afterwards,
and follows the zero corner: choose the far right one and joist 1 is the one nearest that corner.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from math import ceil, floor

from layout.engine.lengths import ZERO, Distance, Length, LengthError
from layout.engine.marks import Axis, Datum, Orientation, Side
from layout.engine.overhead.values import Cavity, ClearTo, Joists, Member, Overhead, Thing
from layout.engine.stacks import Datums

MOST_MEMBERS = 10_000  # a 300 ft ceiling framed every 3/8 in: more is a slip in a spacing
MOST_THINGS = 2_000
MOST_ODD = 100  # members out of the pattern: more than that is a pattern
MOST_PATTERNS = 20

WALLS = {Side.LEFT: "left wall", Side.RIGHT: "right wall", Side.DOOR: "door wall", Side.FAR: "far wall"}


class OverheadError(LengthError):
    """What was entered as overhead can't be taken as it stands. The message names the entry and the remedy."""


class ReadingMissing(OverheadError):
    """Something was measured from the framing of a wall, and how far that is from the ceiling's edge nobody knows."""

    def __init__(self, name: str, side: Side, axis: Axis) -> None:
        way = "left to right" if axis is Axis.LEFT_RIGHT else "from the door wall to the far wall"
        super().__init__(
            f"{name}: measured from the framing at the {WALLS[side]}, but the framing was not taped {way}. "
            "Enter that reading, or measure this from the finished wall or the ceiling's edge."
        )
        self.name = name
        self.side = side
        self.axis = axis


class Direction(StrEnum):
    """Which coordinate: along the rows or across them, both from the zero corner."""

    ALONG = "along"
    ACROSS = "across"

    @property
    def other(self) -> Direction:
        return Direction.ACROSS if self is Direction.ALONG else Direction.ALONG


@dataclass(frozen=True, slots=True)
class StandingMember:
    """One member where it stands. on: the coordinate its center `at` is on; it runs the other way, wall to wall."""

    name: str  # 'joist 3', counted from the zero side, or the name it was given
    on: Direction
    at: Distance
    width: Length
    clear: Length
    depth: Length | None = None

    @property
    def faces(self) -> tuple[Distance, Distance]:
        return self.at - self.width / 2, self.at + self.width / 2


@dataclass(frozen=True, slots=True)
class StandingThing:
    """One thing where it stands: a circle or a rectangle about its center. The rest is as in Thing."""

    name: str
    what: str
    along: Distance
    across: Distance
    size_along: Length  # both the diameter where it is round
    size_across: Length
    round: bool
    clear: Length
    clear_to: ClearTo
    above: bool
    leaves: Length | None
    fixed: bool
    source: str
    note: str
    keeps_off: bool


@dataclass(frozen=True, slots=True)
class Standing:
    """All that is overhead of one ceiling, from its zero corner. along, across: the ceiling's sizes, edge to edge.

    members: those that can touch the ceiling, the ones on `along` first, each from the zero side. beyond: those past
    its edges but inside the framing, which only a frame above the drywall reaches.
    """

    orientation: Orientation
    along: Distance
    across: Distance
    members: tuple[StandingMember, ...]
    beyond: tuple[StandingMember, ...]
    things: tuple[StandingThing, ...]
    cavity: Cavity | None
    looked: bool

    def size(self, direction: Direction) -> Distance:
        return self.along if direction is Direction.ALONG else self.across

    def members_on(self, direction: Direction) -> tuple[StandingMember, ...]:
        return tuple(member for member in self.members if member.on is direction)

    def axis(self, direction: Direction) -> Axis:
        run = self.orientation.rows_run
        return run if direction is Direction.ALONG else run.other


def stand(overhead: Overhead, orientation: Orientation, along: Datums, across: Datums) -> Standing:
    """Everything overhead from the zero corner. along, across: the datums of the two axes, start at the zero side.

    Raises OverheadError: ReadingMissing where a face was never measured; too many members or things.
    """
    for what, entered, most in (
        ("things", overhead.things, MOST_THINGS),
        ("members out of the pattern", overhead.members, MOST_ODD),
        ("runs of joists", overhead.joists, MOST_PATTERNS),
    ):
        if len(entered) > most:
            raise OverheadError(f"Overhead: {len(entered)} {what} are entered. A room takes {most}.")
    run = orientation.rows_run
    axes = {run: _AxisStand(orientation, run, along), run.other: _AxisStand(orientation, run.other, across)}
    direction = {run: Direction.ALONG, run.other: Direction.ACROSS}
    members: list[StandingMember] = []
    beyond: list[StandingMember] = []
    both_ways = len({joists.runs for joists in overhead.joists}) == 2
    for axis, on in direction.items():
        inside, outside = _members_on(overhead, axes[axis], on, both_ways)
        members += inside
        beyond += outside
    return Standing(
        orientation=orientation,
        along=along.ceiling,
        across=across.ceiling,
        members=tuple(members),
        beyond=tuple(beyond),
        things=tuple(_thing(thing, axes, run) for thing in overhead.things),
        cavity=overhead.cavity,
        looked=overhead.looked,
    )


@dataclass(frozen=True, slots=True)
class _AxisStand:
    orientation: Orientation
    axis: Axis
    datums: Datums

    def place(self, name: str, at: Distance, side: Side, datum: Datum) -> Distance:
        """A distance from a wall's face, as a coordinate from the zero edge."""
        if side not in self.axis.sides:
            first, second = (WALLS[each] for each in self.axis.sides)
            raise OverheadError(f"{name}: measured from the {WALLS[side]}. Take it from the {first} or the {second}.")
        at_start = side is self.orientation.zero_side(self.axis)
        face = self._face(name, side, datum, at_start)
        return at - face if at_start else self.datums.ceiling - (at - face)

    def _face(self, name: str, side: Side, datum: Datum, at_start: bool) -> Distance:
        """How far the face stands behind the ceiling's edge."""
        if datum is Datum.EDGE:
            return ZERO
        if datum is Datum.FINISHED:
            return self.datums.start_gap if at_start else self.datums.end_gap
        offset = self.datums.start_offset if at_start else self.datums.end_offset
        if offset is None:
            raise ReadingMissing(name, side, self.axis)
        return offset

    def reach(self) -> tuple[Distance, Distance]:
        """From framing to framing where it is known, else from edge to edge."""
        before, after = self.datums.start_offset or ZERO, self.datums.end_offset or ZERO
        return -before, self.datums.ceiling + after


def _members_on(
    overhead: Overhead, axis: _AxisStand, on: Direction, both_ways: bool
) -> tuple[list[StandingMember], list[StandingMember]]:
    """The members spaced on one axis: those that can touch the ceiling, and those past its edges."""
    patterns = [joists for joists in overhead.joists if joists.runs is not axis.axis]
    found = [member for joists in patterns for member in _joists(joists, axis, on)]
    found.sort(key=lambda member: member.at.nm)
    tail = f" ({'across' if on is Direction.ALONG else 'along'} the rows)" if both_ways else ""
    inside = [member for member in found if _touches(member, axis.datums.ceiling)]
    named = [_renamed(member, f"joist {number}{tail}") for number, member in enumerate(inside, 1)]
    odd = [_odd(member, axis, on) for member in overhead.members if member.runs is not axis.axis]
    for member in odd:
        if _touches(member, axis.datums.ceiling):
            named = _with_odd(named, member)
    start, end = axis.orientation.zero_side(axis.axis), axis.orientation.end_side(axis.axis)
    outside = [
        _renamed(member, f"joist past the {start if member.at < axis.datums.ceiling / 2 else end} edge")
        for member in found
        if not _touches(member, axis.datums.ceiling)
    ]
    outside += [member for member in odd if not _touches(member, axis.datums.ceiling)]
    return sorted(named, key=lambda member: member.at.nm), sorted(outside, key=lambda member: member.at.nm)


def _joists(joists: Joists, axis: _AxisStand, on: Direction) -> list[StandingMember]:
    """One pattern, wall to wall. Numbers come later."""
    if joists.spacing <= joists.width or joists.width <= ZERO:
        raise OverheadError("Joists: give a width of more than 0, and a spacing, center to center, wider than that.")
    if joists.clear < ZERO:
        raise OverheadError("Joists: what is kept clear beside them is not below zero.")
    first = axis.place("Joists", joists.first, joists.first_from, joists.datum).nm
    low, high = axis.reach()
    half, spacing = joists.width.nm / 2, joists.spacing.nm
    touch = half + joists.clear.nm
    from_number = min(ceil((low.nm - half - first) / spacing), floor((-touch - first) / spacing) + 1)
    past = axis.datums.ceiling.nm + touch - first
    to_number = max(floor((high.nm + half - first) / spacing), ceil(past / spacing) - 1)
    if to_number - from_number >= MOST_MEMBERS:
        raise OverheadError(
            f"Joists: that spacing puts {to_number - from_number + 1} of them over this ceiling; "
            f"it takes {MOST_MEMBERS}. Check the spacing."
        )
    places = (Distance(Fraction(first + number * spacing)) for number in range(from_number, to_number + 1))
    return [StandingMember("", on, at, joists.width, joists.clear, joists.depth) for at in places]


def _odd(member: Member, axis: _AxisStand, on: Direction) -> StandingMember:
    if member.width <= ZERO or member.clear < ZERO:
        raise OverheadError(f"{member.name}: give a width of more than 0, and 0 or more to be kept clear beside it.")
    at = axis.place(member.name, member.at, member.at_from, member.datum)
    return StandingMember(member.name, on, at, member.width, member.clear)


def _touches(member: StandingMember, ceiling: Distance) -> bool:
    """Whether its band, free material included, reaches into the ceiling."""
    reach = member.width.nm / 2 + member.clear.nm
    return member.at.nm + reach > 0 and member.at.nm - reach < ceiling.nm


def _with_odd(members: list[StandingMember], odd: StandingMember) -> list[StandingMember]:
    """A doubled joist stands in place of the one it covers, and keeps its number."""
    low, high = odd.faces
    covered = [each for each in members if low <= each.faces[0] and each.faces[1] <= high]
    if not covered:
        return [*members, odd]
    kept = [each for each in members if each not in covered]
    return [*kept, _renamed(odd, f"{odd.name} ({', '.join(each.name for each in covered)})")]


def _renamed(member: StandingMember, name: str) -> StandingMember:
    return StandingMember(name, member.on, member.at, member.width, member.clear, member.depth)


def _thing(thing: Thing, axes: dict[Axis, _AxisStand], run: Axis) -> StandingThing:
    if thing.wide < ZERO or thing.deep < ZERO:
        raise OverheadError(f"{thing.name}: a size is not below zero.")
    if thing.round and thing.wide != thing.deep:
        raise OverheadError(f"{thing.name}: it is round, so both sizes are its diameter. Make them alike.")
    if thing.clear < ZERO:
        raise OverheadError(f"{thing.name}: a clearance is not below zero.")
    x = axes[Axis.LEFT_RIGHT].place(thing.name, thing.x, Side.LEFT, thing.datum)
    y = axes[Axis.DOOR_FAR].place(thing.name, thing.y, Side.DOOR, thing.datum)
    rows_left_right = run is Axis.LEFT_RIGHT
    return StandingThing(
        name=thing.name,
        what=thing.what,
        along=x if rows_left_right else y,
        across=y if rows_left_right else x,
        size_along=thing.wide if rows_left_right else thing.deep,
        size_across=thing.deep if rows_left_right else thing.wide,
        round=thing.round,
        clear=thing.clear,
        clear_to=thing.clear_to,
        above=thing.above,
        leaves=thing.leaves,
        fixed=thing.fixed,
        source=thing.source,
        note=thing.note,
        keeps_off=thing.keeps_off,
    )
