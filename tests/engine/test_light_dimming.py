"""Zones dimmed apart: only where that comes nearer to what is wanted or saves light, and then the right zone."""

import pytest

from layout.engine.light.dimming import levels_for
from layout.engine.light.lobe import from_beam
from layout.engine.light.measures import measure
from layout.engine.light.solve import solve
from layout.engine.light.targets import Target
from layout.engine.light.values import Dims, Light, Room, Scene

HIGH = 2.6


def lit(off):
    """6 by 4 m: zone A so far off the long walls, zone B down the middle."""
    beam = from_beam(60, 900)
    walls = [Light(f"A{x}{y}", x, y, HIGH, beam, "A") for x in (1.5, 4.5) for y in (off, 4 - off)]
    middle = [Light(f"B{x}", x, 2.0, HIGH, beam, "B") for x in (1.5, 3.0, 4.5)]
    return solve(Scene(Room(((0, 0), (6, 0), (6, 4), (0, 4)), HIGH), (*walls, *middle)), step_m=0.25)


@pytest.fixture(scope="module")
def solved():
    return lit(0.4)


def at(solved, levels):
    return measure(solved, Dims(zones=levels))


def test_bright_walls_are_met_by_dimming_the_middle_not_the_lights_along_them(solved):
    full = measure(solved)
    wanted = 1.05 * full.wall_over_plane  # dimming all alike leaves the ratio where it is
    levels = levels_for(solved, full, Target(wall_ratio=wanted))
    assert levels["B"] < levels["A"]
    assert at(solved, levels).wall_over_plane >= wanted - 1e-3


def test_where_only_the_average_is_wanted_the_lights_that_spend_theirs_on_the_walls_are_dimmed_first():
    """6 in off the wall half a lobe falls on the wall; a lamp lumen from the middle lands on the plane more often."""
    grazing = lit(0.15)
    full = measure(grazing)
    half = full.plane_avg_lx / 2
    levels = levels_for(grazing, full, Target(lux=half))
    assert levels["B"] > levels["A"]
    assert at(grazing, levels).plane_avg_lx >= 0.999 * half


def test_where_dimming_apart_saves_next_to_nothing_zones_stay_at_one_level(solved):
    full = measure(solved)
    levels = levels_for(solved, full, Target(lux=full.plane_avg_lx / 2))
    assert levels["A"] == levels["B"] == pytest.approx(0.5, abs=0.01)


def test_a_room_of_one_zone_is_dimmed_as_one(solved):
    alone = solve(Scene(solved.scene.room, tuple(one for one in solved.scene.lights if one.zone == "B")), step_m=0.25)
    full = measure(alone)
    levels = levels_for(alone, full, Target(lux=full.plane_avg_lx / 2))
    assert levels == {"B": pytest.approx(0.5, abs=0.01)}
