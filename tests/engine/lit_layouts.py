"""Layouts with light for tests: a bare rectangle laid out, and a scene from its marks with one emitter. Invented."""

from dataclasses import replace

from layout.engine.lengths import Unit, inches, mm
from layout.engine.light.lobe import Lobe
from layout.engine.light.values import Light, Room, Scene
from layout.engine.marks import Kind
from layout.engine.room import lay_out
from layout.engine.rows.wish import Mode
from tests.engine.ways_rooms import OPEN, SMALL, survey


def inputs(wide="144", deep="144", **changes):
    """Inches; no framing overhead; rows from left to right, 2 by 2, limit 8 ft, lights of 4 1/4 in."""
    start = replace(
        OPEN, left_right=survey(inches(wide)), door_far=survey(inches(deep)), rows=2, lights_per_row=2,
        spacing_limit=inches(96), light=SMALL, mode_along=Mode.WALL_HELD, mode_across=Mode.WALL_HELD,
        end_setback=inches(24), row_setback=inches(24),
    )  # fmt: skip
    return replace(start, **changes)


def metric(wide=3600, deep=3600, **changes):
    given = {"spacing_limit": mm(2400), "end_setback": mm(600), "row_setback": mm(600), "edge_min": mm(100)} | changes
    return inputs(
        unit=Unit.MM, left_right=survey(mm(wide)), door_far=survey(mm(deep)), web_min=mm(40), light_to_speaker=mm(600),
        **given,
    )  # fmt: skip


def meters(length):
    return float(length.nm) / 1e9


def scenes(emitter=None, *, height_m=2.7432, plane_m=0.762, zone=None, **room):
    """layout -> scene. Black surfaces unless given: then direct light is all there is."""
    given = {"floor": 0.0, "ceiling": 0.0, "wall": 0.0} | room
    shining = emitter or Lobe(1000.0, 3.0)

    def scene_of(layout):
        wide, deep = meters(layout.wide.datums.ceiling), meters(layout.deep.datums.ceiling)
        shape = Room(((0.0, 0.0), (wide, 0.0), (wide, deep), (0.0, deep)), height_m, **given)
        lights = tuple(
            Light(mark.id, meters(mark.along), meters(mark.across), height_m, shining,
                  zone=zone(mark) if zone else mark.zone, watts=10.0)
            for mark in layout.arrangement.marks
            if mark.kind is Kind.LIGHT
        )  # fmt: skip
        return Scene(shape, lights, plane_m)

    return scene_of


def laid(**changes):
    return lay_out(inputs(**changes))
