"""What is told of a solved room: each number by hand from a made-up solution, the true ones where they are known."""

import math
from dataclasses import dataclass

import numpy as np
import pytest

from layout.engine.light import closed
from layout.engine.light.lobe import Lobe
from layout.engine.light.measures import cylindrical, measure, vertical
from layout.engine.light.photometry import Photometry
from layout.engine.light.solve import solve
from layout.engine.light.targets import Asked, Target, against
from layout.engine.light.values import Dims, Grid, Light, On, Room, Scene, Task
from tests.engine.lit_rooms import HALF, THIRDS_AND_HALF

FOOT = 0.3048
SQUARE = ((0, 0), (12 * FOOT, 0), (12 * FOOT, 12 * FOOT), (0, 12 * FOOT))


def black(corners, height):
    return Room(corners, height, floor=0, ceiling=0, wall=0)


def four(at, power, room=None):
    """Four lights in a 12 x 12 ft room, 9 ft high, plane at 2.5 ft."""
    lights = tuple(
        Light(f"{x},{y}", x * FOOT, y * FOOT, 9 * FOOT, Lobe(1000, power), zone="A" if x < 6 else "B", watts=10)
        for x in at
        for y in at
    )
    return Scene(room or black(SQUARE, 9 * FOOT), lights, 2.5 * FOOT)


@dataclass(frozen=True)
class MadeUp:
    """A room that was never solved: lux by hand, for what is read off it."""

    scene: Scene
    levels: dict

    @property
    def grids(self):
        return tuple(grid for grid, _ in self.levels.values())

    def lux(self, name, dims=None):
        return np.array(self.levels[name][1], dtype=float) * (dims.zones["A"] if dims else 1)

    def at(self, points, normals, dims=None):
        raise AssertionError("No grid tells lux at any other point.")


def grid(on, name, columns, rows, *, number=0, step=1.0, areas=None):
    """Cells a meter wide; walls stand along x from the floor up."""
    at = np.array([(column, row) for row in range(rows) for column in range(columns)])
    u = np.array([step, 0, 0])
    v = np.array([0, 0, 1.0]) if on is On.WALL else np.array([0, 1.0, 0])
    points = (at[:, :1] + 0.5) * u + (at[:, 1:] + 0.5) * v
    areas = np.full(len(at), step) if areas is None else np.array(areas)
    return Grid(on, name, number, np.zeros(3), u, v, columns, rows, at, points, np.zeros(3), areas)


def made_up(lights=None):
    room = Room(((0, 0), (2, 0), (2, 2), (0, 2)), 4.0, wall_names=("door", "right"))
    wall = [40, 30, 60, 50, 80, 70, 20, 10]  # two cells a row, four rows from the floor up
    lights = (Light("1", 1, 1, 4, Lobe(100, 1), zone="A"),) if lights is None else lights
    return MadeUp(
        Scene(room, lights),
        {
            "plane": (grid(On.PLANE, "plane", 2, 2, areas=[1, 1, 1, 0.5]), [100, 200, 300, 400]),
            "floor": (grid(On.FLOOR, "floor", 2, 2), [80, 120, 160, 200]),
            "ceiling": (grid(On.CEILING, "ceiling", 2, 2), [10, 20, 30, 40]),
            "wall 1": (grid(On.WALL, "wall 1", 2, 4), wall),
            "wall 2": (grid(On.WALL, "wall 2", 1, 4, number=1, step=0.5), [90, 90, 90, 90]),
            "desk": (grid(On.TASK, "desk", 2, 1), [300, 500]),
        },
    )


def test_averages_are_by_area():
    told = measure(made_up())
    assert told.plane_avg_lx == pytest.approx((100 + 200 + 300 + 0.5 * 400) / 3.5)
    assert (told.plane_min_lx, told.plane_max_lx) == (100, 400)
    assert told.min_over_avg == pytest.approx(100 / (800 / 3.5))
    assert told.max_over_min == 4
    assert (told.floor_avg_lx, told.ceiling_avg_lx) == (140, 25)
    # Walls: 8 cells of 1 m2 with 360 lx in all, 4 of half a meter with 90 lx each.
    assert told.walls_avg_lx == pytest.approx((360 + 180) / 10)
    assert told.wall_over_plane == pytest.approx(54 / (800 / 3.5))


def test_walls_are_told_by_height():
    door, right = measure(made_up()).wall_bands
    assert (door.name, door.number, right.name) == ("door", 0, "right")
    assert [(band.low_m, band.high_m) for band in door.bands] == [(0, 1), (1, 2), (2, 3), (3, 4)]
    assert [band.average_lx for band in door.bands] == [35, 55, 75, 15]
    assert [band.least_lx for band in door.bands] == [30, 50, 70, 10]
    assert (door.average_lx, door.least_lx, door.most_lx) == (45, 10, 80)


def test_the_darkest_strip_is_a_foot_of_wall_in_one_band():
    """The cells are a meter wide, so a strip is one of them: the right end of the door wall, at the top."""
    strip = measure(made_up()).worst_strip
    assert (strip.wall, strip.from_m, strip.to_m, strip.low_m, strip.high_m, strip.lx) == ("door", 1, 2, 3, 4, 10)


def test_tasks_are_told_by_name():
    (desk,) = measure(made_up()).tasks
    assert (desk.name, desk.average_lx, desk.least_lx) == ("desk", 400, 300)


def test_power_is_what_is_installed_over_the_floor():
    lights = (Light("1", 1, 1, 4, Lobe(100, 1), watts=12, dim=0.2), Light("2", 1, 1, 4, Lobe(100, 1), watts=20))
    told = measure(made_up(lights))
    assert (told.watts, told.floor_m2, told.w_per_m2) == (32, 4, 8)
    assert told.w_per_ft2 == pytest.approx(0.7432, abs=5e-5)  # 8 x 0.3048^2
    assert told.lumens == pytest.approx(200 * math.pi)
    assert told.notes == ("lobe",)


def test_unknown_watts_are_said():
    told = measure(made_up())
    assert told.watts is None and told.w_per_ft2 is None
    assert told.notes == ("lobe", "watts")
    vertical_deg = np.array([0.0, 90.0])
    measured = Photometry(vertical_deg, np.zeros(1), np.array([[100.0, 0.0]]))
    assert measure(made_up((Light("1", 1, 1, 4, measured, watts=5),))).notes == ()


def test_in_the_dark_no_ratio_is_made_up():
    told = measure(made_up(), Dims(zones={"A": 0.0}))
    assert told.plane_avg_lx == 0
    assert (told.min_over_avg, told.max_over_min, told.wall_over_plane) == (None, None, None)
    assert "dark" in told.notes


@pytest.mark.parametrize(("power", "at", "mean", "least", "walls"), THIRDS_AND_HALF)
def test_at_thirds_the_walls_are_darker_in_a_solved_room_too(power, at, mean, least, walls):
    """The same list as for direct light alone (own numbers, worked twice apart from this code), here with black walls.

    The list has 60 cells a side: so has this grid.
    """
    told = measure(solve(four(at, power), step_m=12 * FOOT / 60))
    assert told.plane_avg_lx == pytest.approx(mean, abs=0.06)
    assert told.min_over_avg == pytest.approx(least, abs=0.0006)
    assert told.wall_over_plane == pytest.approx(walls, abs=0.001)  # its walls are 45 cells high, not 60


def test_white_surfaces_add_to_all_of_it():
    dark, white = (measure(solve(four(HALF, 2, room))) for room in (None, Room(SQUARE, 9 * FOOT)))
    assert white.plane_avg_lx > dark.plane_avg_lx
    assert white.ceiling_avg_lx > dark.ceiling_avg_lx == 0
    assert white.wall_over_plane > dark.wall_over_plane


def test_a_zone_that_is_dimmed_takes_its_share_away():
    solved = solve(four(HALF, 2, Room(SQUARE, 9 * FOOT)))
    both = measure(solved).plane_avg_lx
    one = measure(solved, Dims(zones={"B": 0.0})).plane_avg_lx
    assert one == pytest.approx(both / 2, rel=1e-4)  # the two zones mirror one another
    assert measure(solved, Dims(zones={"B": 0.5})).plane_avg_lx == pytest.approx(0.75 * both, rel=1e-4)


def one_light(room=None):
    room = room or black(((0, 0), (6, 0), (6, 5), (0, 5)), 3.0)
    return solve(Scene(room, (Light("1", 2, 2, 3, Lobe(500, 2)),)))


def test_a_face_gets_the_cosine_of_how_it_turns():
    """I sin / d^2 toward the light, less by the cosine of the bearing, nothing from behind."""
    solved, face = one_light(), np.array([[4.0, 2.0, 1.2]])
    toward = closed.at_point(closed.lobe_cd(500, 2, 1.8, 2), 1.8, 2).vertical_lx
    assert vertical(solved, face, 180)[0] == pytest.approx(toward)
    assert vertical(solved, face, 120)[0] == pytest.approx(toward / 2)
    assert vertical(solved, face, 0)[0] == 0


@pytest.mark.parametrize("at", [(4.0, 2.0, 1.2), (3.3, 4.1, 1.6), (1.0, 1.2, 1.2)])
def test_an_upright_cylinder_gets_a_piece_of_the_upright_level(at):
    """Of one light 1 / pi of what an upright surface facing it gets: closed form of the mean all round."""
    aside = math.hypot(at[0] - 2, at[1] - 2)
    facing = closed.at_point(closed.lobe_cd(500, 2, 3 - at[2], aside), 3 - at[2], aside).vertical_lx
    assert cylindrical(one_light(), np.array([at]))[0] == pytest.approx(facing / math.pi, rel=1e-3)


def test_a_cylinder_is_the_mean_of_random_bearings():
    """With white walls, against bearings at random, to four of their standard errors."""
    solved, at = one_light(Room(((0, 0), (6, 0), (6, 5), (0, 5)), 3.0)), np.array([[3.0, 4.0, 1.6]])
    bearings = np.random.default_rng(6).uniform(0, 360, 200)
    some = np.array([vertical(solved, at, float(bearing))[0] for bearing in bearings])
    assert abs(some.mean() - cylindrical(solved, at)[0]) < 4 * some.std() / math.sqrt(len(some))


def test_a_task_plane_is_read_in_a_true_room():
    """A board of a centimeter on the wall opposite: the level of its middle."""
    board = Task("board", (5.995, 2.005, 1.5), (0, -0.01, 0), (0, 0, 0.01))
    light = Light("1", 2, 2, 3, Lobe(500, 2))
    solved = solve(Scene(black(((0, 0), (6, 0), (6, 5), (0, 5)), 3.0), (light,), tasks=(board,)))
    wanted = closed.at_point(closed.lobe_cd(500, 2, 1.495, 3.995), 1.495, 3.995).vertical_lx
    (told,) = measure(solved).tasks
    assert told.average_lx == pytest.approx(wanted, rel=1e-3)




def test_a_target_is_met_or_short_by_so_much():
    told = measure(made_up((Light("1", 1, 1, 4, Lobe(100, 1), watts=32),)))
    asked = Target(200, 220, uniformity=0.6, wall_lux=75, ceiling_lux=20, wall_ratio=0.2, most_w_per_m2=7.5)
    lines = {line.asked: line for line in against(told, asked)}
    average = 800 / 3.5
    assert lines[Asked.PLANE].met and lines[Asked.PLANE].off == pytest.approx(average - 200)
    assert not lines[Asked.PLANE_MOST].met and lines[Asked.PLANE_MOST].off == pytest.approx(average - 220)
    assert not lines[Asked.UNIFORMITY].met
    assert not lines[Asked.WALLS].met and lines[Asked.WALLS].off == pytest.approx(54 - 75)
    assert lines[Asked.CEILING].met and lines[Asked.WALL_RATIO].met
    assert not lines[Asked.POWER].met and lines[Asked.POWER].off == pytest.approx(0.5)


def test_what_isn_t_asked_or_isn_t_known_has_no_line():
    assert against(measure(made_up()), Target()) == ()
    assert against(measure(made_up()), Target(most_w_per_m2=8)) == ()  # nobody's watts are known
