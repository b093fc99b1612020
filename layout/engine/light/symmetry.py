"""Unfolds the part of a turn that a photometric file tells to the whole turn."""

from __future__ import annotations

import numpy as np

from layout.engine.light.values import Floats

TURN = 360.0
ALL_ROUND = "the same all round"
QUADRANTS = "alike in four quadrants"
ABOUT_0_180 = "mirrored about the 0-180 plane"
ABOUT_90_270 = "mirrored about the 90-270 plane"
NONE = "no symmetry"


def unfold(horizontal: Floats, table: Floats) -> tuple[Floats, Floats, str]:
    """The planes from 0 to 360, their rows (planes, vertical), and which symmetry there was.

    horizontal: rising planes, just 0; 0 to 90, 180 or 360; 90 to 270; or 0 to one step short of 360.
    """
    first, last = float(horizontal[0]), float(horizontal[-1])
    if len(horizontal) == 1:
        return horizontal, table, ALL_ROUND
    if first == 90:
        return *_about_90_270(horizontal, table), ABOUT_90_270
    if last == 90:
        return *_mirrored(*_mirrored(horizontal, table, 90.0), 180.0), QUADRANTS
    if last == 180:
        return *_mirrored(horizontal, table, 180.0), ABOUT_0_180
    return *_closed(horizontal, table), NONE


def _mirrored(horizontal: Floats, table: Floats, about: float) -> tuple[Floats, Floats]:
    """With as much again beyond the last plane."""
    return np.append(horizontal, 2 * about - horizontal[-2::-1]), np.vstack((table, table[-2::-1]))


def _about_90_270(horizontal: Floats, table: Floats) -> tuple[Floats, Floats]:
    """A plane at h is the same as the one at 180 - h. It is a mirror, not a turn by 90."""
    turn = np.concatenate((horizontal, np.mod(180 - horizontal[1:-1], TURN)))
    order = np.argsort(turn)
    return _closed(turn[order], np.vstack((table, table[1:-1]))[order])


def _closed(horizontal: Floats, table: Floats) -> tuple[Floats, Floats]:
    """From 0 to 360, one plane: told twice, it is their mean; not told, it lies between its neighbors."""
    first, last = horizontal[0], horizontal[-1]
    if last == TURN:
        seam = (table[0] + table[-1]) / 2
        return horizontal, np.vstack((seam, table[1:-1], seam))
    if first == 0:
        return np.append(horizontal, TURN), np.vstack((table, table[:1]))
    share = (TURN - last) / (TURN - last + first)
    seam = table[-1] + share * (table[0] - table[-1])
    return np.concatenate(([0.0], horizontal, [TURN])), np.vstack((seam, table, seam))
