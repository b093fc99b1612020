"""A surface's levels as a table of readable size, and the words that name a surface. Knows no drawing."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from django.utils.translation import gettext as _

from layout.drawing.picture import Table
from layout.engine.light.values import Floats, Grid, On, Scene
from layout.light.pictures.surfaces import steps_of
from layout.light.pictures.values import Told

MOST_COLUMNS, MOST_ROWS = 8, 8


def surface_name(grid: Grid, scene: Scene, told: Told) -> str:
    match grid.on:
        case On.PLANE:
            return _("work plane, %(height)s above the floor") % {"height": told.length(scene.plane_m)}
        case On.FLOOR:
            return _("floor")
        case On.CEILING:
            return _("ceiling")
        case On.WALL:
            return wall_name(scene, grid.number)
    return grid.name


def wall_name(scene: Scene, at: int) -> str:
    """A wall as people call it, else by its number."""
    names = scene.room.wall_names
    number = at % len(scene.room.corners)
    return names[number] if names and names[number] else _("wall %(number)s") % {"number": number + 1}


def summed_up(lux: Floats, areas: Floats, told: Told) -> str:
    """'Average 32 fc (344 lx), least 12 fc, most 48 fc.'"""
    average = float((lux * areas).sum() / areas.sum())
    return _("Average %(average)s, least %(least)s, most %(most)s.") % {
        "average": told.both(average),
        "least": told.level(float(lux.min())),
        "most": told.level(float(lux.max())),
    }


def lattice_table(grid: Grid, lux: Floats, told: Told, caption: str) -> Table:
    """Levels by rows and columns as the picture shows them, the top row first; a cell is the average of its part.

    A surface of few cells is told cell by cell. An empty cell is off the surface.
    """
    wide, high = steps_of(grid)
    level, area = grid.table(lux), np.nan_to_num(grid.table(grid.areas))
    columns, rows = _parts(grid.columns, MOST_COLUMNS), _parts(grid.rows, MOST_ROWS)
    heads = ["", *(_span(part, wide, told) for part in columns)]
    lines = [
        (_span(row, high, told), *(_mean(level, area, row, column, told) for column in columns))
        for row in reversed(rows)
    ]
    if told.feet:
        caption = _("%(caption)s. Footcandles, lux in brackets") % {"caption": caption}
    else:
        caption = _("%(caption)s. Lux") % {"caption": caption}
    return Table(caption, tuple(heads), tuple(lines))


def _parts(count: int, most: int) -> list[tuple[int, int]]:
    """First and past-last cell of each part, as even as whole cells allow."""
    many = min(count, most)
    cuts = [round(count * at / many) for at in range(many + 1)]
    return list(pairwise(cuts))


def _span(part: tuple[int, int], step: float, told: Told) -> str:
    return f"{told.length(part[0] * step)} – {told.length(part[1] * step)}"


def _mean(level: Floats, area: Floats, row: tuple[int, int], column: tuple[int, int], told: Told) -> str:
    here = slice(*row), slice(*column)
    weights = area[here]
    if not weights.sum():
        return ""
    lux = float(np.nansum(level[here] * weights) / weights.sum())
    return f"{told.number(lux)} ({lux:,.0f})" if told.feet else told.number(lux)
