"""What no room can be lit as: each number at fault is named, with what to do about it."""

from __future__ import annotations

from collections.abc import Iterable
from math import inf, isfinite

import numpy as np

from layout.engine.light.values import Floats, Light, LightError, Room, Scene, Task
from layout.engine.shape.on_plan import inside, off_edge

MOST_LIGHTS = 1000
MOST_CORNERS = 500  # as many as an outline may have
FARTHEST_M = 400.0  # a longer room is a slip of the keyboard
CLOSE_M = 1e-6  # a light this little off the outline is on it
TRAY_M = 2.0  # a light may hang this far above the ceiling, in a tray; the ceiling then gets nothing direct from it


def refuse(scene: Scene, step_m: float) -> None:
    """Raise LightError for the first thing that can't be; return when there is none."""
    if not (isfinite(step_m) and step_m >= 0.005):
        raise LightError("The step of the grid has to be 5 mm or more.", "step_m")
    refuse_room(scene.room)
    lowest = min(heights(scene.room))
    if not (isfinite(scene.plane_m) and 0 < scene.plane_m < lowest):
        raise LightError(
            f"The work plane is {scene.plane_m:g} m up; it has to be above the floor and below the ceiling, "
            f"which is {lowest:g} m at its lowest. Check both heights.",
            "plane_m",
        )
    refuse_lights(scene.room, scene.lights)
    names = [task.name for task in scene.tasks]
    for task in scene.tasks:
        refuse_task(scene.room, task, names)


def heights(room: Room) -> list[float]:
    """Of the ceiling over each corner, m."""
    x0, y0 = room.corners[0]
    return [room.height_m + (x - x0) * room.slope[0] + (y - y0) * room.slope[1] for x, y in room.corners]


def refuse_room(room: Room) -> None:
    """Raises LightError by field: corners, slope, height_m, reflectances."""
    _refuse_outline(room)
    if not all(isfinite(each) for each in room.slope):
        raise LightError("The slope of the ceiling is no number. Give its rise per meter.", "slope")
    if not (isfinite(room.height_m) and 0 < room.height_m <= FARTHEST_M):
        raise LightError(f"A ceiling can't be {room.height_m:g} m up. Tape its height.", "height_m")
    if min(heights(room)) <= 0:
        raise LightError("The ceiling slopes down to the floor. Check the slope and the height.", "slope")
    if room.walls and len(room.walls) != len(room.corners):
        raise LightError(
            f"{len(room.walls)} wall reflectances for {len(room.corners)} walls. Give one for each, or none.", "walls"
        )
    for name, value in (("floor", room.floor), ("ceiling", room.ceiling), ("wall", room.wall)):
        _refuse_reflectance(name, name, value)
    for number, value in enumerate(room.walls):
        _refuse_reflectance("walls", f"wall {number + 1}", value)


def _refuse_reflectance(name: str, what: str, value: float) -> None:
    if not 0 <= value < 1:  # no number at all lands here too
        raise LightError(
            f"The reflectance of the {what} is {value:g}; give 0 or more and below 1. Matte white paint is 0.8.",
            name,
        )


def _refuse_outline(room: Room) -> None:
    corners = np.array(room.corners, dtype=np.float64)
    if not 3 <= len(room.corners) <= MOST_CORNERS or corners.shape != (len(room.corners), 2):
        raise LightError(f"An outline has 3 to {MOST_CORNERS} corners, each with x and y.", "corners")
    if not np.isfinite(corners).all() or np.ptp(corners, axis=0).max() > FARTHEST_M:
        raise LightError(f"A room can't be over {FARTHEST_M:g} m long. Check the corners.", "corners")
    after = np.roll(corners, -1, axis=0)
    if np.linalg.norm(after - corners, axis=1).min() < 1e-4:
        raise LightError("Two corners that follow each other are one point. Take one out or move it.", "corners")
    area = float((corners[:, 0] * after[:, 1] - corners[:, 1] * after[:, 0]).sum()) / 2
    if abs(area) < 1e-3:
        raise LightError("The outline has no area. Check the corners.", "corners")
    if crosses_itself(corners):
        raise LightError("The outline crosses itself. Put the corners in the order the walls are walked.", "corners")
    if area < 0:
        raise LightError("The outline runs clockwise. Give its corners counterclockwise.", "corners")


def crosses_itself(corners: Floats) -> bool:
    """Whether any two edges cross, or a corner is on an edge that isn't its own."""
    a, b = corners, np.roll(corners, -1, axis=0)
    count, d = len(a), np.roll(corners, -1, axis=0) - corners

    def side(points: Floats) -> Floats:  # of each point (column) seen along each edge (row)
        return np.asarray(
            d[:, None, 0] * (points[None, :, 1] - a[:, None, 1]) - d[:, None, 1] * (points[None, :, 0] - a[:, None, 0])
        )

    from_a, from_b = side(a), side(b)
    meet = (from_a * from_b <= 0) & (from_a.T * from_b.T <= 0)
    low, high = np.minimum(a, b), np.maximum(a, b)
    meet &= ((low[:, None] <= high[None]) & (low[None] <= high[:, None])).all(axis=2)
    index = np.arange(count)
    gap = (index[:, None] - index[None]) % count
    return bool((meet & (gap > 1) & (gap < count - 1)).any() or _turns_back(d))


def _turns_back(edges: Floats) -> bool:
    after = np.roll(edges, -1, axis=0)
    across = edges[:, 0] * after[:, 1] - edges[:, 1] * after[:, 0]
    return bool(((np.abs(across) < 1e-12) & ((edges * after).sum(axis=1) < 0)).any())


def refuse_lights(room: Room, lights: Iterable[Light]) -> None:
    """Raises LightError by field: none or too many, two of one id, a number off, a place outside the room."""
    lights = tuple(lights)
    if not lights:
        raise LightError("There is no light in the room. Lay out at least one.", "lights")
    if len(lights) > MOST_LIGHTS:
        raise LightError(
            f"{len(lights)} lights; at most {MOST_LIGHTS} are reckoned at once. Take the floor in parts.", "lights"
        )
    if len({light.id for light in lights}) < len(lights):
        raise LightError("Two lights have the same id.", "lights")
    for light in lights:
        _refuse_numbers(light)
    places = np.array([(light.x, light.y) for light in lights])
    corners = np.array(room.corners)
    out = ~inside(corners, places) & (off_edge(corners, places) > CLOSE_M)
    x0, y0 = room.corners[0]
    for light, outside in zip(lights, out, strict=True):
        if outside:
            raise LightError(
                f"Light {light.id} is outside the room, at x {light.x:g} m, y {light.y:g} m. Move it inside the walls.",
                "x",
            )
        above = room.height_m + (light.x - x0) * room.slope[0] + (light.y - y0) * room.slope[1]
        if not 0 < light.z <= above + TRAY_M:
            raise LightError(
                f"Light {light.id} is {light.z:g} m up; it has to be above the floor and at most {TRAY_M:g} m above "
                f"the ceiling, which is {above:g} m there.",
                "z",
            )


def _refuse_numbers(light: Light) -> None:
    for name, value in (("x", light.x), ("y", light.y), ("z", light.z)):
        if not isfinite(value):
            raise LightError(f"Light {light.id}: its place is no number.", name)
    if not 0 <= light.tilt_deg <= 180:
        raise LightError(
            f"Light {light.id} is tilted {light.tilt_deg:g} degrees; 0 is straight down, 180 straight up.", "tilt_deg"
        )
    for name, value in (("toward_deg", light.toward_deg), ("spin_deg", light.spin_deg)):
        if not (isfinite(value) and abs(value) <= 3600):
            raise LightError(f"Light {light.id}: {value:g} is no bearing. Give 0 to 360 degrees.", name)
    if not 0 <= light.dim <= 1:
        raise LightError(f"Light {light.id} is dimmed to {light.dim:g}; give 0 to 1.", "dim")
    if not 0 < light.factor <= 2:
        raise LightError(
            f"Light {light.id}: a loss factor of {light.factor:g} can't be; give more than 0, seldom over 1.", "factor"
        )
    flux, opening = light.emitter.flux_lm, light.emitter.opening
    if not (isfinite(flux) and flux > 0):
        raise LightError(f"Light {light.id} gives {flux:g} lm. Enter its lumens, or its photometric file.", "flux_lm")
    if not all(isfinite(size) and 0 <= size <= 20 for size in (opening.width, opening.length, opening.height)):
        raise LightError(f"Light {light.id}: its opening has to be 0 to 20 m each way.", "opening")


def refuse_task(room: Room, task: Task, names: list[str]) -> None:
    """names: of all tasks, this one's too. Raises LightError on `tasks`: a name taken, no area, outside the room."""
    if names.count(task.name) > 1 or task.name in ("plane", "floor", "ceiling") or task.name.startswith("wall "):
        raise LightError(f"There is a surface called {task.name} already. Choose another name.", "tasks")
    corner, along, up = (np.array(each, dtype=np.float64) for each in (task.corner, task.along, task.up))
    if not (np.isfinite([corner, along, up]).all() and np.linalg.norm(np.cross(along, up)) > 1e-6):
        raise LightError(f"{task.name} has no area. Check its edges.", "tasks")
    ends = np.array([corner, corner + along, corner + up, corner + along + up])
    corners = np.array(room.corners)
    off = ~inside(corners, ends[:, :2]) & (off_edge(corners, ends[:, :2]) > 1e-3)
    x0, y0 = room.corners[0]
    above = room.height_m + (ends[:, 0] - x0) * room.slope[0] + (ends[:, 1] - y0) * room.slope[1]
    if off.any() or (ends[:, 2] < -1e-3).any() or (ends[:, 2] > above + 1e-3).any():
        raise LightError(f"{task.name} reaches out of the room. Move it or make it smaller.", "tasks")


def over_zero(name: str, value: float) -> None:
    if not 0 < value < inf:
        raise LightError(f"{name}: {value:g} does not do. Give more than 0.", name)
