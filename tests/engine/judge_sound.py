"""Sound found by other means: every mirrored source, every pixel, every mode, every place of a fine grid."""

import itertools
import math

import numpy as np


def by_mirrored_sources(room, source, receiver, f_hz, t60_s, c=343.0, reach_m=None):
    """Pressure against the free field at 1 m: e^(-ikR)/R over all mirrored sources to where they have died away."""
    k = (2 * math.pi * f_hz - 3j * math.log(10) / t60_s) / c
    reach = reach_m or 18 / -k.imag
    axes = []
    for side, here, there in zip(room, source, receiver, strict=True):
        rooms = np.arange(-math.ceil(reach / side / 2) - 1, math.ceil(reach / side / 2) + 2)
        axes.append(np.concatenate([2 * rooms * side + here, 2 * rooms * side - here]) - there)
    x, y, z = axes
    total = 0j
    for one in x[np.abs(x) < reach]:
        distance = np.sqrt(one**2 + y[:, None] ** 2 + z[None, :] ** 2)
        distance = distance[distance < reach]
        total += np.sum(np.exp(-1j * k * distance) / distance)
    return total


def covered_by_pixels(kind, spacing, diameter=1.0, pixels=600):
    """Shares of the plane in one circle and in two, by looking at every pixel of one cell of the pattern."""
    row = spacing if kind == "square" else spacing * math.sqrt(3) / 2
    x, y = np.meshgrid(
        (np.arange(pixels) + 0.5) / pixels * spacing, (np.arange(2 * pixels) + 0.5) / pixels * row, sparse=True
    )
    over = np.zeros((2 * pixels, pixels), dtype=int)
    rings = math.ceil(diameter / row) + 3
    for i, j in itertools.product(range(-rings, rings + 1), range(-rings, rings + 3)):
        shift = spacing / 2 if kind == "hex" and j % 2 else 0.0
        over += (x - i * spacing - shift) ** 2 + (y - j * row) ** 2 < diameter**2 / 4
    return float(np.mean(over >= 1)), float(np.mean(over >= 2))


def modes_one_by_one(room, f_hz, c=343.0):
    most = [int(2 * f_hz * side / c) + 2 for side in room]
    found = [
        c / 2 * math.sqrt(sum((n / side) ** 2 for n, side in zip(index, room, strict=True)))
        for index in itertools.product(*(range(n) for n in most))
        if any(index)
    ]
    return sorted(hz for hz in found if hz <= f_hz)
