"""Levels of loudspeakers: what watts and meters make of a sensitivity, sums, headroom, the direct field of many.

Free field unless said: no floor, no walls. Levels are dB re 20 uPa. Knows no rooms as records, no Django.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from layout.engine.sound.values import EDGE_DB, NARROWEST_DEG, Floats, Loudspeaker, SoundError, over_zero

MOST_SPEAKERS = 2000
MOST_GRID = 1000  # speakers along a side of a reckoned grid
CRITICAL = math.sqrt(math.log(10) * 24 / (343.0 * 16 * math.pi))  # 0.0566: sqrt(0.161 / 16 pi)


def level_db(sensitivity_db: float, watts: float, distance_m: float) -> float:
    """S + 10 log10(P / 1 W) - 20 log10(r / 1 m), on axis. Source: inverse square law, the sensitivity's definition."""
    over_zero(watts, "watts", "The power")
    over_zero(distance_m, "distance_m", "The distance")
    return sensitivity_db + 10 * math.log10(watts) - 20 * math.log10(distance_m)


def sum_db(levels_db: Sequence[float], *, coherent: bool = False) -> float:
    """Levels together: as energies (different or reflected sound, above some 500 Hz), or in phase (bass, one signal).

    80 and 85 dB make 86.2, in phase 88.9 (university slides, seen).
    """
    if not levels_db:
        raise SoundError("There are no levels to add: give one at least.", "levels_db")
    per = 20.0 if coherent else 10.0
    loudest = max(levels_db)
    return loudest + per * math.log10(math.fsum(10 ** ((one - loudest) / per) for one in levels_db))


def sensitivity_correction_db(volts: float, load_ohm: float) -> float:
    """What to add to a sensitivity given at so many volts, to have it at 1 W: the power is V^2 / Z.

    2.83 V is 1 W into 8 ohms only; into 4 ohms it is 2 W, and 3 dB are to be taken off.
    """
    over_zero(volts, "volts", "The voltage")
    over_zero(load_ohm, "load_ohm", "The load")
    return 10 * math.log10(load_ohm) - 20 * math.log10(volts)


def grid_centre_db(
    height_above_ear_m: float, spacing_m: float, n: int, sensitivity_db: float, watts_each: float
) -> float:
    """Under the middle of n x n speakers in a square grid, energies added, the same in all directions."""
    over_zero(height_above_ear_m, "height_above_ear_m", "The height over the ears")
    over_zero(spacing_m, "spacing_m", "The spacing")
    if not 1 <= n <= MOST_GRID:
        raise SoundError(f"{n} speakers a side: give 1 to {MOST_GRID}.", "n")
    along = (np.arange(n) - (n - 1) / 2) * spacing_m
    squares = along[:, None] ** 2 + along**2 + height_above_ear_m**2
    return level_db(sensitivity_db, watts_each, 1.0) + 10 * math.log10(float(np.sum(1 / squares)))


@dataclass(frozen=True, slots=True)
class Reach:
    """What a speaker can do at a distance. needed_w: for the level asked for with its peaks; headroom_db: what is left.

    Below 0 the speaker can't: by so many dB.
    """

    maximum_db: float
    needed_w: float
    headroom_db: float


def watts_for(target_db: float, sensitivity_db: float, distance_m: float) -> float:
    """Power for a level at a distance, W."""
    over_zero(distance_m, "distance_m", "The distance")
    return float(10 ** ((target_db - sensitivity_db + 20 * math.log10(distance_m)) / 10))


def reach(
    sensitivity_db: float, rated_watts: float, distance_m: float, target_db: float, peaks_db: float = 0.0
) -> Reach:
    """The level at rated power, and what the target with peaks so much above it takes.

    Power compression and what a room adds are left out. peaks_db: 10 to 12 for music is common practice, no source.
    """
    maximum = level_db(sensitivity_db, rated_watts, distance_m)
    return Reach(
        maximum, watts_for(target_db + peaks_db, sensitivity_db, distance_m), maximum - target_db - peaks_db
    )


def tap_watts(marked_watts: float, marked_v: float, line_v: float) -> float:
    """What a tap takes on another line than it is marked for: power goes with V^2. A 100 V tap on 70.7: half."""
    over_zero(marked_watts, "marked_watts", "The tap")
    over_zero(marked_v, "marked_v", "The tap's voltage")
    over_zero(line_v, "line_v", "The line's voltage")
    return marked_watts * (line_v / marked_v) ** 2


def smallest_tap(taps_watts: Sequence[float], needed_watts: float) -> float | None:
    """The smallest of a speaker's taps that gives the watts needed; None when none does."""
    return min((tap for tap in taps_watts if tap >= needed_watts), default=None)


def power_of(coverage_deg: float, edge_db: float = EDGE_DB) -> float:
    """n of the off-axis law I = I0 cos^n, fitted so that it is edge_db down at half the coverage angle.

    Real speakers beam with frequency; the angle is that of the band it was given for (2 kHz for speech). At 180 degrees
    and over n is 0: the same all over the half space.
    """
    if not coverage_deg >= NARROWEST_DEG:
        raise SoundError(
            f"A coverage angle of {coverage_deg:g} degrees: give the full angle, {NARROWEST_DEG:g} or more.",
            "coverage_deg",
        )
    if coverage_deg >= 180:
        return 0.0
    return edge_db / (10 * math.log10(math.cos(math.radians(coverage_deg / 2))))


def directivity(coverage_deg: float) -> float:
    """Q of a flush speaker by that law: 4 pi over the integral of cos^n over the half space, 2 (n + 1)."""
    return 2 * (power_of(coverage_deg) + 1)


def each_db(speakers: Sequence[Loudspeaker], points: Floats) -> Floats:
    """Direct level of each speaker at each point, (speakers, points); -inf at and above its own height.

    points: (n, 3). cos^n off axis from straight down; see power_of.
    """
    _not_too_many(speakers)
    found = np.empty((len(speakers), len(points)))
    for row, one in enumerate(speakers):
        found[row] = _of_one_db(one, points)
    return found


def _not_too_many(speakers: Sequence[Loudspeaker]) -> None:
    if len(speakers) > MOST_SPEAKERS:
        raise SoundError(f"{len(speakers)} speakers: give at most {MOST_SPEAKERS} at once.", "speakers")


def _of_one_db(one: Loudspeaker, points: Floats) -> Floats:
    down = one.z - points[:, 2]
    square = (points[:, 0] - one.x) ** 2 + (points[:, 1] - one.y) ** 2 + down**2
    power = power_of(one.coverage_deg)
    with np.errstate(divide="ignore", invalid="ignore"):
        off = 10 * power * np.log10(down / np.sqrt(square)) if power else 0.0
        level: Floats = level_db(one.sensitivity_db, one.watts, 1.0) - 10 * np.log10(square) + off
    level[down <= 0] = -np.inf
    return level


def field_db(speakers: Sequence[Loudspeaker], points: Floats) -> Floats:
    """Direct level of all together at each point, energies added, (points,). -inf without a speaker.

    One speaker after another: a hall's table of every speaker at every point would take half a gigabyte.
    """
    _not_too_many(speakers)
    total = np.zeros(len(points))
    for one in speakers:
        total += 10 ** (_of_one_db(one, points) / 10)
    with np.errstate(divide="ignore"):
        return np.asarray(10 * np.log10(total))


def room_constant_m2(surface_m2: float, mean_alpha: float) -> float:
    """S a / (1 - a): what the reverberant level stands on. Source: classical room acoustics, from memory."""
    over_zero(surface_m2, "surface_m2", "The surface")
    if not 0 < mean_alpha < 1:
        raise SoundError(f"A mean absorption of {mean_alpha:g}: give more than 0 and less than 1.", "mean_alpha")
    return surface_m2 * mean_alpha / (1 - mean_alpha)


def reverberant_db(speakers: Sequence[Loudspeaker], constant_m2: float) -> float:
    """The level the room adds, the same all over: Lw + 10 log10(4 / R) of each, energies added.

    Lw follows from the sensitivity and Q. Diffuse field; an idea of a furnished room, no more.
    """
    over_zero(constant_m2, "constant_m2", "The room constant")
    each = [
        level_db(one.sensitivity_db, one.watts, 1.0)
        + 10 * math.log10(4 * math.pi / directivity(one.coverage_deg))
        + 10 * math.log10(4 / constant_m2)
        for one in speakers
    ]
    return sum_db(each)


def critical_distance_m(q: float, volume_m3: float, t60_s: float) -> float:
    """Where direct and reverberant sound are equally loud: 0.0566 sqrt(Q V / T) (0.057 in a published page, seen)."""
    over_zero(q, "q", "The directivity")
    over_zero(volume_m3, "volume_m3", "The volume")
    over_zero(t60_s, "t60_s", "The reverberation time")
    return CRITICAL * math.sqrt(q * volume_m3 / t60_s)


def first_null_hz(path_difference_m: float, c: float) -> float:
    """Lowest frequency at which two equal arrivals cancel: c over twice the difference of their ways."""
    over_zero(path_difference_m, "path_difference_m", "The difference of the ways")
    over_zero(c, "c", "The speed of sound")
    return c / (2 * path_difference_m)


def floor_bounce_hz(ceiling_m: float, ear_m: float, c: float) -> float:
    """First null straight below a ceiling speaker: the sound off the floor has twice the ear height further to go."""
    if not 0 < ear_m < ceiling_m:
        raise SoundError(f"Ears at {ear_m:g} m: give a height over the floor and below the ceiling.", "ear_m")
    return first_null_hz(2 * ear_m, c)
