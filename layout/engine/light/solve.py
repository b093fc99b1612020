"""A room's light, solved once and read many ways: each light's share is kept, so dimming is a sum."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from layout.engine.light.direct import lit, unshaded
from layout.engine.light.ground import Ground, ground_of, receivers
from layout.engine.light.refusals import refuse, refuse_lights
from layout.engine.light.sight import drawn_in
from layout.engine.light.values import Balance, Dims, Floats, Grid, Light, LightError, Scene

STEP_M = 0.127  # 5 in
Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True, eq=False)
class Share:
    """What one light gives at dim 1, its loss factor in: lux and lm/m2."""

    direct: Floats  # at every point of every grid
    falls: Floats  # directly, on every patch
    leaves: Floats  # every patch, in the end


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """A scene with its light. dims: dim levels to read at; None reads each light at its own."""

    scene: Scene
    ground: Ground
    shares: tuple[Share, ...]  # in the order of the scene's lights

    @property
    def grids(self) -> tuple[Grid, ...]:
        """Plane, floor, ceiling, walls in order, tasks."""
        return self.ground.grids

    def grid(self, name: str) -> Grid:
        return self.grids[self.ground.number(name)]

    def direct(self, name: str, dims: Dims | None = None) -> Floats:
        here = self.ground.spans[self.ground.number(name)]
        return _sum(self._weights(dims), [share.direct[here] for share in self.shares])

    def indirect(self, name: str, dims: Dims | None = None) -> Floats:
        return self.ground.reflected(self.ground.number(name), self._leaves(self._weights(dims)))

    def lux(self, name: str, dims: Dims | None = None) -> Floats:
        return self.direct(name, dims) + self.indirect(name, dims)

    def of_light(self, name: str, light_id: str) -> Floats:
        """Lux from one light at dim 1, its loss factor in."""
        number, share = self.ground.number(name), self.shares[self._place(light_id)]
        return share.direct[self.ground.spans[number]] + self.ground.reflected(number, share.leaves)

    def of_zone(self, name: str, letter: str) -> Floats:
        """Lux from one zone's lights, each at dim 1."""
        weights = np.array([float(light.zone == letter) for light in self.scene.lights])
        number = self.ground.number(name)
        direct = _sum(weights, [share.direct[self.ground.spans[number]] for share in self.shares])
        return direct + self.ground.reflected(number, self._leaves(weights))

    def at(self, points: Floats, normals: Floats, dims: Dims | None = None) -> Floats:
        """Lux at any points in the room, (n, 3), on surfaces that face along normals (n, 3), unit length. (n,)."""
        points, normals = np.asarray(points, dtype=np.float64), np.asarray(normals, dtype=np.float64)
        weights, eyes = self._weights(dims), drawn_in(self.ground.corners, points[:, :2])
        told = receivers(self.scene.room, self.ground.patches, points, normals) @ self._leaves(weights)
        for light, weight in zip(self.scene.lights, weights, strict=True):
            if weight:
                ahead = ((light.x, light.y, light.z) - points) * normals
                direct = lit(light, points, ahead.sum(axis=1), normals)
                if not self.ground.convex:
                    direct = direct * unshaded(self.ground.corners, light, eyes)
                told = told + weight * direct
        return np.asarray(told)

    def with_light(self, light: Light) -> Solved:
        """The same with one light moved or changed, found by its id. Nothing else is computed again."""
        place = self._place(light.id)
        return self.with_lights([light if n == place else each for n, each in enumerate(self.scene.lights)])

    def with_lights(self, lights: Iterable[Light]) -> Solved:
        """The same room with these lights and no others; shares of those that stand as they did are kept."""
        lights = tuple(lights)
        kept = {light.id: (light, share) for light, share in zip(self.scene.lights, self.shares, strict=True)}
        fresh = [light for light in lights if not (light.id in kept and _stands(kept[light.id][0], light))]
        refuse_lights(self.scene.room, lights)
        shares = {light.id: share for light, share in zip(fresh, shares_of(self.ground, fresh), strict=True)}
        told = tuple(shares[light.id] if light.id in shares else kept[light.id][1] for light in lights)
        return Solved(replace(self.scene, lights=lights), self.ground, told)

    @property
    def balance(self) -> Balance:
        """At each light's own dim."""
        weights, patches = self._weights(None), self.ground.patches
        falls = _sum(weights, [share.falls for share in self.shares])
        returns = self.ground.mirror.factors @ self._leaves(weights)
        received = float(falls @ patches.areas)
        absorbed = float((falls + returns) @ (patches.areas * (1 - patches.reflectances)))
        return Balance(
            emitted=float(weights @ [light.factor * light.emitter.flux_lm for light in self.scene.lights]),
            received=received,
            absorbed=absorbed,
            residual=(received - absorbed) / received if received else 0.0,
            patches=len(patches.areas),
            worst_row=self.ground.mirror.worst_row,
        )

    def _place(self, light_id: str) -> int:
        for number, light in enumerate(self.scene.lights):
            if light.id == light_id:
                return number
        raise LightError(f"There is no light {light_id} in this room.", "lights")

    def _weights(self, dims: Dims | None) -> Floats:
        if dims is None:
            return np.array([light.dim for light in self.scene.lights])
        told = [dims.lights.get(each.id, dims.zones.get(each.zone, each.dim)) for each in self.scene.lights]
        if not all(0 <= each <= 1 for each in told):
            raise LightError("A dim level has to be 0 to 1.", "dims")
        return np.array(told)

    def _leaves(self, weights: Floats) -> Floats:
        return _sum(weights, [share.leaves for share in self.shares])


def _sum(weights: Floats, parts: Sequence[Floats]) -> Floats:
    told = np.zeros_like(parts[0])
    for weight, part in zip(weights, parts, strict=True):
        if weight:
            told += weight * part
    return told


def _stands(one: Light, other: Light) -> bool:
    """Whether two lights shine alike at dim 1."""
    return one.emitter is other.emitter and replace(one, dim=1.0, emitter=other.emitter) == replace(other, dim=1.0)


def solve(scene: Scene, *, step_m: float = STEP_M, progress: Progress | None = None) -> Solved:
    """Direct and reflected light of a scene, on grids of step_m (wider where a floor is so large that it must be).

    progress: called with steps done and steps in all. Raises LightError, which names the field and the remedy.
    """
    refuse(scene, step_m)
    ground = ground_of(scene, step_m)
    return Solved(scene, ground, tuple(shares_of(ground, scene.lights, progress)))


def shares_of(ground: Ground, lights: Sequence[Light], progress: Progress | None = None) -> list[Share]:
    if not lights:
        return []
    steps = len(lights) + 2
    direct = []
    for number, light in enumerate(lights):
        if progress:
            progress(number + 1, steps)
        direct.append(_direct(ground, light))
    falls = np.stack([ground.on_patches(each) for each in direct], axis=1)
    leaves = ground.mirror.leaving @ falls
    if progress:
        progress(steps, steps)
    return [Share(*each) for each in zip(direct, falls.T.copy(), leaves.T.copy(), strict=True)]


def _direct(ground: Ground, light: Light) -> Floats:
    told = np.zeros(len(ground.points))
    # How far a light is in front of a flat surface is one number for the whole of it.
    ahead = ground.fronts @ np.array([light.x, light.y, light.z]) - ground.offsets
    facing = np.repeat(ahead > 1e-9, ground.counts)
    here = np.nonzero(facing)[0]
    points, far = ground.points[here], np.repeat(ahead, ground.counts)[here]
    told[here] = lit(light, points, far, np.repeat(ground.fronts, ground.counts, axis=0)[here])
    if not ground.convex:
        bright = np.nonzero(told > 0)[0]
        told[bright] *= unshaded(ground.corners, light, ground.drawn[bright])
    return told
