"""A large room's light as bytes: every grid's lux by zone, so that zones can be dimmed without working it out again."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from layout.engine.light.measures import cylindrical, vertical
from layout.engine.light.values import Balance, Dims, Floats, Grid, LightError, On, Scene
from layout.light.scene import Face

_BALANCE = ("emitted", "received", "absorbed", "residual", "patches", "worst_row")


@dataclass(frozen=True, slots=True, eq=False)
class KeptSolved:
    """Reads as a solved room does, by zone: a light can't be dimmed alone, and places off the grids aren't known.

    zones: letters in the order of the first axis. lights, straight: by grid, (zones, n) lux at dim 1, and of it what
    falls straight. faces: by name, (zones,).
    """

    scene: Scene
    grids: tuple[Grid, ...]
    balance: Balance
    zones: tuple[str, ...]
    lights: dict[str, Floats]
    straight: dict[str, Floats]
    faces: dict[str, Floats]

    def grid(self, name: str) -> Grid:
        for grid in self.grids:
            if grid.name == name:
                return grid
        raise LightError(f"There is no surface called {name} in this room.", "name")

    def lux(self, name: str, dims: Dims | None = None) -> Floats:
        return self._weights(dims) @ self.lights[name]

    def direct(self, name: str, dims: Dims | None = None) -> Floats:
        return self._weights(dims) @ self.straight[name]

    def indirect(self, name: str, dims: Dims | None = None) -> Floats:
        return self.lux(name, dims) - self.direct(name, dims)

    def of_zone(self, name: str, letter: str) -> Floats:
        return self.lights[name][self.zones.index(letter)]

    def at_face(self, name: str, dims: Dims | None = None) -> float:
        return float(self._weights(dims) @ self.faces[name])

    def at(self, points: Floats, normals: Floats, dims: Dims | None = None) -> Floats:
        raise LightError("Of a room this large only its own surfaces are kept. Add a task there instead.", "points")

    def _weights(self, dims: Dims | None) -> Floats:
        own = {light.zone: light.dim for light in self.scene.lights}
        told = own if dims is None else own | dict(dims.zones)
        return np.array([told[letter] for letter in self.zones])


def face_lux(solved, face: Face, dims: Dims | None = None) -> float:
    """Lux at a face: upright toward where it looks, or the mean all round."""
    if isinstance(solved, KeptSolved):
        return solved.at_face(face.name, dims)
    points = np.array([face.point])
    if face.facing_deg is None:
        return float(cylindrical(solved, points, dims)[0])
    return float(vertical(solved, points, face.facing_deg, dims)[0])


def packed(solved, faces: Sequence[Face]) -> bytes:
    scene = solved.scene
    zones = tuple(sorted({light.zone for light in scene.lights}))
    each = [Dims(zones={letter: float(letter == one) for letter in zones}) for one in zones]
    told = {"zones": np.array(zones), "balance": np.array([getattr(solved.balance, name) for name in _BALANCE])}
    for n, grid in enumerate(solved.grids):
        told[f"{n} frame"] = np.stack([grid.origin, grid.step_u, grid.step_v, grid.normal])
        told[f"{n} size"] = np.array([grid.number, grid.columns, grid.rows])
        told[f"{n} name"] = np.array([grid.on.value, grid.name])
        told[f"{n} at"] = grid.at.astype(np.int32)
        told[f"{n} areas"] = grid.areas
        told[f"{n} lights"] = np.stack([solved.lux(grid.name, dims) for dims in each]).astype(np.float32)
        told[f"{n} straight"] = np.stack([solved.direct(grid.name, dims) for dims in each]).astype(np.float32)
    told["face names"] = np.array([face.name for face in faces], dtype=str)
    told["faces"] = np.array([[face_lux(solved, face, dims) for dims in each] for face in faces])
    buffer = io.BytesIO()
    np.savez_compressed(buffer, **told)
    return buffer.getvalue()


def unpacked(kept: bytes, scene: Scene) -> KeptSolved:
    """scene: the one it was worked out from, made again from the records."""
    with np.load(io.BytesIO(kept), allow_pickle=False) as told:
        count = sum(name.endswith(" name") for name in told.files)
        grids = tuple(_grid(told, n) for n in range(count))
        numbers = dict(zip(_BALANCE, told["balance"].tolist(), strict=True))
        return KeptSolved(
            scene=scene,
            grids=grids,
            balance=replace(Balance(**numbers), patches=int(numbers["patches"])),
            zones=tuple(told["zones"].tolist()),
            lights={grid.name: told[f"{n} lights"].astype(np.float64) for n, grid in enumerate(grids)},
            straight={grid.name: told[f"{n} straight"].astype(np.float64) for n, grid in enumerate(grids)},
            faces=dict(zip(told["face names"].tolist(), told["faces"], strict=True)),
        )


def _grid(told, n: int) -> Grid:
    origin, step_u, step_v, normal = told[f"{n} frame"]
    number, columns, rows = told[f"{n} size"].tolist()
    on, name = told[f"{n} name"].tolist()
    at = told[f"{n} at"].astype(np.intp)
    middles = at + 0.5
    points = origin + middles[:, :1] * step_u + middles[:, 1:] * step_v
    return Grid(On(on), name, number, origin, step_u, step_v, columns, rows, at, points, normal, told[f"{n} areas"])
