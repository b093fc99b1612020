"""Which lights to put on one switch, with the reason for each light. A suggestion: a person decides.

general, perimeter (the outer rows), task and accent (what a person held there), screen end (the line at the screen).
All of it is common practice, no source. Knows marks and lines; not circuits, watts or pages.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from math import ceil

from layout.engine.marks import Mark
from layout.engine.pins import Line
from layout.engine.switching import LETTERS, places

MOST_ZONES = 4  # in a room at home; common practice, no source
MOST_LIGHTS = 12  # on one switch; common practice, no source
LEAST_ROWS = 3  # with fewer there is no row between the outer two

At = tuple[int, int]  # row, and which light of it


class Purpose(StrEnum):
    GENERAL = "general"
    PERIMETER = "perimeter"
    TASK = "task"
    ACCENT = "accent"
    SCREEN = "screen"


class Why(StrEnum):
    REST = "rest"  # what is left for the room itself
    OUTER_ROW = "outer_row"
    OVER_A_TASK = "over_a_task"
    ON_ACCENT = "on_accent"
    AT_THE_SCREEN = "at_the_screen"
    OWN_PART = "own_part"  # a part of the ceiling by itself
    TOO_MANY = "too_many"  # as many as go on one switch are on the one before


@dataclass(frozen=True, slots=True)
class RoomFacts:
    """What is known of a room beside its marks.

    tasks, accents: lights a person holds over a task, or aims at something on a wall. screen: the lines the screen's
    wall runs along, and whether it is at their zero end; None: no screen.
    """

    tasks: Collection[At] = ()
    accents: Collection[At] = ()
    screen: tuple[Line, bool] | None = None
    most_zones: int = MOST_ZONES
    most_lights: int = MOST_LIGHTS


@dataclass(frozen=True, slots=True)
class Suggested:
    """One light: its place, and the zone it might be on."""

    row: int
    number: int
    zone: str
    purpose: Purpose
    why: Why


@dataclass(frozen=True, slots=True)
class _Group:
    purpose: Purpose
    why: Why
    lights: tuple[At, ...]


ORDER = tuple(Purpose)


def suggest(marks: Sequence[Mark], facts: RoomFacts) -> tuple[Suggested, ...]:
    """Every light of the room with a zone; letters from A, general first.

    Args: marks: the room's with nothing said, each part's lights under the part's own letter.
    As few lights as fit on one switch, and nothing special about any, are one zone.
    """
    there = places(marks)
    groups = _no_more_than(_groups(there, facts), _zones_for(len(there), facts))
    groups = sorted(groups, key=lambda group: ORDER.index(group.purpose))
    split = _split(groups, facts, _zones_for(len(there), facts))
    found = [
        Suggested(row, number, letter, group.purpose, group.why)
        for letter, group in zip(LETTERS, split, strict=False)
        for row, number in group.lights
    ]
    return tuple(sorted(found, key=lambda one: (one.row, one.number)))


def _zones_for(lights: int, facts: RoomFacts) -> int:
    """A large room takes more zones than a home's rather than more lights on a switch, as far as there are letters."""
    return min(len(LETTERS), max(1, facts.most_zones, ceil(lights / max(1, facts.most_lights))))


def _groups(there: Mapping[At, Mark], facts: RoomFacts) -> list[_Group]:
    """Lights by what they are for; each light in the first that claims it."""
    parts = _parts(there)
    main = max(parts, key=lambda name: len(parts[name]), default="")
    screen = _at_the_screen({at: there[at] for at in parts.get(main, ())}, facts.screen)
    outer = _outer_rows(parts.get(main, ()))
    claims: list[tuple[Purpose, Why, Collection[At]]] = [
        (Purpose.ACCENT, Why.ON_ACCENT, facts.accents),
        (Purpose.TASK, Why.OVER_A_TASK, facts.tasks),
        (Purpose.SCREEN, Why.AT_THE_SCREEN, screen),
        (Purpose.PERIMETER, Why.OUTER_ROW, outer),
        (Purpose.GENERAL, Why.REST, parts.get(main, ())),
        *((Purpose.GENERAL, Why.OWN_PART, lights) for name, lights in parts.items() if name != main),
    ]
    left, groups = set(there), []
    for purpose, why, claimed in claims:
        mine = tuple(sorted(left & set(claimed)))
        left -= set(mine)
        if mine:
            groups.append(_Group(purpose, why, mine))
    return _with_a_general(groups)


def _parts(there: Mapping[At, Mark]) -> dict[str, list[At]]:
    parts: dict[str, list[At]] = {}
    for at, mark in there.items():
        parts.setdefault(mark.zone, []).append(at)
    return parts


def _outer_rows(lights: Collection[At]) -> set[At]:
    """The first and the last row, where a row is left between them."""
    rows = sorted({row for row, _number in lights})
    ends = {rows[0], rows[-1]} if len(rows) >= LEAST_ROWS else set()
    return {(row, number) for row, number in lights if row in ends}


def _at_the_screen(lights: Mapping[At, Mark], screen: tuple[Line, bool] | None) -> set[At]:
    """The line nearest the screen, where another line is left behind it."""
    if screen is None or not lights:
        return set()
    line, at_zero = screen
    stands = {at: int(mark.across if line is Line.ROW else mark.along) for at, mark in lights.items()}
    if line is Line.ROW:  # a mark moved off its row is of the row all the same
        stands = {at: at[0] for at in lights}
    nearest = min(stands.values()) if at_zero else max(stands.values())
    found = {at for at, stand in stands.items() if stand == nearest}
    return found if len(found) < len(lights) else set()


def _with_a_general(groups: list[_Group]) -> list[_Group]:
    """Where nothing is left for the room itself, its outer rows light it."""
    if any(group.purpose is Purpose.GENERAL for group in groups):
        return groups
    return [
        replace(group, purpose=Purpose.GENERAL, why=Why.REST) if group.purpose is Purpose.PERIMETER else group
        for group in groups
    ]


def _no_more_than(groups: list[_Group], most: int) -> list[_Group]:
    """As many zones as wanted: what matters least joins the room's own lights first."""
    gives_way = (Why.OUTER_ROW, Why.OWN_PART, Why.ON_ACCENT, Why.OVER_A_TASK, Why.AT_THE_SCREEN)
    while len(groups) > most:
        rest = next((group for group in groups if group.why is Why.REST), groups[-1])
        others = [group for group in groups if group is not rest]
        goes = min(others, key=lambda group: (gives_way.index(group.why), len(group.lights)))
        both = replace(rest, lights=tuple(sorted((*rest.lights, *goes.lights))))
        groups = [both if group is rest else group for group in groups if group is not goes]
    return groups


def _split(groups: Sequence[_Group], facts: RoomFacts, most: int) -> list[_Group]:
    """No more on one switch than wanted, as far as there are zones left: whole rows together where that can be."""
    spare = most - len(groups)
    split: list[_Group] = []
    for group in groups:
        pieces = min(ceil(len(group.lights) / max(1, facts.most_lights)), 1 + max(0, spare))
        spare -= pieces - 1
        for n, lights in enumerate(_shared_out(group.lights, pieces)):
            split.append(replace(group, lights=lights, why=Why.TOO_MANY if n else group.why))
    return split


def _shared_out(lights: Sequence[At], pieces: int) -> list[tuple[At, ...]]:
    """Cut at the end of a row where one ends no farther than a quarter of a share off an even cut."""
    shares: list[tuple[At, ...]] = []
    start, count = 0, len(lights)
    for piece in range(1, pieces + 1):
        even = round(count * piece / pieces)
        reach = count // (4 * pieces)
        ends = [
            end
            for end in range(max(start + 1, even - reach), min(count - 1, even + reach) + 1)
            if lights[end - 1][0] != lights[end][0]
        ]
        end = count if piece == pieces else min(ends, key=lambda at: abs(at - even), default=even)
        shares.append(tuple(lights[start:end]))
        start = end
    return shares
