"""How long light takes: a room solved, a light moved, a large floor, in one run beside a plain loop and photons.

Times are printed, never asserted, and are processor time of all cores. A ratio says more than a time on a busy machine:
the loop is the same direct light point by point in plain Python; the photons are the tests' own check, counted until
their standard error on the work plane is 1 %.
"""

import os
import platform
import sys
from dataclasses import replace
from math import acos, cos, degrees, pi, sqrt
from statistics import median

import numpy as np

from layout.engine.light.ground import ground_of
from layout.engine.light.solve import shares_of, solve
from layout.engine.light.values import Room
from tests.benchmarks.placement_times import seconds, times
from tests.engine.judge_light import Hall, Lamp, photons
from tests.engine.lit_rooms import FT, ROUND, box, can, ell, media_room

SOME = 400  # points the plain loop is timed on
PHOTONS = 20_000


def floor(across=20, along=10):
    """120 x 80 ft of office under 9 ft, 200 lights."""
    wide, deep, height = 120 * FT, 80 * FT, 9 * FT
    places = [(wide * (i + 0.5) / across, deep * (j + 0.5) / along) for i in range(across) for j in range(along)]
    lights = [can(f"{n}", x, y, height, opening=ROUND) for n, (x, y) in enumerate(places)]
    return box(*lights, wide=wide, deep=deep, height=height)


def floor_in_an_ell():
    """The same with its far right quarter built in: 150 lights."""
    scene = floor()
    wide, deep = scene.room.corners[2]
    corners = ((0.0, 0.0), (wide, 0.0), (wide, deep / 2), (wide / 2, deep / 2), (wide / 2, deep), (0.0, deep))
    lights = tuple(light for light in scene.lights if light.x < wide / 2 or light.y < deep / 2)
    return replace(scene, room=Room(corners, scene.room.height_m), lights=lights)


def plainly(scene, points, normals):
    """Direct lux as one would write it down first: light by light, point by point."""
    told = []
    for (px, py, pz), (nx, ny, nz) in zip(points, normals, strict=True):
        total = 0.0
        for light in scene.lights:
            dx, dy, dz = px - light.x, py - light.y, pz - light.z
            far = sqrt(dx * dx + dy * dy + dz * dz)
            ahead = -(dx * nx + dy * ny + dz * nz)
            if ahead > 0 and dz < 0:
                angle = degrees(acos(-dz / far))
                total += light.emitter.peak_cd * cos(angle * pi / 180) ** light.emitter.power * ahead / far**3
        told.append(total)
    return told


def loop_seconds(scene, ground):
    """For all points, from some of them."""
    pick = np.linspace(0, len(ground.points) - 1, SOME).astype(int)
    normals = np.repeat(ground.fronts, ground.counts, axis=0)[pick].tolist()
    points = ground.points[pick].tolist()
    return seconds(lambda: plainly(scene, points, normals)) / SOME * len(ground.points)


def photon_seconds(scene):
    """Until the plane's standard error is 1 %, from some photons."""
    room = scene.room
    walls = [room.reflectance_of(n) for n in range(len(room.corners))]
    hall = Hall(list(room.corners), room.height_m, [room.floor, room.ceiling, *walls], room.slope[0], scene.plane_m)
    lamps = [
        Lamp((x.x, x.y, x.z), 2 * pi * x.emitter.peak_cd / (x.emitter.power + 1), x.emitter.power) for x in scene.lights
    ]
    kept = {}

    def sent():
        kept["lux"], kept["error"] = photons(hall, lamps, PHOTONS, 1)

    took = seconds(sent)
    return took * (kept["error"][-1] / kept["lux"][-1] / 0.01) ** 2


def report(runs=9, large=True):
    """The lines of a small table."""
    yield f"{platform.machine()}, {os.cpu_count()} processors, {platform.system()}, Python {sys.version.split()[0]}"
    scene = media_room()
    solved, ground = solve(scene), ground_of(scene, 0.127)  # what is read once
    moved = replace(scene.lights[0], x=scene.lights[0].x + 0.1)
    whole = [seconds(lambda: solve(scene)) for _ in range(runs)]
    direct = [seconds(lambda: shares_of(ground, scene.lights)) for _ in range(runs)]
    move = [seconds(lambda: solved.with_light(moved).lux("plane")) for _ in range(runs)]
    corner = [seconds(lambda: solve(ell())) for _ in range(runs)]
    yield f"{'':34} {'median':>10} {'worst':>10}"
    yield from (_line(*row) for row in (("12 lights in 19 x 14 x 8 ft", whole), ("  lights alone", direct)))
    yield from (_line(*row) for row in (("  one light moved", move), ("an L of 6 walls, 2 lights", corner)))
    if large:
        yield _line("200 lights on 120 x 80 ft", [seconds(lambda: solve(floor()))])
        yield _line("150 lights on an L of that", [seconds(lambda: solve(floor_in_an_ell()))])
    yield f"direct light in a plain loop takes {times(loop_seconds(scene, ground) / median(direct))} as long"
    yield f"photons to 1 % on the plane take {times(photon_seconds(scene) / median(whole))} as long as the whole"


def _line(name, took):
    return f"{name:34} {median(took) * 1000:7.1f} ms {max(took) * 1000:7.1f} ms"
