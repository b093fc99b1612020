"""Direct light against textbook examples, closed forms, and the lamp's own lumens."""

from dataclasses import dataclass, replace
from math import cos, pi, radians, sin, sqrt, tan

import numpy as np
import pytest

from layout.engine.light.direct import aim_of, pieces
from layout.engine.light.lobe import Lobe
from layout.engine.light.solve import solve
from layout.engine.light.values import Known, Opening, Room, Scene
from tests.engine.lit_rooms import ELL, FT, box, can, ell, mean, two_cans

BLACK = {"floor": 0.0, "ceiling": 0.0, "wall": 0.0}
HALL = {"wide": 60.0, "deep": 60.0, "height": 20.0, **BLACK}
UP, WEST = np.array([[0.0, 0, 1]]), np.array([[-1.0, 0, 0]])


def at(lights, point, normal=UP):
    """Lux in a black hall 60 m square and 20 m high, lights given from its middle."""
    moved = [replace(light, x=light.x + 30, y=light.y + 30) for light in lights]
    solved = solve(box(*moved, **HALL), step_m=4.0)
    return float(solved.at(np.array([point], dtype=float) + np.array([30, 30, 0]), normal)[0])


def test_a_lamp_of_1200_lm_8_m_up_lights_6_m_to_the_side_with_0_76_lx():
    """A Textbook of Electrical Technology, ch. 49, ex. 49.1. A lamp shining alike all round has flux/4pi candelas."""
    assert at([can("a", 0, 0, 8, 1200 / (4 * pi), 0)], (6, 0, 0)) == pytest.approx(0.76, abs=0.006)


def test_a_tenth_of_the_light_below_is_at_19_08_m_of_a_lamp_10_m_up():
    """The same, ex. 49.2."""
    lamp = [can("a", 0, 0, 10, 100, 0)]
    assert at(lamp, (19.083, 0, 0)) / at(lamp, (0, 0, 0)) == pytest.approx(0.1, rel=1e-4)


def test_four_lamps_in_a_row_and_four_in_a_square():
    """The same, ex. 49.3 (answer 6.163 lx by hand), and course slides: four of 250 cd, 6 m up, at a 4 m square."""
    row = [can(f"{n}", 10 * n - 15, 0, 5, 200, 0) for n in range(4)]
    assert at(row, (0, 0, 0)) == pytest.approx(6.163, abs=0.001)
    square = [can(f"{n}", x, y, 6, 250, 0) for n, (x, y) in enumerate(((-2, -2), (-2, 2), (2, -2), (2, 2)))]
    assert at(square, (0, 0, 0)) == pytest.approx(20.558, abs=0.001)


def test_the_corner_of_a_table_under_its_lamp():
    """Course slides, problem 2: 100 cd, 2.5 m up, corner of a 3 m square table."""
    assert at([can("a", 0, 0, 2.5, 100, 0)], (1.5, 1.5, 0)) == pytest.approx(7.093, abs=0.001)


def test_a_surface_turned_37_degrees_off_the_ray():
    """A school question bank: 628 lm all round, 1 m off: 40 lx with rounded sums, 39.91 exactly."""
    turned = np.array([[sin(radians(37)), 0, cos(radians(37))]])
    assert at([can("a", 0, 0, 2, 628 / (4 * pi), 0)], (0, 0, 1), turned) == pytest.approx(39.91, abs=0.005)


def test_a_matte_opening_falls_as_the_fourth_power_of_the_cosine():
    """25 lx 2.4 m below; 1.8 m to the side 25 x 0.8^4 = 10.24 lx."""
    lamp = [can("a", 0, 0, 2.4, 25 * 2.4**2, 1)]
    assert at(lamp, (1.8, 0, 0)) == pytest.approx(10.24, abs=1e-6)


def test_a_wall_and_a_shelf_at_one_point():
    """1000 cd, 1.2 m up and 0.9 m off: d = 1.5; shelf 1000 x 1.2 / 3.375, wall 1000 x 0.9 / 3.375."""
    lamp = [can("a", 0, 0, 1.2, 1000, 0)]
    assert at(lamp, (0.9, 0, 0)) == pytest.approx(355.556, abs=0.001)
    assert at(lamp, (0.9, 0, 0), WEST) == pytest.approx(266.667, abs=0.001)


@pytest.mark.parametrize(
    ("opening", "flux", "below", "lux"),
    [
        (Opening(0.6, 0.6), 360.0, 2.0, 27.815),
        (Opening(0.6, 0.6, 0, True), 1000 * pi * 0.09, 1.0, 82.569),
        (Opening(0.6, 0.6, 0, True), 1000 * pi * 0.09, 0.3, 500.0),
        (Opening(0.6, 0.6, 0, True), 1000 * pi * 0.09, 0.1, 900.0),
    ],
)
def test_a_panel_near_by_is_no_point(opening, flux, below, lux):
    """1000 lm/m2. Square: Siegel-Howell element to rectangle. Disk: M R2 / (R2 + h2)."""
    panel = [can("a", 0, 0, 3, flux / pi, 1, opening)]
    assert at(panel, (0, 0, 3 - below)) == pytest.approx(lux, rel=2e-3)


def test_five_openings_away_a_light_is_a_point_and_1_percent_off_at_most():
    """A disk of radius 0.09 m straight below: M R2 / (R2 + h2) = 8.0349 lx at 1 m, 8.1 as a point."""
    disk = [can("a", 0, 0, 3, 1000 * 0.09**2, 1, Opening(0.18, 0.18, 0, True))]
    assert at(disk, (0, 0, 2)) == pytest.approx(8.0349, rel=0.01)


@pytest.mark.parametrize("opening", [Opening(0.6, 1.2), Opening(0.3, 0.3, 0, True), Opening()])
@pytest.mark.parametrize("count", [1, 2, 3, 5, 8, 16])
def test_the_pieces_of_an_opening_have_all_its_light_and_its_middle(opening, count):
    places, shares = pieces(opening, count)
    assert shares.sum() == pytest.approx(1, abs=1e-12)
    assert (shares > 0).all()
    assert shares @ places == pytest.approx([0, 0], abs=1e-12)
    assert (np.abs(places) <= np.array([opening.length, opening.width]) / 2 + 1e-12).all()


def test_a_tilted_light_is_brightest_along_its_axis():
    """Tilted 30 degrees toward the far wall, 2 m up: the axis meets the floor at 2 tan 30; 900 cd over 4/cos2 30."""
    lamp = [can("a", 0, 0, 2, 900, 8, tilt_deg=30, toward_deg=90)]
    spot, facing = (0, 2 * tan(radians(30)), 0), np.array([[0, -sin(radians(30)), cos(radians(30))]])
    assert at(lamp, spot, facing) == pytest.approx(900 / (4 / cos(radians(30)) ** 2), rel=1e-9)
    assert at(lamp, (0, -spot[1], 0)) < at(lamp, spot) / 10


@dataclass(frozen=True)
class Lopsided:
    """100 cd toward its photometric 0 plane, 20 toward 90, 60 toward 180, 20 toward 270; nothing straight up."""

    known = Known.FILE
    flux_lm = 400.0
    opening = Opening()
    axial = False

    def candela(self, vertical_deg, horizontal_deg=None):
        turn = np.radians(horizontal_deg)
        return np.where(vertical_deg < 90, 20 + 60 * np.cos(turn) ** 2 + 20 * np.cos(turn), 0.0)


@pytest.mark.parametrize(("spin", "toward"), [(0, (1, 0)), (90, (0, 1)), (180, (-1, 0)), (450, (0, 1))])
def test_a_light_is_spun_on_the_plan(spin, toward):
    lamp = replace(can("a", 0, 0, 1, spin_deg=spin), emitter=Lopsided())
    there = np.array(toward)
    ahead, across, behind = there, np.array([-there[1], there[0]]), -there
    told = [at([lamp], (*place, 0)) * sqrt(2) ** 3 for place in (ahead, across, behind)]
    assert told == pytest.approx([100, 20, 60], rel=1e-9)


def test_tilting_turns_all_three_directions_of_a_light_together():
    aim = aim_of(can("a", 0, 0, tilt_deg=40, toward_deg=25, spin_deg=70))
    frame = np.array([aim.zero, aim.quarter, aim.axis])
    assert frame @ frame.T == pytest.approx(np.eye(3), abs=1e-12)
    upright = aim_of(can("a", 0, 0, tilt_deg=0, toward_deg=25))
    assert upright.axis == pytest.approx([0, 0, -1])
    assert aim_of(can("a", 0, 0, tilt_deg=90)).axis == pytest.approx([1, 0, 0], abs=1e-12)


@pytest.mark.parametrize("scene", [two_cans(), ell()], ids=["box", "L"])
def test_surfaces_get_the_lamps_lumens_and_nearer_with_a_finer_grid(scene):
    off = []
    for step in (0.5, 0.25, 0.127):
        balance = solve(scene, step_m=step).balance
        off.append(abs(balance.received / balance.emitted - 1))
    assert off[2] < 0.002
    assert off[2] < off[0]


def test_what_a_tilted_recessed_light_throws_above_its_ceiling_is_lost():
    """A lobe of power 1 tilted by t has (1 - cos t)/2 of its light above the horizon."""
    scene = box(can("a", 2, 1.5, power=1, tilt_deg=40))
    balance = solve(scene).balance
    assert balance.received / balance.emitted == pytest.approx((1 + cos(radians(40))) / 2, abs=0.003)


def test_no_light_goes_round_a_corner():
    scene = Scene(Room(ELL, 2.5, **BLACK), (can("a", 1.0, 3.5),))
    solved = solve(scene)
    floor, lux = solved.grid("floor").points, solved.lux("floor")
    arm, past_the_corner = floor[:, 0] > 2, floor[:, 1] - (3.5 - 1.5 * (floor[:, 0] - 1))
    assert (lux[arm & (past_the_corner > 1e-6)] == 0).all()
    assert (lux[~arm | (past_the_corner < -1e-6)] > 0).all()


@pytest.mark.parametrize(
    ("power", "told"),
    [
        (1.0, (441.50, 0.3753, 0.4753)),
        (2.0, (376.48, 0.2960, 0.3092)),
        (4.8188, (259.55, 0.1556, 0.1449)),
    ],
)
def test_the_plane_and_walls_of_a_room_laid_out_in_thirds(power, told):
    """12 x 12 ft, 9 ft ceiling, plane at 2.5 ft, 2 x 2 cans of 1000 cd at thirds: worked apart with 60 x 60 cells."""
    places = [4 * FT, 8 * FT]
    lights = [can(f"{x}{y}", x, y, 9 * FT, 1000, power) for x in places for y in places]
    scene = box(*lights, wide=12 * FT, deep=12 * FT, height=9 * FT, plane_m=2.5 * FT, **BLACK)
    solved = solve(scene, step_m=12 * FT / 60)
    plane = solved.lux("plane")
    walls = np.mean([mean(solved, f"wall {n}") for n in (1, 2, 3, 4)])
    assert (plane.mean(), plane.min() / plane.mean()) == pytest.approx(told[:2], rel=0.002)
    assert walls / plane.mean() == pytest.approx(told[2], rel=0.01)


def test_a_lobe_of_no_power_is_the_same_all_round():
    assert Lobe(50.0, 0.0).flux_lm == pytest.approx(100 * pi)
