"""What changed between two takeoffs of a job: by room, by item, by cable, mark by mark. Knows no prices and no records.

Adds and what is taken out are never set off against each other: a light more in the den and one less in the hall are
one added and one taken out. Before + added - taken out = after, for every item, always.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from layout.engine.lengths import ZERO, Distance, Length, feet
from reports.estimating.counted import CountedMark, CountedRoom
from reports.estimating.frozen_takeoff import FrozenTakeoff
from reports.estimating.takeoff import Basis, JobLine, Line, Quantity

FARTHEST = feet(6)  # about a light's spacing: farther off it is another light. Common practice, no source
NONE = Fraction(0)


@dataclass(frozen=True, slots=True)
class ItemChange:
    """One item in one room, or over the job. before and after are exact; so are added and taken_out, never negative."""

    key: str
    name: str
    category: str
    unit: str
    before: Quantity
    after: Quantity
    added: Quantity
    taken_out: Quantity

    @property
    def changed(self) -> bool:
        return bool(self.added) or bool(self.taken_out)


@dataclass(frozen=True, slots=True)
class JobItemChange:
    """One item over the job: the rooms' adds and what they lost, and what is ordered before and after."""

    item: ItemChange
    order_before: int
    order_after: int


@dataclass(frozen=True, slots=True)
class MovedMark:
    """One hole that stands elsewhere: left and right along x, door and far along y, signed."""

    before: CountedMark
    after: CountedMark
    dx: Distance
    dy: Distance


@dataclass(frozen=True, slots=True)
class RoomDifference:
    """A room before and after. before or after is None where the room is not in that takeoff.

    moved, added and taken_out are marks; they are empty when either side was only counted.
    """

    room_id: int
    name: str
    before: CountedRoom | None
    after: CountedRoom | None
    items: tuple[ItemChange, ...]
    moved: tuple[MovedMark, ...]
    added: tuple[CountedMark, ...]
    taken_out: tuple[CountedMark, ...]

    @property
    def measured_since(self) -> bool:
        """It was counted without a layout and now is laid out."""
        sides = self.before, self.after
        return all(sides) and [side.basis for side in sides if side] == [Basis.COUNTED, Basis.LAID_OUT]

    @property
    def changed(self) -> bool:
        return any(each.changed for each in self.items) or bool(self.moved or self.added or self.taken_out)


@dataclass(frozen=True, slots=True)
class Difference:
    """rooms: every room of either takeoff, in the later one's order. items: every item of either, changed or not."""

    rooms: tuple[RoomDifference, ...]
    items: tuple[JobItemChange, ...]

    @property
    def changed_rooms(self) -> tuple[RoomDifference, ...]:
        return tuple(room for room in self.rooms if room.changed)

    @property
    def cables(self) -> tuple[JobItemChange, ...]:
        """By kind of cable; kinds are never added together."""
        return tuple(each for each in self.items if each.item.key.startswith("cable:"))

    @property
    def moved(self) -> tuple[tuple[str, MovedMark], ...]:
        """Each with its room's name."""
        return tuple((room.name, mark) for room in self.rooms for mark in room.moved)


def difference(before: FrozenTakeoff, after: FrozenTakeoff, farthest: Length = FARTHEST) -> Difference:
    """Rooms are the same by their id, items by their key, marks by where they stand.

    farthest: a mark that went farther than this, straight, is one taken out and one added.
    """
    old = {room.room_id: room for room in before.rooms}
    new = {room.room_id: room for room in after.rooms}
    ids = [*new, *(room_id for room_id in old if room_id not in new)]
    rooms = tuple(room_difference(old.get(room_id), new.get(room_id), farthest) for room_id in ids)
    return Difference(rooms, _job_items(before.job.lines, after.job.lines, rooms))


def room_difference(
    before: CountedRoom | None, after: CountedRoom | None, farthest: Length = FARTHEST
) -> RoomDifference:
    """One room; at least one side is given."""
    shown = after or before
    if shown is None:
        raise ValueError("A room that is in neither takeoff has no difference.")
    marked = [side for side in (before, after) if side and side.basis is Basis.COUNTED] == []
    moved, added, gone = _marks(before, after, farthest) if marked else ((), (), ())
    items = _items(before.takeoff.lines if before else (), after.takeoff.lines if after else ())
    return RoomDifference(shown.room_id, shown.name, before, after, items, moved, added, gone)


def _items(before: Iterable[Line], after: Iterable[Line]) -> tuple[ItemChange, ...]:
    old = {line.key: line for line in before}
    new = {line.key: line for line in after}
    return tuple(_change(old.get(key), new.get(key)) for key in [*new, *(key for key in old if key not in new)])


def _change(old: Line | None, new: Line | None) -> ItemChange:
    shown = new or old
    assert shown is not None
    nothing = _nothing(shown.quantity)
    before, after = (old.quantity if old else nothing), (new.quantity if new else nothing)
    more = _less(after, before)
    added, gone = (more, nothing) if _positive(more) else (nothing, _less(before, after))
    return ItemChange(shown.key, shown.name, shown.category, shown.unit, before, after, added, gone)


def _job_items(
    before: tuple[JobLine, ...], after: tuple[JobLine, ...], rooms: tuple[RoomDifference, ...]
) -> tuple[JobItemChange, ...]:
    old: Mapping[str, JobLine] = {line.key: line for line in before}
    new: Mapping[str, JobLine] = {line.key: line for line in after}
    in_rooms: dict[str, list[ItemChange]] = {}
    for room in rooms:
        for item in room.items:
            in_rooms.setdefault(item.key, []).append(item)
    found = []
    for key in [*new, *(key for key in old if key not in new)]:
        was, now = old.get(key), new.get(key)
        shown = now or was
        assert shown is not None
        nothing = _nothing(shown.quantity)
        parts = in_rooms.get(key) or [_once(was, now, shown)]
        change = ItemChange(
            shown.key,
            shown.name,
            shown.category,
            shown.unit,
            was.quantity if was else nothing,
            now.quantity if now else nothing,
            _sum((part.added for part in parts), nothing),
            _sum((part.taken_out for part in parts), nothing),
        )
        found.append(JobItemChange(change, was.order if was else 0, now.order if now else 0))
    return tuple(found)


def _once(was: JobLine | None, now: JobLine | None, shown: JobLine) -> ItemChange:
    """What the job takes once, in no room."""
    nothing = _nothing(shown.quantity)
    before, after = (was.quantity if was else nothing), (now.quantity if now else nothing)
    more = _less(after, before)
    added, gone = (more, nothing) if _positive(more) else (nothing, _less(before, after))
    return ItemChange(shown.key, shown.name, shown.category, shown.unit, before, after, added, gone)


Marks = tuple[CountedMark, ...]


def _marks(
    before: CountedRoom | None, after: CountedRoom | None, farthest: Length
) -> tuple[tuple[MovedMark, ...], Marks, Marks]:
    """Marks of one type that stand where they stood are the same; of the rest the nearest pairs, nearest first."""
    old = list(before.marks) if before else []
    new = list(after.marks) if after else []
    stood = {(mark.type_key, mark.at): mark for mark in old}
    here = {id(mark): stood.get((mark.type_key, mark.at)) if mark.at is not None else None for mark in new}
    kept = {id(mark) for mark in here.values() if mark is not None}
    left_old = [mark for mark in old if id(mark) not in kept]
    left_new = [mark for mark in new if here[id(mark)] is None]
    pairs = sorted(
        (
            (apart, was.ident, now.ident, was, now)
            for was in left_old
            for now in left_new
            if was.type_key == now.type_key and (apart := _apart(was, now)) <= farthest.nm**2
        ),
        key=lambda pair: pair[:3],
    )
    moved: dict[int, MovedMark] = {}
    taken: set[int] = set()
    for _, _, _, was, now in pairs:
        if id(was) not in taken and id(now) not in moved:
            taken.add(id(was))
            moved[id(now)] = _moved(was, now)
    return (
        tuple(moved[id(mark)] for mark in left_new if id(mark) in moved),
        tuple(mark for mark in left_new if id(mark) not in moved),
        tuple(mark for mark in left_old if id(mark) not in taken),
    )


def _apart(was: CountedMark, now: CountedMark) -> Fraction:
    """The square of the straight way between two marks; places nobody knows are told by their IDs."""
    if was.at is None or now.at is None:
        return Fraction(0 if was.ident == now.ident else FARTHEST.nm**2 * 4)
    return (now.at.x.nm - was.at.x.nm) ** 2 + (now.at.y.nm - was.at.y.nm) ** 2


def _moved(was: CountedMark, now: CountedMark) -> MovedMark:
    if was.at is None or now.at is None:
        return MovedMark(was, now, ZERO, ZERO)
    return MovedMark(was, now, now.at.x - was.at.x, now.at.y - was.at.y)


def _nothing(like: Quantity) -> Quantity:
    return ZERO if isinstance(like, Distance) else NONE


def _less(one: Quantity, other: Quantity) -> Quantity:
    return one - other  # type: ignore[operator]  # one item is either all pieces or all cable


def _positive(quantity: Quantity) -> bool:
    return (quantity.nm if isinstance(quantity, Distance) else quantity) > 0


def _sum(quantities: Iterable[Quantity], nothing: Quantity) -> Quantity:
    for quantity in quantities:
        nothing = nothing + quantity  # type: ignore[operator]
    return nothing
