r"""Sound pressure in a rectangular room with hard walls and the same damping everywhere: the bass of a room.

Time goes as e^(i w t); k = (w - i d) / c with d = 3 ln10 / T60. The field G of a point source, G'' + k^2 G =
-delta, is a sum over mirrored sources, e^(-ikR) / (4 pi R), or over modes, the one along z in closed form:

    G_k = sum over l, m of  e_l e_m / (Lx Ly)  cos cos cos cos  Z(q),      q^2 = kx^2 + ky^2 - k^2,
    Z(q) = cosh(q z<) cosh(q (Lz - z>)) / (q sinh(q Lz))

With source and listener at one height that sum hardly ends (Z falls as 1 / 2q), and beside a source it has no end. So
the fields of a few real decays are taken out of it, whose mirrored sources die away at once, and put back as those:

    G_k = sum_j c_j G_ig(j)  +  [G_k - sum_j c_j G_ig(j)],     c_j = prod over i != j of (k^2 + g_i^2) / (g_i^2 - g_j^2)

What is left in brackets falls as q^-11. Both ways have the same complex k; walls that differ can't be told by it. Real
rooms leak, have doors and are no boxes: guidance.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from layout.engine.sound.modes import checked_room
from layout.engine.sound.values import ROOM_SPEED_M_PER_S, Complexes, Floats, SoundError, over_zero

TAKEN_OUT = 5  # decays taken out of the sum
NEGLECTED = 1e-9  # of the pressure in the free field at 1 m
DARK = 36.0  # nepers after which a mirrored source is left out
MOST_TERMS = 1_000_000
MOST_MIRRORED = 2_000_000
MOST_WORK = 400_000_000  # terms times frequencies times heights
AT_ONCE = 400_000  # numbers held at a time
OUTSIDE = 1e-9  # m a place may be over a wall for its last digit


def transfer(
    room_m: Sequence[float],
    sources: Floats,
    receivers: Floats,
    f_hz: Floats,
    t60_s: float,
    c: float = ROOM_SPEED_M_PER_S,
) -> Complexes:
    """Complex pressure of each source at each receiver, against the free field 1 m from it: (sources, receivers, f).

    sources (s, 3), receivers (r, 3): x, y, z in the room, m. f_hz (f,). Add sources up before taking a level.
    Raises SoundError: a place outside, a receiver on a source, a frequency that needs too many modes.
    """
    room = checked_room(room_m)
    over_zero(t60_s, "t60_s", "The reverberation time")
    over_zero(c, "c", "The speed of sound")
    sources, receivers = _places(room, sources, "source_m"), _places(room, receivers, "receiver_m")
    if np.any(np.all(sources[:, None] == receivers, axis=2)):
        raise SoundError("A receiver is on a source, where the level has no end: move it.", "receiver_m")
    if f_hz.size and not (np.all(np.isfinite(f_hz)) and np.all(f_hz > 0)):
        raise SoundError("A frequency is not over 0: give hertz over 0.", "f_hz")
    if not (len(sources) and len(receivers) and f_hz.size):
        return np.zeros((len(sources), len(receivers), f_hz.size), dtype=np.complex128)
    k: Complexes = np.asarray((2 * np.pi * f_hz - 3j * math.log(10) / t60_s) / c, dtype=np.complex128)
    decays = _decays(room, float(np.max(np.abs(k))))
    shares = _shares(k, decays)
    put_back = _mirrored(room, sources, receivers, decays, shares)
    return 4 * np.pi * (put_back + _rest(room, sources, receivers, k, decays, shares))


def level_db(
    room_m: Sequence[float],
    source_m: Sequence[float],
    receiver_m: Sequence[float],
    f_hz: float,
    t60_s: float,
    c: float = ROOM_SPEED_M_PER_S,
) -> float:
    """One source, one receiver, one frequency: dB re the free field at 1 m."""
    found = transfer(room_m, np.array([source_m]), np.array([receiver_m]), np.array([f_hz]), t60_s, c)
    return float(20 * np.log10(np.abs(found[0, 0, 0])))


def together_db(pressures: Complexes) -> Floats:
    """Sources driven alike and in phase: transfer() summed over its first axis, as levels, (receivers, f)."""
    with np.errstate(divide="ignore"):
        return np.asarray(20 * np.log10(np.abs(pressures.sum(axis=0))))


def _places(room: tuple[float, float, float], places: Floats, field: str) -> Floats:
    found = np.asarray(places, dtype=np.float64).reshape(-1, 3)
    if not np.all((found >= -OUTSIDE) & (found <= np.array(room) + OUTSIDE)):
        sides = " x ".join(f"{side:g}" for side in room)
        raise SoundError(f"A place is outside the room of {sides} m: give x, y and z inside it.", field)
    return np.clip(found, 0, room)


def _decays(room: tuple[float, float, float], largest_k: float) -> Floats:
    """g_j: large enough for few mirrored sources, near enough to k for small shares."""
    least = max(0.6 * largest_k, 6 / math.prod(room) ** (1 / 3))
    return np.asarray(least * np.sqrt(np.arange(1, TAKEN_OUT + 1)), dtype=np.float64)


def _shares(k: Complexes, decays: Floats) -> Complexes:
    """c_j for each frequency, (decays, f): Lagrange's polynomials in -k^2."""
    squares, found = decays**2, np.ones((len(decays), len(k)), dtype=np.complex128)
    for j, one in enumerate(squares):
        for i, other in enumerate(squares):
            if i != j:
                found[j] *= (k**2 + other) / (other - one)
    return found


def _cutoff(k: Complexes, decays: Floats) -> float:
    """q past which what is left out of the double sum stays below NEGLECTED, source and receiver at one height.

    The terms are prod (k^2 + g^2) / 2 q^11 each, and there are Lx Ly q dq / 2 pi of them, times up to 4 / Lx Ly.
    """
    largest = float(np.max(np.prod(np.abs(k[:, None] ** 2 + decays**2), axis=1)))
    power = 2 * len(decays) - 1
    from_sum: float = (largest / math.pi / power * 4 * math.pi / NEGLECTED) ** (1 / power)
    return max(from_sum, 2 * float(np.max(np.abs(k))), 2 * float(decays[-1]))


def _rest(
    room: tuple[float, float, float],
    sources: Floats,
    receivers: Floats,
    k: Complexes,
    decays: Floats,
    shares: Complexes,
) -> Complexes:
    """The bracket of the module's head: a sum over modes of the plan, one table of z for each pair of heights."""
    plan_x, plan_y, across = _columns(room, _cutoff(k, decays))
    heights = {(float(s), float(r)) for s in np.unique(sources[:, 2]) for r in np.unique(receivers[:, 2])}
    if len(across) * len(k) * len(heights) > MOST_WORK:
        raise SoundError(
            "So many frequencies and heights in a room of this size are too much at once: give fewer.", "f_hz"
        )
    found = np.zeros((len(sources), len(receivers), len(k)), dtype=np.complex128)
    from_x, from_y = (_shapes(sources[:, axis], plan) for axis, plan in ((0, plan_x), (1, plan_y)))
    to_x, to_y = (_shapes(receivers[:, axis], plan) for axis, plan in ((0, plan_x), (1, plan_y)))
    twice = np.where(plan_x > 0, 2.0, 1.0) * np.where(plan_y > 0, 2.0, 1.0) / (room[0] * room[1])
    step = max(1, AT_ONCE // max(len(k), len(sources) * len(receivers)))
    for one, other in heights:
        rows, columns = np.flatnonzero(sources[:, 2] == one), np.flatnonzero(receivers[:, 2] == other)
        for start in range(0, len(across), step):
            part = slice(start, start + step)
            table = _along_z(room[2], one, other, across[part, None] - k[None, :] ** 2)
            for share, decay in zip(shares, decays, strict=True):
                table -= np.outer(_along_z(room[2], one, other, across[part] + decay**2 + 0j), share)
            going = (twice[part] * from_x[rows, part] * from_y[rows, part])[:, None]
            shapes = (going * (to_x[columns, part] * to_y[columns, part])).reshape(-1, table.shape[0])
            # real by real: a product of mixed kinds is slow
            added = shapes @ np.ascontiguousarray(table.real) + 1j * (shapes @ np.ascontiguousarray(table.imag))
            found[np.ix_(rows, columns)] += added.reshape(len(rows), len(columns), -1)
    return found


def _shapes(places: Floats, wave_numbers: Floats) -> Floats:
    return np.asarray(np.cos(np.outer(places, wave_numbers)))


def _columns(room: tuple[float, float, float], cutoff: float) -> tuple[Floats, Floats, Floats]:
    """kx, ky and their squares' sum for every mode of the plan below the cutoff."""
    counts = [math.floor(cutoff * side / math.pi) + 1 for side in room[:2]]
    if counts[0] * counts[1] > MOST_TERMS:
        raise SoundError(
            "That takes too many modes in a room of this size: this is for bass, give a lower frequency or a longer"
            " reverberation time.",
            "f_hz",
        )
    kx, ky = (
        np.asarray(np.arange(count) * math.pi / side, dtype=np.float64)
        for count, side in zip(counts, room[:2], strict=True)
    )
    square: Floats = kx[:, None] ** 2 + ky**2
    inside = square <= cutoff**2
    x, y = np.nonzero(inside)
    return kx[x], ky[y], square[inside]


def _along_z(height: float, one: float, other: float, square: Complexes) -> Complexes:
    """Z(q) by decaying exponentials only: no overflow at any q. square: q^2."""
    q = np.sqrt(square)  # the root with the real part 0 or more
    low, high = min(one, other), max(one, other)
    near = np.exp(-q * (high - low)) * (1 + np.exp(-2 * q * low)) * (1 + np.exp(-2 * q * (height - high)))
    return np.asarray(near / (-2 * q * np.expm1(-2 * q * height)))


def _mirrored(
    room: tuple[float, float, float], sources: Floats, receivers: Floats, decays: Floats, shares: Complexes
) -> Complexes:
    """sum_j c_j G_ig(j): mirrored sources to where the slowest decay is dark."""
    reach = DARK / float(decays[0])
    if math.prod(2 * reach / side + 4 for side in room) > MOST_MIRRORED:
        raise SoundError("That is no room: give sides that are nearer to each other.", "room_m")
    kept = np.zeros((len(sources), len(receivers), len(decays)))
    for row, source in enumerate(sources):
        for column, receiver in enumerate(receivers):
            squares = _squares(room, source, receiver, reach)
            distance = np.sqrt(squares)
            for number, decay in enumerate(decays):
                kept[row, column, number] = np.sum(np.exp(-decay * distance) / distance)
    return kept @ shares / (4 * np.pi)


def _squares(room: tuple[float, float, float], source: Floats, receiver: Floats, reach: float) -> Floats:
    """Squared distances to the source and its mirror images in all six walls, out to reach."""
    axes = []
    for side, here, there in zip(room, source, receiver, strict=True):
        rooms = 2 * side * np.arange(-math.ceil(reach / 2 / side) - 1, math.ceil(reach / 2 / side) + 2)
        offsets = np.concatenate([rooms + here - there, rooms - here - there]) ** 2
        axes.append(offsets[offsets <= reach**2])
    together = axes[0][:, None] + axes[1]
    together = together[together <= reach**2]
    found = together[:, None] + axes[2]
    return np.asarray(found[found <= reach**2])
