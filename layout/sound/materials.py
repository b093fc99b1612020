"""A room's surfaces with what they are of, for reverberation: areas from the room, absorption from the table."""

from __future__ import annotations

from itertools import pairwise

from django.utils.translation import gettext as _

from layout.engine.marks import Side
from layout.engine.sound.reverberation import Surface
from layout.sound.models import Hears
from projects.catalogue.table_values import OCTAVES_HZ
from projects.catalogue.tables import absorption
from projects.jobs.models import SideChoice


def areas_m2(size) -> dict[Hears, float]:
    """Each surface of the room; of an outline, a wall belongs to the side it faces most."""
    corners = size.corners_m or (
        (0.0, 0.0), (size.wide_m, 0.0), (size.wide_m, size.deep_m), (0.0, size.deep_m),
    )  # fmt: skip
    closed = (*corners, corners[0])
    twice = sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairwise(closed))
    found = dict.fromkeys(Hears, 0.0)
    found[Hears.FLOOR] = found[Hears.CEILING] = abs(twice) / 2
    for (x1, y1), (x2, y2) in pairwise(closed):
        out_x, out_y = (y2 - y1, x1 - x2) if twice > 0 else (y1 - y2, x2 - x1)
        side = _faces(out_x, out_y)
        found[Hears(side.value)] += (out_x**2 + out_y**2) ** 0.5 * size.high_m
    return found


def _faces(x, y):
    if abs(x) > abs(y):
        return Side.RIGHT if x > 0 else Side.LEFT
    return Side.FAR if y > 0 else Side.DOOR


def volume_m3(size) -> float:
    return areas_m2(size)[Hears.FLOOR] * size.high_m


def unsaid(heard) -> tuple[str, ...]:
    """Names of the surfaces nobody said the material of, or whose material has left the table."""
    table = absorption()
    said = {row.surface for row in heard.kept.materials if row.material in table}
    return tuple(name_of(heard.room, surface) for surface in Hears if surface not in said)


def surfaces_of(heard) -> tuple[Surface, ...]:
    """All of them, each part of a surface by itself."""
    table, areas = absorption(), areas_m2(heard.size)
    return tuple(
        Surface(
            _("%(surface)s: %(material)s") % {
                "surface": name_of(heard.room, Hears(row.surface)), "material": table[row.material].name,
            },
            areas[Hears(row.surface)] * row.percent / 100,
            dict(zip(OCTAVES_HZ, table[row.material].alpha, strict=True)),
        )
        for row in heard.kept.materials
        if row.material in table and areas[Hears(row.surface)]
    )  # fmt: skip


def name_of(room, surface) -> str:
    if surface in (Hears.FLOOR, Hears.CEILING):
        return str(surface.label)
    return room.wall_name(SideChoice(surface.value))
