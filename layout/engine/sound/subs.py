"""Where subwoofers may stand, what they drive, and which places give the smoothest bass at the seats.

Subs are alike, in phase and equally loud; the room is the hard-walled box of box.py. Knows no marks, no Django.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from heapq import nsmallest
from itertools import combinations, islice

import numpy as np

from layout.engine.sound.box import together_db, transfer
from layout.engine.sound.modes import checked_room
from layout.engine.sound.values import ROOM_SPEED_M_PER_S, Complexes, Floats, Point, SoundError

LOWEST_HZ, HIGHEST_HZ = 20.0, 120.0
NOTES_IN_OCTAVE = 24
MOST_SUBS = 4
MOST_PLACES = 32  # 32 over 4 is 35 960 choices, each looked at
MOST_SEATS = 24
MOST_NOTES = 200
AT_ONCE = 4_000_000  # pressures held at a time
SAME_DB = 1e-9
MOST_TOLD = 10

# Four places on a plan of 1 x 1.
CORNERS = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))
WALL_MIDPOINTS = ((0.5, 0.0), (1.0, 0.5), (0.5, 1.0), (0.0, 0.5))
QUARTER_POINTS = ((0.25, 0.25), (0.75, 0.25), (0.75, 0.75), (0.25, 0.75))
PLACEMENTS = {"corners": CORNERS, "wall_midpoints": WALL_MIDPOINTS, "quarter_points": QUARTER_POINTS}


@dataclass(frozen=True, slots=True)
class Place:
    """Somewhere a sub may be. kind: corner, wall midpoint, quarter point, or what a caller calls its own."""

    name: str
    kind: str
    at: Point


def drive(placement: str, mode: Sequence[int]) -> float:
    """How hard four equal subs in phase drive the mode (n, m): the sum of cos(n pi x / L) cos(m pi y / W).

    4 is all they have, 0 is not at all. Source: closed form.
    """
    if placement not in PLACEMENTS:
        raise SoundError(f"There is no placement {placement!r}: give {', '.join(PLACEMENTS)}.", "placement")
    if len(mode) != 2 or min(mode) < 0:
        raise SoundError("A mode of the plan is two whole numbers, 0 or more: (2, 0).", "mode")
    total = sum(_half_turns(mode[0] * x) * _half_turns(mode[1] * y) for x, y in PLACEMENTS[placement])
    return round(total, 12) + 0.0  # never -0, nor what is left of cosines that cancel


def _half_turns(turns: float) -> float:
    """cos(pi t), exactly 0 at a quarter turn: t is a multiple of 1/4 here."""
    return 0.0 if turns % 1 == 0.5 else math.cos(math.pi * (turns % 2))


def places(room_m: Sequence[float], height_m: float = 0.0, off_wall_m: float = 0.0) -> tuple[Place, ...]:
    """The twelve places to try first: corners, middles of walls, quarter points, at one height.

    off_wall_m: how far a sub's middle stays off a wall. Raises SoundError when the room is too small for it.
    """
    length, width, height = checked_room(room_m)
    if not 0 <= height_m <= height:
        raise SoundError(f"A sub at {height_m:g} m is not in a room {height:g} m high: give 0 to that.", "height_m")
    if not 0 <= off_wall_m <= min(length, width) / 4:
        raise SoundError(f"{off_wall_m:g} m off the walls is too much here: give less than a quarter.", "off_wall_m")
    told = []
    for kind, plan in (("corner", CORNERS), ("wall midpoint", WALL_MIDPOINTS), ("quarter point", QUARTER_POINTS)):
        for number, (x, y) in enumerate(plan, 1):
            along = min(max(x * length, off_wall_m), length - off_wall_m)
            across = min(max(y * width, off_wall_m), width - off_wall_m)
            told.append(Place(f"{kind} {number}", kind, (along, across, height_m)))
    return tuple(told)


def notes(lowest_hz: float = LOWEST_HZ, highest_hz: float = HIGHEST_HZ, in_octave: int = NOTES_IN_OCTAVE) -> Floats:
    """Frequencies evenly spaced by ear, so that no octave counts more than another."""
    if not 1 <= lowest_hz < highest_hz <= 500:
        raise SoundError(f"{lowest_hz:g} to {highest_hz:g} Hz: give a range from 1 to 500, lowest first.", "f_hz")
    if not 1 <= in_octave <= 48:
        raise SoundError(f"{in_octave} notes in an octave: give 1 to 48.", "in_octave")
    count = round(math.log2(highest_hz / lowest_hz) * in_octave) + 1
    return np.asarray(np.geomspace(lowest_hz, highest_hz, max(count, 2)))


def response_db(
    room_m: Sequence[float],
    subs_m: Sequence[Point],
    seats_m: Sequence[Point],
    f_hz: Floats,
    t60_s: float,
    c: float = ROOM_SPEED_M_PER_S,
) -> Floats:
    """Level of all subs together at each seat, (seats, f), dB re one of them in the free field at 1 m."""
    _some(subs_m, seats_m)
    return together_db(transfer(room_m, np.array(subs_m), np.array(seats_m), f_hz, t60_s, c))


def seat_spread_db(
    room_m: Sequence[float],
    subs_m: Sequence[Point],
    seats_m: Sequence[Point],
    f_hz: float,
    t60_s: float,
    c: float = ROOM_SPEED_M_PER_S,
) -> float:
    """Loudest seat minus quietest at one frequency."""
    levels = response_db(room_m, subs_m, seats_m, np.array([f_hz]), t60_s, c)
    return float(np.ptp(levels))


class Aim(StrEnum):
    """What the best places are best at."""

    SMOOTH = "smooth"  # every note the same at every seat: the least score_db
    ALIKE = "alike"  # every seat the same, note by note: what an equalizer can't do; the least unlike_db


@dataclass(frozen=True, slots=True, eq=False)
class Choice:
    """Subs at some places, and the bass they give.

    score_db: how far any seat at any note is from the mean of all seats and notes, root mean square: uneven notes and
    unlike seats both count. unlike_db: the same, each note from its own mean over the seats. roughness_db: mean over
    the seats of how far its notes are from its own mean (rms). spread_db: mean over the notes of loudest seat minus
    quietest. mean_db: over all, re one sub in the free field at 1 m. levels: (seats, f).
    """

    places: tuple[Place, ...]
    score_db: float
    unlike_db: float
    roughness_db: float
    spread_db: float
    mean_db: float
    levels: Floats


def best(
    room_m: Sequence[float],
    candidates: Sequence[Place],
    seats_m: Sequence[Point],
    count: int,
    t60_s: float,
    c: float = ROOM_SPEED_M_PER_S,
    *,
    aim: Aim = Aim.SMOOTH,
    most: int = 3,
    f_hz: Floats | None = None,
) -> tuple[Choice, ...]:
    """The ways to put so many subs that come nearest the aim, best first: every way is looked at.

    Equal scores stand in the order of the candidates. most: up to MOST_TOLD of them. Raises SoundError for too many
    places, seats or notes, or none.
    """
    f_hz = notes() if f_hz is None else f_hz
    _bounded(candidates, seats_m, count, f_hz)
    each = transfer(room_m, np.array([one.at for one in candidates]), np.array(seats_m), f_hz, t60_s, c)
    return _ranked(candidates, each, count, aim)[:most]


def by_count(
    room_m: Sequence[float],
    candidates: Sequence[Place],
    seats_m: Sequence[Point],
    t60_s: float,
    c: float = ROOM_SPEED_M_PER_S,
    aim: Aim = Aim.SMOOTH,
) -> tuple[Choice, ...]:
    """The best of one, two, three and four subs, as far as there are places: what one more would bring."""
    f_hz = notes()
    _bounded(candidates, seats_m, 1, f_hz)
    each = transfer(room_m, np.array([one.at for one in candidates]), np.array(seats_m), f_hz, t60_s, c)
    counts = range(1, min(MOST_SUBS, len(candidates)) + 1)
    return tuple(_ranked(candidates, each, count, aim)[0] for count in counts)


def judged(
    room_m: Sequence[float],
    chosen: Sequence[Place],
    seats_m: Sequence[Point],
    t60_s: float,
    c: float = ROOM_SPEED_M_PER_S,
    f_hz: Floats | None = None,
) -> Choice:
    """The same figures for subs where they stand."""
    _some([one.at for one in chosen], seats_m)
    f_hz = notes() if f_hz is None else f_hz
    each = transfer(room_m, np.array([one.at for one in chosen]), np.array(seats_m), f_hz, t60_s, c)
    return _choice(chosen, tuple(range(len(chosen))), each)


def _scores(each: Complexes, count: int, aim: Aim) -> Iterator[tuple[float, tuple[int, ...]]]:
    """(score, places) of every choice, some thousands at a time."""
    ways = combinations(range(len(each)), count)
    step = max(1, AT_ONCE // (each.shape[1] * each.shape[2]))
    while some := list(islice(ways, step)):
        rows = np.array(some)
        together = each[rows[:, 0]].copy()
        for sub in range(1, count):
            together += each[rows[:, sub]]
        with np.errstate(divide="ignore", invalid="ignore"):
            levels = 10 * np.log10(together.real**2 + together.imag**2)
            scores = _scored(levels, aim)
        yield from zip(np.nan_to_num(scores, nan=np.inf).tolist(), some, strict=True)


def _ranked(candidates: Sequence[Place], each: Complexes, count: int, aim: Aim) -> tuple[Choice, ...]:
    """The first MOST_TOLD of all choices of so many subs."""
    best_first = nsmallest(MOST_TOLD, _scores(each, count, aim), key=lambda one: (round(one[0] / SAME_DB), one[1]))
    return tuple(_choice(candidates, chosen, each) for _score, chosen in best_first)


def _scored(levels: Floats, aim: Aim) -> Floats:
    """Root mean square deviation of each (seats, f) table of (choices, seats, f), dB."""
    middle = np.mean(levels, axis=(1, 2) if aim is Aim.SMOOTH else 1, keepdims=True)
    return np.asarray(np.sqrt(np.mean((levels - middle) ** 2, axis=(1, 2))))


def _choice(candidates: Sequence[Place], chosen: tuple[int, ...], each: Complexes) -> Choice:
    levels = together_db(each[list(chosen)])
    return Choice(
        tuple(candidates[one] for one in chosen),
        float(_scored(levels[None], Aim.SMOOTH)[0]),
        float(_scored(levels[None], Aim.ALIKE)[0]),
        float(np.mean(np.std(levels, axis=1))),
        float(np.mean(np.ptp(levels, axis=0))),
        float(np.mean(levels)),
        levels,
    )


def _some(subs: Sequence[Point], seats: Sequence[Point]) -> None:
    if not subs:
        raise SoundError("There is no sub: place one at least.", "subs_m")
    if not seats:
        raise SoundError("There is no seat: place one at least.", "seats_m")


def _bounded(candidates: Sequence[Place], seats: Sequence[Point], count: int, f_hz: Floats) -> None:
    _some([one.at for one in candidates], seats)
    if not 1 <= count <= min(MOST_SUBS, len(candidates)):
        raise SoundError(
            f"{count} subs on {len(candidates)} places: give 1 to {MOST_SUBS}, and no more than there are places.",
            "count",
        )
    if len(candidates) > MOST_PLACES:
        raise SoundError(f"{len(candidates)} places to try: give at most {MOST_PLACES}.", "candidates")
    if len(seats) > MOST_SEATS or f_hz.size > MOST_NOTES:
        raise SoundError(f"Give at most {MOST_SEATS} seats and {MOST_NOTES} notes.", "seats_m")
