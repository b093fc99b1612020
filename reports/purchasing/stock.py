"""From movements to what lies where, and from a need to what is still to buy. Values and sums; knows no records.

    to buy = need - on hand - on order

on hand is all that came for the job and has not left it, in rooms too: what hangs in a ceiling was needed and is here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

PLACES = ("shop", "van", "site")
ROOM = "room"


@dataclass(frozen=True, slots=True)
class Moved:
    """One movement as the sums see it: of a job's item, from an end to another. outside is ''."""

    key: str
    came_from: str
    went_to: str
    quantity: int
    room_id: int | None = None


@dataclass(frozen=True, slots=True)
class OnOrder:
    """An order's line and what became of it. short: what is neither here nor given up."""

    key: str
    ordered: int
    received: int
    not_coming: int

    @property
    def short(self) -> int:
        return max(self.ordered - self.received - self.not_coming, 0)


@dataclass(slots=True)
class Lies:
    """How much of one item lies where. rooms: by the room's id."""

    places: dict[str, int] = field(default_factory=lambda: dict.fromkeys(PLACES, 0))
    rooms: dict[int, int] = field(default_factory=dict)

    @property
    def at_hand(self) -> int:
        """What could be picked today."""
        return sum(self.places.values())

    @property
    def in_rooms(self) -> int:
        return sum(self.rooms.values())

    @property
    def on_hand(self) -> int:
        return self.at_hand + self.in_rooms


@dataclass(frozen=True, slots=True)
class Standing:
    """One item of a job: what it needs, what is here and where, what is on its way, and the rest."""

    need: int
    lies: Lies
    on_order: int

    @property
    def to_buy(self) -> int:
        return max(self.need - self.lies.on_hand - self.on_order, 0)

    @property
    def over(self) -> int:
        """Here or on its way beyond the need."""
        return max(self.lies.on_hand + self.on_order - self.need, 0)


def lying(movements: Iterable[Moved]) -> dict[str, Lies]:
    """Item by item, where everything lies that ever came."""
    found: dict[str, Lies] = {}
    for one in movements:
        lies = found.setdefault(one.key, Lies())
        for end, change in ((one.came_from, -one.quantity), (one.went_to, one.quantity)):
            if end == ROOM and one.room_id is not None:
                lies.rooms[one.room_id] = lies.rooms.get(one.room_id, 0) + change
            elif end in lies.places:
                lies.places[end] += change
    return found


def standings(need: Mapping[str, int], lies: Mapping[str, Lies], orders: Iterable[OnOrder]) -> dict[str, Standing]:
    """Every item that is needed, here or on its way; in the need's order, the others after it."""
    coming: dict[str, int] = {}
    for line in orders:
        coming[line.key] = coming.get(line.key, 0) + line.short
    keys = [*need, *(key for key in lies if key not in need)]
    keys += [key for key in coming if key not in need and key not in lies]
    return {key: Standing(need.get(key, 0), lies.get(key, Lies()), coming.get(key, 0)) for key in keys}
