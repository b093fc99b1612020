"""The pictures of a room's light, drawn once in a process: the same light at the same levels is the same picture."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterator
from threading import Lock

from django.utils.translation import get_language

from layout.drawing.picture import Picture
from layout.engine.light.values import Dims, On
from layout.light.pictures import elevations, from_the_door, plan_map
from layout.light.pictures.values import Told

TASK_MM = 80  # a task's map is drawn so high at most
_HELD = 24  # rooms at some levels a process remembers, some 150 kB each
_drawn: OrderedDict[tuple, tuple[Picture, ...]] = OrderedDict()
_lock = Lock()


def pictures_of(made, solved, dims: Dims | None, told: Told) -> tuple[Picture, ...]:
    """The plane first, then tasks, walls and the view. made: whose digest stands for all that was computed."""
    levels = None if dims is None else (tuple(sorted(dims.zones.items())), tuple(sorted(dims.lights.items())))
    key = (made.digest, levels, told, get_language())
    with _lock:
        if key in _drawn:
            _drawn.move_to_end(key)
            return _drawn[key]
    pictures = tuple(_draw(solved, dims, told))
    with _lock:
        _drawn[key] = pictures
        while len(_drawn) > _HELD:
            _drawn.popitem(last=False)
    return pictures


def _draw(solved, dims: Dims | None, told: Told) -> Iterator[Picture]:
    """The walls in the same bands, so that a tone means one level on each; the plane parts into its own."""
    yield plan_map(solved, dims, told=told)
    for number, grid in enumerate((grid for grid in solved.grids if grid.on is On.TASK), start=1):
        yield plan_map(solved, dims, told=told, on=grid.name, key=f"light-task-{number}", height_mm=TASK_MM)
    yield from elevations(solved, dims, told=told)
    yield from_the_door(solved, dims, told=told)
