"""Modes of a rectangular room with hard walls: each one, how many there are, where they stop mattering one by one."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from layout.engine.sound.values import ROOM_SPEED_M_PER_S, Point, SoundError, over_zero

MOST_COLUMNS = 4_000_000  # (l, m) pairs a count goes through
MOST_LISTED = 2000
HIGHEST_INDEX = 1_000_000
AT_A_MODE = 1e-9  # share of an index: a frequency that is a mode's counts it, whatever the last digit of a float


class Mode(StrEnum):
    AXIAL = "axial"
    TANGENTIAL = "tangential"
    OBLIQUE = "oblique"


@dataclass(frozen=True, slots=True)
class RoomMode:
    index: tuple[int, int, int]
    hz: float

    @property
    def kind(self) -> Mode:
        moving = sum(1 for one in self.index if one)
        return (Mode.AXIAL, Mode.TANGENTIAL, Mode.OBLIQUE)[moving - 1]


def checked_room(room_m: Sequence[float]) -> Point:
    """Length, width and height as floats. Raises SoundError unless there are three, each over 0."""
    if len(room_m) != 3:
        raise SoundError(f"{len(room_m)} sides: give the room's length, width and height.", "room_m")
    for one in room_m:
        over_zero(one, "room_m", "A side of the room")
    return float(room_m[0]), float(room_m[1]), float(room_m[2])


def mode_hz(room_m: Sequence[float], mode: Sequence[int], c: float = ROOM_SPEED_M_PER_S) -> float:
    """c/2 sqrt((l/Lx)^2 + (m/Ly)^2 + (n/Lz)^2). Source: Rayleigh, through an engineer's pocket book (seen in part)."""
    room = checked_room(room_m)
    over_zero(c, "c", "The speed of sound")
    if len(mode) != 3 or any(one < 0 or one > HIGHEST_INDEX for one in mode) or not any(mode):
        raise SoundError(
            "A mode is three whole numbers, 0 or more, not all 0: (1, 0, 0) is the first along the room.", "mode"
        )
    return c / 2 * math.hypot(*(one / side for one, side in zip(mode, room, strict=True)))


def count_below(room_m: Sequence[float], f_hz: float, c: float = ROOM_SPEED_M_PER_S) -> int:
    """Modes up to and at a frequency, one by one; the even pressure, (0, 0, 0), is none."""
    room = checked_room(room_m)
    over_zero(f_hz, "f_hz", "The frequency")
    over_zero(c, "c", "The speed of sound")
    longest, middle, shortest = sorted(room)[::-1]  # columns along the two short sides, counted along the long one
    along = [2 * f_hz * side / c for side in (longest, middle, shortest)]
    if (along[1] + 1) * (along[2] + 1) > MOST_COLUMNS:
        raise SoundError(
            f"{f_hz:g} Hz is too high in a room of this size to count modes one by one (about"
            f" {about_below(room, f_hz, c):.3g}): give a lower one.",
            "f_hz",
        )
    second = np.arange(math.floor(along[1] * (1 + AT_A_MODE)) + 1) / along[1]
    third = np.arange(math.floor(along[2] * (1 + AT_A_MODE)) + 1) / along[2]
    left = 1 - second[:, None] ** 2 - third**2
    inside = left >= -2 * AT_A_MODE
    longest_index = np.sqrt(np.clip(left[inside], 0, None)) * along[0]
    return int(np.sum(np.floor(longest_index + AT_A_MODE * (1 + along[0])) + 1)) - 1


def about_below(room_m: Sequence[float], f_hz: float, c: float = ROOM_SPEED_M_PER_S) -> float:
    """The count smoothed: 4 pi V f^3 / 3 c^3 + pi S f^2 / 4 c^2 + E f / 8 c; S all surfaces, E all edges (seen)."""
    x, y, z = checked_room(room_m)
    over_zero(c, "c", "The speed of sound")
    short = f_hz / c
    volume, surface, edges = x * y * z, 2 * (x * y + y * z + z * x), 4 * (x + y + z)
    return 4 * math.pi / 3 * volume * short**3 + math.pi / 4 * surface * short**2 + edges / 8 * short


def modes_below(room_m: Sequence[float], f_hz: float, c: float = ROOM_SPEED_M_PER_S) -> tuple[RoomMode, ...]:
    """Every mode up to and at a frequency, lowest first. Raises SoundError past MOST_LISTED of them."""
    count = count_below(room_m, f_hz, c)
    if count > MOST_LISTED:
        raise SoundError(f"{count} modes up to {f_hz:g} Hz are no list: give a lower frequency.", "f_hz")
    room = checked_room(room_m)
    reach = [math.floor(2 * f_hz * side / c * (1 + AT_A_MODE)) for side in room]
    found = [
        RoomMode((one, two, three), mode_hz(room, (one, two, three), c))
        for one in range(reach[0] + 1)
        for two in range(reach[1] + 1)
        for three in range(reach[2] + 1)
        if one or two or three
    ]
    within = sorted((one for one in found if one.hz <= f_hz * (1 + AT_A_MODE)), key=lambda one: (one.hz, one.index))
    return tuple(within)


def schroeder_hz(t60_s: float, volume_m3: float) -> float:
    """2000 sqrt(T / V), SI: about where modes run into each other. A rounded rule for a region, not a line.

    Source: Schroeder, from memory; three modes to a mode's width come to 2093 at 343 m/s.
    """
    over_zero(t60_s, "t60_s", "The reverberation time")
    over_zero(volume_m3, "volume_m3", "The volume")
    return 2000 * math.sqrt(t60_s / volume_m3)


def width_hz(t60_s: float) -> float:
    """A mode's width between its half-power points: 3 ln10 / (pi T), 2.2 / T."""
    over_zero(t60_s, "t60_s", "The reverberation time")
    return 3 * math.log(10) / (math.pi * t60_s)
