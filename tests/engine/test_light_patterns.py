"""Scallops, caves, hot walls and stripes are told where the computed light shows them, and nowhere else."""

from functools import cache

import numpy as np
import pytest

from layout.engine.light import closed
from layout.engine.light.lobe import Lobe, from_beam
from layout.engine.light.patterns import HOT_RATIO, SCALLOP_RATIO, SOURCE, Kind, pools_of, told
from layout.engine.light.solve import solve
from layout.engine.light.values import Dims, Light, Room, Scene

FOOT = 0.3048
NAMES = ("door", "right", "far", "left")
once = cache(solve)  # the same room, asked after by several tests


def scene(length, width, height, at, beam, *, lumens=800, **surfaces):
    corners = ((0, 0), (length * FOOT, 0), (length * FOOT, width * FOOT), (0, width * FOOT))
    high, emitter = height * FOOT, from_beam(beam, lumens)
    lights = tuple(Light(f"{n}", x * FOOT, y * FOOT, high, emitter, zone="A") for n, (x, y) in enumerate(at))
    return Scene(Room(corners, high, wall_names=NAMES, **surfaces), lights, 2.5 * FOOT)


def grid(xs, ys):
    return [(x, y) for x in xs for y in ys]


def kinds(found):
    return {pattern.kind for pattern in found}


def test_pools_are_peaks_with_a_deep_enough_dip_between():
    assert pools_of(np.array([1, 3, 1, 3, 1.0]), 1.5) == (1, 3)
    assert pools_of(np.array([2, 3, 2.5, 3, 2.0]), 1.5) == (1,)  # a dip to 2.5 is none
    assert pools_of(np.array([3, 1, 3.0]), 1.5) == (0, 2)  # at both ends
    assert pools_of(np.array([2, 2, 2.0]), 1.5) == (0,)
    assert pools_of(np.array([1, 2, 1, 4, 1, 8, 1.0]), 1.5) == (1, 3, 5)


def test_narrow_beams_a_foot_off_the_wall_scallop_it():
    """Five lights along 20 ft, 1 ft off both long walls, 40 degrees: five pools on each, under the lights."""
    found = told(once(scene(20, 12, 8, grid((2, 6, 10, 14, 18), (1, 11)), 40)))
    far = next(each for each in found if each.kind is Kind.SCALLOP and each.name == "far")
    assert far.wall == 2
    assert far.at_m == pytest.approx([x * FOOT for x in (2, 6, 10, 14, 18)], abs=0.08)  # half a cell and a little
    assert far.found == pytest.approx(far.numbers["pool_lx"] / far.numbers["between_lx"])
    assert far.found > 3 > far.limit == SCALLOP_RATIO
    assert far.source == SOURCE == "common practice, no source"
    # The pools are strongest somewhat under the scallop's top, which a foot off at 20 degrees is 2.75 ft down.
    assert far.height_m < 8 * FOOT - closed.scallop_top(0.5 * FOOT, 20)


def test_the_door_wall_is_read_from_its_own_left():
    """Seen from inside, the door wall's left end is the room's right: a pool 2 ft from the right wall is at 2 ft."""
    found = told(solve(scene(20, 12, 8, [(18, 1), (12, 1)], 40)))
    door = next(each for each in found if each.kind is Kind.SCALLOP and each.name == "door")
    assert door.at_m == pytest.approx([2 * FOOT, 8 * FOOT], abs=0.08)


def test_wide_beams_close_together_do_not_scallop():
    found = told(solve(scene(20, 12, 8, grid(range(2, 20, 2), range(2, 12, 2)), 110)))
    assert Kind.SCALLOP not in kinds(found)


def test_narrow_beams_in_the_middle_leave_a_cave():
    found = told(solve(scene(16, 16, 10, grid((6, 10), (6, 10)), 25)))
    cave = next(each for each in found if each.kind is Kind.CAVE)
    assert 0.5 <= cave.found <= 1 and cave.wall is None
    assert cave.numbers["upper_walls_lx"] < 0.15 * cave.numbers["plane_lx"]
    assert Kind.DARK_WALLS in kinds(found)


def test_the_same_lights_wide_and_toward_the_walls_leave_none():
    found = told(solve(scene(16, 16, 10, grid((4, 12), (4, 12)), 110)))
    assert not kinds(found) & {Kind.CAVE, Kind.DARK_WALLS}


def test_moved_toward_the_walls_they_are_brighter():
    """The wall's share at thirds is less than at a quarter: said by the numbers of the room, not by a rule."""
    shares = []
    for at in ((4, 8), (3, 9)):
        found = told(once(scene(12, 12, 9, grid(at, at), 40)))
        shares += [each.found for each in found if each.kind is Kind.DARK_WALLS]
    assert len(shares) == 2 and shares[0] < shares[1]


def test_a_light_against_a_wall_makes_it_hot_and_says_where():
    found = told(solve(scene(12, 12, 9, [*grid((3, 9), (3, 9)), (6, 0.4)], 50, lumens=1500)))
    (hot,) = [each for each in found if each.kind is Kind.HOT_WALL]
    assert hot.name == "door" and hot.found >= HOT_RATIO
    assert hot.at_m == pytest.approx([6 * FOOT], abs=0.08)
    assert hot.numbers["most_lx"] / hot.numbers["plane_lx"] == pytest.approx(hot.found)


def test_rows_far_apart_leave_lanes_on_the_plane():
    found = told(solve(scene(20, 20, 8, grid((3, 6, 9, 12, 15, 18), (5, 15)), 40)))
    (stripe,) = [each for each in found if each.kind is Kind.STRIPE]
    assert stripe.along == "y" and stripe.at_m == pytest.approx([5 * FOOT, 15 * FOOT], abs=0.08)
    turned = told(solve(scene(20, 20, 8, grid((5, 15), (3, 6, 9, 12, 15, 18)), 40)))
    assert [each.along for each in turned if each.kind is Kind.STRIPE] == ["x"]


def test_a_square_of_pools_is_no_stripe():
    assert Kind.STRIPE not in kinds(told(solve(scene(20, 20, 8, grid((5, 15), (5, 15)), 40))))


def test_a_narrow_room_with_wide_beams_has_bright_walls():
    """A hall 3 ft wide, light walls, beams of 120 degrees: the walls are over what practice looks for, not under."""
    found = told(solve(scene(20, 3, 9, grid((4, 10, 16), (1.5,)), 120, wall=0.7)))
    assert Kind.BRIGHT_WALLS in kinds(found)
    assert Kind.DARK_WALLS not in kinds(found)


def test_in_the_dark_there_is_nothing_to_see():
    solved = once(scene(12, 12, 9, grid((3, 9), (3, 9)), 40))
    assert told(solved, Dims(zones={"A": 0.0})) == ()


def test_dimming_all_alike_changes_no_pattern():
    solved = once(scene(20, 12, 8, grid((2, 6, 10, 14, 18), (1, 11)), 40))
    full, half = told(solved), told(solved, Dims(zones={"A": 0.5}))
    assert [(each.kind, each.wall) for each in full] == [(each.kind, each.wall) for each in half]
    assert [each.found for each in half] == pytest.approx([each.found for each in full])


def test_a_room_that_is_no_rectangle_is_read_wall_by_wall():
    corners = ((0, 0), (5, 0), (5, 3), (3, 3), (3, 5), (0, 5))
    lights = tuple(Light(f"{n}", x, y, 2.5, Lobe(2000, 8)) for n, (x, y) in enumerate([(1, 0.3), (2.5, 0.3), (4, 0.3)]))
    found = told(solve(Scene(Room(corners, 2.5), lights)))
    scallop = next(each for each in found if each.kind is Kind.SCALLOP and each.wall == 0)
    assert scallop.at_m == pytest.approx([1, 2.5, 4], abs=0.08) and scallop.name == "wall 1"
