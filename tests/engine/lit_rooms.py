"""Rooms that light is tried in. Meters; lights shine by the cosine's power, peaks in candelas."""

from dataclasses import replace

from layout.engine.light.lobe import Lobe
from layout.engine.light.values import Light, Opening, Room, Scene

BOX = ((0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0))
ELL = ((0.0, 0.0), (5.0, 0.0), (5.0, 2.0), (2.0, 2.0), (2.0, 4.0), (0.0, 4.0))
FT = 0.3048
POINT = Opening()
ROUND = Opening(0.1, 0.1, 0.0, True)

# 12 x 12 ft, 9 ft high, plane at 2.5 ft, four lights of 1000 cd, direct light on 60 cells a side: power of the lobe,
# feet in from two walls, mean of the plane in lx, least over mean, walls over plane. Own numbers, worked twice apart
# from this code; no published source.
THIRDS, HALF = (4, 8), (3, 9)
THIRDS_AND_HALF = (
    (1, THIRDS, 441.5, 0.375, 0.475),
    (1, HALF, 391.5, 0.499, 0.562),
    (2, THIRDS, 376.5, 0.296, 0.309),
    (2, HALF, 331.1, 0.441, 0.382),
    (4.8188, THIRDS, 259.6, 0.156, 0.145),
    (4.8188, HALF, 228.7, 0.331, 0.203),
)


def can(id, x, y, z=2.5, peak=400.0, power=2.0, opening=POINT, **more):
    return Light(id, x, y, z, Lobe(peak, power, opening), **more)


def box(*lights, wide=4.0, deep=3.0, height=2.5, **more):
    plane = {"plane_m": more.pop("plane_m")} if "plane_m" in more else {}
    tasks = more.pop("tasks", ())
    corners = ((0.0, 0.0), (wide, 0.0), (wide, deep), (0.0, deep))
    return Scene(Room(corners, height, **more), lights, tasks=tasks, **plane)


def two_cans(**more):
    return box(can("a", 1.0, 1.0), can("b", 3.1, 2.2, power=1.0, zone="B"), **more)


def ell(**more):
    return Scene(Room(ELL, 2.5, **more), (can("a", 1.0, 3.0), can("b", 4.0, 1.0, power=4.0)))


def media_room(opening=ROUND):
    """19 x 14 x 8 ft with 12 lights in rows of 4."""
    places = [(19 * FT * (2 * i + 1) / 8, 14 * FT * (2 * j + 1) / 6) for i in range(4) for j in range(3)]
    lights = [can(f"{n}", x, y, 8 * FT, opening=opening) for n, (x, y) in enumerate(places)]
    return box(*lights, wide=19 * FT, deep=14 * FT, height=8 * FT)


def larger(scene, times):
    """The same with every length so many times as long."""
    room = replace(
        scene.room,
        corners=tuple((x * times, y * times) for x, y in scene.room.corners),
        height_m=scene.room.height_m * times,
    )
    lights = tuple(replace(each, x=each.x * times, y=each.y * times, z=each.z * times) for each in scene.lights)
    return replace(scene, room=room, lights=lights, plane_m=scene.plane_m * times)


def mean(solved, name, dims=None):
    grid = solved.grid(name)
    return float(solved.lux(name, dims) @ grid.areas / grid.areas.sum())
