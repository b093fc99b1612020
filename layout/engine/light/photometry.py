"""A measured distribution of light, and what is told from any: flux, angles, spacing, lumens by zone, curves.

Between the angles of a file intensity is linear in both angles, and every figure here is that of this surface: the flux
is its exact integral, not a sum over zones.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from enum import StrEnum
from itertools import pairwise
from math import sqrt
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from layout.engine.light.lobe import HALF, TENTH, Lobe
from layout.engine.light.values import Emitter, Floats, Known, LightError, Opening

_FULL_TURN = 360.0
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)  # past rounding for a line times a sine
_STEP_DEG = 0.25  # of the search for where a curve crosses a level
_HALVINGS = 60

Indices = npt.NDArray[np.intp]
_Emits = TypeVar("_Emits", "Photometry", Lobe)


class Against(StrEnum):
    """What a beam or field angle is a share of. They differ where the brightest direction is not the axis."""

    MAXIMUM = "maximum"  # IES definition
    CENTER = "center beam"  # CIE, ANSI C78.379


@dataclass(frozen=True, slots=True, eq=False)
class Photometry:
    """A table of candelas over the full turn, as a file tells it once its symmetry is unfolded.

    vertical_deg: (nV,), rising, from straight out. horizontal_deg: (nH,), rising from 0 to 360, or just 0 when it is
    the same all round. candela_table: (nH, nV), every factor of the file in it; the rows at 0 and 360 are the same.
    """

    vertical_deg: Floats
    horizontal_deg: Floats
    candela_table: Floats
    opening: Opening = field(default_factory=Opening)
    watts: float | None = None
    axial: bool = field(init=False)
    flux_lm: float = field(init=False)
    _steps: tuple[float, float] = field(init=False, repr=False)  # of both angles where even, else 0

    def __post_init__(self) -> None:
        own = object.__setattr__
        for name in ("vertical_deg", "horizontal_deg", "candela_table"):
            values = np.array(getattr(self, name), dtype=np.float64)
            values.setflags(write=False)
            own(self, name, values)
        _check(self.vertical_deg, self.horizontal_deg, self.candela_table)
        own(self, "axial", bool((self.candela_table == self.candela_table[0]).all()))
        own(self, "flux_lm", _integral(self.vertical_deg, self.horizontal_deg, self.candela_table))
        own(self, "_steps", (_step(self.vertical_deg), _step(self.horizontal_deg)))

    @property
    def known(self) -> Known:
        return Known.FILE

    def candela(self, vertical_deg: Floats, horizontal_deg: Floats | None = None) -> Floats:
        """Intensity, cd, elementwise; any shape. None beyond the vertical angles that were measured.

        horizontal_deg may be any turn. Raises LightError when it is left out and the light is not the same all round.
        """
        vertical = np.asarray(vertical_deg, dtype=np.float64)
        outside = (vertical < self.vertical_deg[0]) | (vertical > self.vertical_deg[-1])
        if self.axial:
            told = self._down(self.candela_table[0], *_place(vertical, self.vertical_deg, self._steps[0]))
        elif horizontal_deg is None:
            raise LightError("This light differs all round: say in which horizontal direction.", "horizontal_deg")
        else:
            told = self._between(vertical, np.mod(np.asarray(horizontal_deg, dtype=np.float64), _FULL_TURN))
        return np.where(outside, 0.0, told)

    def _between(self, vertical: Floats, horizontal: Floats) -> Floats:
        """Linear in both angles: down the plane before and the plane after, then from one to the other."""
        vertical, horizontal = np.broadcast_arrays(vertical, horizontal)
        column, along = _place(vertical, self.vertical_deg, self._steps[0])
        row, across = _place(horizontal, self.horizontal_deg, self._steps[1])
        column += row * len(self.vertical_deg)
        table = self.candela_table.ravel()
        before = self._down(table, column, along)
        after = self._down(table, column + len(self.vertical_deg), along)
        after -= before
        after *= across
        after += before
        return after

    @staticmethod
    def _down(table: Floats, column: Indices, along: Floats) -> Floats:
        near: Floats = table.take(column)
        far: Floats = table.take(column + 1)
        return near + along * (far - near)


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """Intensity in one half plane: what a polar drawing shows on one side of the axis."""

    plane_deg: float
    vertical_deg: Floats  # (n,)
    candela: Floats  # (n,)


def beam_deg(emitter: Emitter, against: Against = Against.MAXIMUM, plane_deg: float | None = None) -> float:
    """Full angle between the two sides where intensity is half of `against`; see `_full_angle`."""
    return _full_angle(emitter, HALF, against, plane_deg)


def field_deg(emitter: Emitter, against: Against = Against.MAXIMUM, plane_deg: float | None = None) -> float:
    """Full angle between the two sides where intensity is a tenth of `against`; see `_full_angle`."""
    return _full_angle(emitter, TENTH, against, plane_deg)


def spacing_criterion(emitter: Emitter) -> tuple[float, float]:
    """Spacing over height above the plane at which the plane stays acceptably even: in a row, and in a square.

    In a row: halfway between two lights as much as below one, 2 E(S/2) = E(0); of the 0 and 90 planes the smaller. In a
    square: at its center as much as below one, 4 E(S / sqrt 2) = E(0). Use the smaller of both (IES Lighting Handbook,
    from memory). Each is held against its own planes straight down, for in some files the planes differ there. Raises
    LightError when there is no light straight down.
    """

    def told(planes: tuple[float, ...], share: float) -> float:
        def level(vertical: Floats) -> Floats:
            mean = sum(_along(emitter, vertical, plane) for plane in planes) / len(planes)
            return np.asarray(mean * np.cos(np.radians(vertical)) ** 3)

        vertical = _search_angles(emitter, 90.0)
        levels = level(vertical)
        if levels[0] <= 0:
            raise LightError("There is no light straight down, so spacing can't be told from it.", "candela")
        enough = share * levels[0]
        dark = np.flatnonzero(levels < enough)[0]
        return float(np.tan(np.radians(_crossing(level, enough, vertical[dark - 1], vertical[dark]))))

    row = min(2 * told((plane, plane + 180), 1 / 2) for plane in (0.0, 90.0))
    return row, sqrt(2) * told((45.0, 135.0, 225.0, 315.0), 1 / 4)


def zonal_lumens(emitter: Emitter, step_deg: float = 10.0) -> Floats:
    """Lumens in zones of step_deg, from straight out to straight back: (ceil(180 / step),). Their sum is the flux."""
    if not 0.5 <= step_deg <= 180:
        raise LightError(f"Zone: {step_deg:g}° is no width of a zone. Give 0.5° to 180°.", "step_deg")
    edges = np.append(np.arange(0.0, 180.0 - 1e-9, step_deg), 180.0)
    if isinstance(emitter, Photometry):
        emitter = _all_round(emitter)
    return np.array([_lumens(emitter, low, high) for low, high in pairwise(edges)])


def down_fraction(emitter: Emitter) -> float:
    """The share of the flux that leaves below the horizontal."""
    down, up = zonal_lumens(emitter, 90.0)
    return float(down / (down + up))


def polar(emitter: Emitter) -> tuple[Curve, ...]:
    """The curves to draw: one when it is the same all round, else the half planes 0, 90, 180 and 270."""
    vertical = _search_angles(emitter, 180.0) if isinstance(emitter, Photometry) else np.arange(0.0, 181.0)
    planes = (0.0,) if emitter.axial else (0.0, 90.0, 180.0, 270.0)
    return tuple(Curve(plane, vertical, _along(emitter, vertical, plane)) for plane in planes)


def scaled(emitter: _Emits, flux_lm: float) -> _Emits:
    """The same shape giving flux_lm in all."""
    if not 0 < flux_lm < np.inf:
        raise LightError(f"Lumens: {flux_lm:g} lm is not what a light gives. Give more than 0 lm.", "flux_lm")
    share = flux_lm / emitter.flux_lm
    if isinstance(emitter, Lobe):
        return replace(emitter, peak_cd=emitter.peak_cd * share)
    return replace(emitter, candela_table=emitter.candela_table * share)


def _step(angles: Floats) -> float:
    """The one step between angles, 0 when there are several."""
    steps = np.diff(angles)
    return float(steps[0]) if len(steps) and np.allclose(steps, steps[0], rtol=0, atol=1e-9) else 0.0


def _place(angles: Floats, knots: Floats, step: float) -> tuple[Indices, Floats]:
    """Between which two knots each angle is: the index of the first, and how far on it is, 0 to 1."""
    last = len(knots) - 1
    if step:
        along = np.clip((angles - knots[0]) * (1 / step), 0, last)
    else:
        along = np.interp(angles, knots, np.arange(last + 1.0))
    index = np.minimum(along.astype(np.intp), last - 1)
    return index, along - index


def _check(vertical: Floats, horizontal: Floats, table: Floats) -> None:
    """Whether this is a table of light. The words here are for whoever builds one; a file's reader has its own."""
    if table.shape != (len(horizontal), len(vertical)) or len(vertical) < 2:
        raise LightError(f"{table.shape} candelas don't fit {len(horizontal)} x {len(vertical)} angles.", "candela")
    if not (np.diff(vertical) > 0).all() or vertical[0] < 0 or vertical[-1] > 180:
        raise LightError("Vertical angles rise from 0° or more to 180° or less.", "vertical_deg")
    turn = horizontal[0] == 0 and (len(horizontal) == 1 or horizontal[-1] == _FULL_TURN)
    if not turn or not (np.diff(horizontal) > 0).all() or (table[0] != table[-1]).any():
        raise LightError("Horizontal angles rise from 0° to 360°, one plane, or there is just 0°.", "horizontal_deg")
    if not (np.isfinite(table) & (table >= 0)).all() or not table.any():
        raise LightError("Candelas are 0 or more, and not all 0.", "candela")


def _integral(vertical_deg: Floats, horizontal_deg: Floats, table: Floats) -> float:
    """Lumens of the surface that is linear in both angles: I sin v dv dh, closed form in v, trapezoid (exact) in h."""
    edge = np.radians(vertical_deg)
    slope = np.diff(np.sin(edge)) / np.diff(edge)
    weight = np.zeros_like(edge)
    weight[:-1] += np.cos(edge[:-1]) - slope
    weight[1:] += slope - np.cos(edge[1:])
    planes = table @ weight
    if len(planes) == 1:
        return float(2 * np.pi * planes[0])
    return float(np.trapezoid(planes, np.radians(horizontal_deg)))


def _all_round(light: Photometry) -> Photometry:
    """The light with the mean of its planes in each, which has the same lumens in every zone."""
    if light.axial:
        return light
    mean = np.trapezoid(light.candela_table, light.horizontal_deg, axis=0) / _FULL_TURN
    return Photometry(light.vertical_deg, np.zeros(1), np.asarray(mean)[None])


def _lumens(emitter: Emitter, low: float, high: float) -> float:
    """Lumens between two vertical angles, by Gauss points between the angles at which the surface bends."""
    bends, planes = _bends(emitter)
    edges = np.radians(np.concatenate(([low], bends[(bends > low) & (bends < high)], [high])))
    half = np.diff(edges) / 2
    points = (edges[:-1, None] + half[:, None] * (1 + _NODES)).ravel()
    weights = (half[:, None] * _WEIGHTS).ravel() * np.sin(points)
    across = np.array([_along(emitter, np.degrees(points), plane) @ weights for plane in planes])
    return float(2 * np.pi * across[0] if len(planes) == 1 else np.trapezoid(across, np.radians(planes)))


def _bends(emitter: Emitter) -> tuple[Floats, Floats]:
    """Vertical and horizontal angles between which intensity is smooth."""
    if isinstance(emitter, Photometry):
        return emitter.vertical_deg, emitter.horizontal_deg[:1] if emitter.axial else emitter.horizontal_deg
    return np.arange(0.0, 181.0), np.zeros(1) if emitter.axial else np.arange(0.0, 361.0, 5.0)


def _along(emitter: Emitter, vertical: Floats, plane_deg: float) -> Floats:
    return emitter.candela(vertical, None if emitter.axial else np.full_like(vertical, plane_deg))


def _at(emitter: Emitter, vertical: float, plane_deg: float) -> float:
    return float(_along(emitter, np.array([vertical]), plane_deg)[0])


def _search_angles(emitter: Emitter, end: float) -> Floats:
    """Every step of the search, and every angle of the file, so that no peak or dip between is missed."""
    steps = np.linspace(0.0, end, round(end / _STEP_DEG) + 1)
    if not isinstance(emitter, Photometry):
        return steps
    return np.union1d(steps, emitter.vertical_deg[emitter.vertical_deg <= end])


def _full_angle(emitter: Emitter, share: float, against: Against, plane_deg: float | None) -> float:
    """Degrees from the outermost crossing on one side of the axis to that on the other, at most 180.

    Taken on the side, down or up, that has the brightest direction. plane_deg: in the plane through it and its
    opposite; left out, the mean of the 0-180 and 90-270 planes. Raises LightError when the center beam is asked for
    and dark.
    """
    toward, whole = _brightest(emitter)
    upward = toward > 90
    if against is Against.CENTER:
        whole = _at(emitter, 180.0 if upward else 0.0, 0.0)
    if whole <= 0:
        raise LightError("There is no light along the axis, so no share of the center beam.", "candela")
    chosen = (plane_deg,) if plane_deg is not None else (0.0,) if emitter.axial else (0.0, 90.0)
    halves = [_half_angle(emitter, plane + turn, share * whole, upward) for plane in chosen for turn in (0.0, 180.0)]
    return sum(halves) / len(chosen)


def _brightest(emitter: Emitter) -> tuple[float, float]:
    """The vertical angle of the brightest direction, and its candelas."""
    if isinstance(emitter, Photometry):  # linear between its angles: brightest at one of them
        plane, place = np.unravel_index(int(np.argmax(emitter.candela_table)), emitter.candela_table.shape)
        return float(emitter.vertical_deg[place]), float(emitter.candela_table[plane, place])
    vertical = _search_angles(emitter, 180.0)
    curves = [_along(emitter, vertical, plane) for plane in _bends(emitter)[1]]
    brightest = max(curves, key=np.max)
    return float(vertical[int(np.argmax(brightest))]), float(brightest.max())


def _half_angle(emitter: Emitter, plane_deg: float, level: float, upward: bool) -> float:
    """From the axis to the outermost direction of a half plane that still has the level."""

    def intensity(off_axis: Floats) -> Floats:
        return _along(emitter, 180.0 - off_axis if upward else off_axis, plane_deg)

    away = np.union1d(_search_angles(emitter, 90.0), 180.0 - _search_angles(emitter, 180.0))
    away = away[away <= 90.0]
    bright = np.flatnonzero(intensity(away) >= level)
    if not len(bright):
        return 0.0
    last = int(bright[-1])
    return 90.0 if last == len(away) - 1 else _crossing(intensity, level, away[last], away[last + 1])


def _crossing(curve: Callable[[Floats], Floats], level: float, above: float, below: float) -> float:
    """Where a curve that has the level at `above` and lacks it at `below` falls through it, by halving."""
    for _ in range(_HALVINGS):
        middle = (above + below) / 2
        if float(curve(np.array([middle]))[0]) >= level:
            above = middle
        else:
            below = middle
    return (above + below) / 2
