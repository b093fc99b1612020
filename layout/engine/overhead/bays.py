"""Bays between members: how wide they are, how far a hole can travel in one, what a bay is called. Knows no fixture."""

from __future__ import annotations

from dataclasses import dataclass

from layout.engine.lengths import ZERO, Distance, Length
from layout.engine.marks import Side
from layout.engine.overhead.stand import WALLS, Direction, Standing, StandingMember


def clear_bay(spacing: Distance, member: Length) -> Distance:
    """Face to face: the spacing, center to center, less one member."""
    return spacing - member


def off_joist(cutout: Length, gap: Length, member: Length) -> Distance:
    """The least distance from a member's center to a mark: half the hole, the free material, half the member.

    6 3/8 in hole, 1/2 in gap, 1 1/2 in joist: 4 7/16 in. Common practice, no source.
    """
    return cutout / 2 + gap + member / 2


def free_travel(spacing: Distance, member: Length, cutout: Length, gap: Length) -> Distance:
    """How far a mark can go either way from the middle of its bay, with `gap` free on each side of the hole.

    Below 0: the hole doesn't go into the bay at all. Common practice, no source.
    """
    return spacing / 2 - off_joist(cutout, gap, member)


@dataclass(frozen=True, slots=True)
class Bay:
    """One bay: between what, and its faces on the coordinate the members stand on."""

    name: str  # 'joists 3 and 4', 'the left wall and joist 1'
    low: Distance
    high: Distance


def bay_at(standing: Standing, direction: Direction, at: Distance) -> Bay | None:
    """The bay a mark stands in, by the centers of the members around it. None where no members stand that way."""
    members = standing.members_on(direction)
    if not members:
        return None
    before = [member for member in members if member.at <= at]
    after = [member for member in members if member.at > at]
    low = before[-1] if before else None
    high = after[0] if after else None
    return Bay(
        name=_between(low, high, _walls(standing, direction)),
        low=low.faces[1] if low else ZERO,
        high=high.faces[0] if high else standing.size(direction),
    )


def _walls(standing: Standing, direction: Direction) -> tuple[Side, Side]:
    axis = standing.axis(direction)
    return standing.orientation.zero_side(axis), standing.orientation.end_side(axis)


def _between(low: StandingMember | None, high: StandingMember | None, walls: tuple[Side, Side]) -> str:
    first = low.name if low else f"the {WALLS[walls[0]]}"
    second = high.name if high else f"the {WALLS[walls[1]]}"
    if low and high and _plain(first) and _plain(second):
        return f"joists {first.removeprefix('joist ')} and {second.removeprefix('joist ')}"
    return f"{first} and {second}"


def _plain(name: str) -> bool:
    return name.startswith("joist ") and name.removeprefix("joist ").isdigit()
