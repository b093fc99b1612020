"""A room's surfaces with what they are of, for reverberation: areas from the room, absorption from the table."""

from __future__ import annotations

from math import dist

from django.utils.translation import gettext as _

from layout.engine.shape import on_plan
from layout.engine.sound.reverberation import Surface
from layout.sound.models import Hears
from projects.catalogue.table_values import OCTAVES_HZ
from projects.catalogue.tables import absorption
from projects.jobs.models import SideChoice


def areas_m2(size) -> dict[Hears, float]:
    """Each surface of the room; of an outline, a wall belongs to the side it faces most."""
    corners = size.walls.corners
    found = dict.fromkeys(Hears, 0.0)
    found[Hears.FLOOR] = found[Hears.CEILING] = on_plan.area(corners)
    for side, corner, end in zip(size.walls.sides, corners, (*corners[1:], corners[0]), strict=True):
        found[Hears(side.value)] += dist(corner, end) * size.high_m
    return found


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
