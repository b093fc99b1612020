"""What of a room's light doesn't hang on its lights: points, patches, and how light goes between them."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from layout.engine.light.interreflection import Mirror, boxed_from, is_box, mirror_of, seen, seen_from
from layout.engine.light.patches import (
    Coarse,
    Patches,
    Whole,
    coarse,
    grid_of,
    lattice,
    patch_size,
    patches_of,
    plane_of,
    reading_size,
    spread,
    step_of,
    step_on,
    surfaces_of,
    task_of,
)
from layout.engine.light.sight import drawn_in, is_convex
from layout.engine.light.values import Floats, Grid, LightError, On, Room, Scene


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """How reflected light is read on one grid: at each point from up to four groups of cells."""

    index: Whole  # (n, 4)
    weights: Floats  # (n, 4)
    gather: Floats  # (groups, m): lux at each group for lm/m2 that leave each patch


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """p points in all, on s grids; m patches."""

    room: Room
    grids: tuple[Grid, ...]
    spans: tuple[slice, ...]
    counts: Whole  # (s,)
    points: Floats  # (p, 3)
    drawn: Floats  # (p, 2): the same on the plan, a hair inside the room
    fronts: Floats  # (s, 3): normals
    offsets: Floats  # (s,)
    readings: tuple[Reading, ...]
    patches: Patches
    mirror: Mirror
    own: slice  # which points are on the room's own surfaces
    patch_of: Whole  # of each of those
    areas: Floats  # of each of those
    convex: bool
    corners: Floats

    def number(self, name: str) -> int:
        for number, grid in enumerate(self.grids):
            if grid.name == name:
                return number
        raise LightError(f"There is no surface called {name} in this room.", "name")

    def on_patches(self, direct: Floats) -> Floats:
        """Lux on each patch from lux at the points: what falls on its cells, over its area. (m,)."""
        flux = np.bincount(self.patch_of, direct[self.own] * self.areas, minlength=len(self.patches.areas))
        return np.asarray(flux / self.patches.areas)

    def reflected(self, number: int, leaves: Floats) -> Floats:
        """Reflected lux at one grid's points, of what leaves the patches."""
        reading = self.readings[number]
        groups = reading.gather @ leaves
        return np.asarray(np.einsum("nk,nk->n", groups[reading.index], reading.weights))


def ground_of(scene: Scene, step_m: float) -> Ground:
    """step_m: between points, about; wider on large floors, so that points stay few."""
    room = scene.room
    surfaces = surfaces_of(room)
    step, patch = step_of(surfaces, step_m), patch_size(surfaces)
    own = [coarse(each, lattice(each, step), patch) for each in surfaces]
    read = reading_size(step)
    tasks = [task_of(number, task) for number, task in enumerate(scene.tasks)]
    parts = [coarse(each, lattice(each, step_on(each, step)), read) for each in (plane_of(scene), *surfaces, *tasks)]
    patches = patches_of(tuple(own))
    grids = tuple(grid_of(each.surface, each.fine) for each in parts)
    counts = np.array([len(grid.points) for grid in grids], dtype=np.intp)
    ends = np.concatenate([[0], np.cumsum(counts)])
    points, fronts = np.concatenate([grid.points for grid in grids]), np.array([grid.normal for grid in grids])
    corners, gather = np.array(room.corners), gathered(room, patches, parts)
    return Ground(
        room=room,
        grids=grids,
        spans=tuple(slice(int(a), int(b)) for a, b in pairwise(ends)),
        counts=counts,
        points=points,
        drawn=drawn_in(corners, points[:, :2]),
        fronts=fronts,
        offsets=np.einsum("si,si->s", fronts, np.array([grid.origin for grid in grids])),
        readings=tuple(Reading(*spread(part), each) for part, each in zip(parts, gather, strict=True)),
        patches=patches,
        mirror=mirror_of(room, patches),
        own=slice(int(ends[1]), int(ends[1 + len(own)])),
        patch_of=np.concatenate([patches.starts[number] + each.of_cell for number, each in enumerate(own)]),
        areas=np.concatenate([grid.areas for grid in grids[1 : 1 + len(own)]]),
        convex=is_convex(corners),
        corners=corners,
    )


def gathered(room: Room, patches: Patches, parts: list[Coarse]) -> list[Floats]:
    """Surface by surface, lux on each group of its cells for lm/m2 that leave each patch. (groups, m) each."""
    boxed = [is_box(room, patches) and part.surface.on is not On.TASK for part in parts]
    rest = [part for part, is_boxed in zip(parts, boxed, strict=True) if not is_boxed]
    others = iter(_looked_up(room, patches, rest) if rest else [])
    return [
        sharpened(part, boxed_from(patches, part)) if is_boxed else next(others)
        for part, is_boxed in zip(parts, boxed, strict=True)
    ]


def sharpened(part: Coarse, means: Floats) -> Floats:
    """What groups have to hold so that reading between them gives each group its own mean again. (groups, m).

    Of a box: each group sees nothing but patches, so its row sums to 1.
    """
    (index, weights), count = spread(part), len(means)
    at = part.of_cell[:, None] * count + index
    sums = np.bincount(at.ravel(), weights.ravel(), minlength=count * count).reshape(count, count)
    read = sums / np.bincount(part.of_cell, minlength=count)[:, None]
    miss = np.eye(count) - read
    told = (np.eye(count) + miss) @ (np.eye(count) + miss @ miss) @ means  # what is missed, put back three times
    told = np.maximum(told, 0.0)  # below nothing no patch gives
    return np.asarray(told / told.sum(axis=1, keepdims=True))


def _looked_up(room: Room, patches: Patches, parts: list[Coarse]) -> list[Floats]:
    """The same by contours, all surfaces at once: many stand over one another on the plan."""
    counts = [len(part.cells.at) for part in parts]
    middles = np.concatenate([part.surface.place(*part.cells.middles.T) for part in parts])
    normals = np.repeat(np.array([part.surface.normal for part in parts]), counts, axis=0)
    return np.split(receivers(room, patches, middles, normals), np.cumsum(counts)[:-1])


def receivers(room: Room, patches: Patches, points: Floats, normals: Floats) -> Floats:
    """Lux at points for lm/m2 that leave each patch. (n, m)."""
    corners, told = np.array(room.corners), np.zeros((len(points), len(patches.areas)))
    share = np.ones_like(told) if is_convex(corners) else seen_from(corners, points, patches)
    n, m = np.nonzero(share)
    told[n, m] = seen(points, normals, patches, n, m)
    return told * share
