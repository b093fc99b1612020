"""Light in closed form: laws it has to keep, second routes to its numbers, and what it refuses."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.engine.light import closed
from layout.engine.light.lobe import Lobe, power_of
from layout.engine.light.photometry import spacing_criterion
from layout.engine.light.values import LightError

SIZES = st.floats(0.5, 30)


def summed_panel(length, width, height, cells=400):
    """Under the center of a matt panel of 1 lm/m2, cell by cell: cos cos / (pi d^2)."""
    x = (np.arange(cells) + 0.5) / cells - 0.5
    at_x, at_y = np.meshgrid(x * length, x * width)
    square = at_x**2 + at_y**2 + height**2
    return float((height**2 / (np.pi * square**2)).mean() * length * width)


@pytest.mark.parametrize(("length", "width", "height"), [(0.6, 0.6, 2), (1.2, 0.3, 0.4), (3, 2, 1)])
def test_a_panel_is_the_sum_of_its_cells(length, width, height):
    assert closed.under_panel(length, width, 1, height) == pytest.approx(summed_panel(length, width, height), rel=1e-4)


def test_close_to_a_large_panel_or_disk_there_is_its_own_exitance():
    assert closed.under_panel(1000, 1000, 500, 0.01) == pytest.approx(500, rel=1e-4)
    assert closed.under_disk(1000, 500, 0.01) == pytest.approx(500, rel=1e-4)


def test_five_sizes_away_a_disk_is_a_point_to_one_percent():
    """Exactly 1 % at five diameters: M R^2 / h^2 over M R^2 / (R^2 + h^2) is 1 + 1/100."""
    height = 5 * 2 * 0.1
    point = closed.at_point(1000 * math.pi * 0.1**2 / math.pi, height, 0).horizontal_lx
    assert point / closed.under_disk(0.1, 1000, height) == pytest.approx(1.01)


def test_a_bare_source_lights_a_point_aside_the_most_from_root_half_of_it_above():
    """The course slides' relation h = x / root 2, here by trying heights a millimeter apart."""
    heights = np.arange(0.5, 4, 0.001)
    lux = [closed.at_point(100, float(height), 2).horizontal_lx for height in heights]
    assert heights[int(np.argmax(lux))] == pytest.approx(closed.brightest_height(2), abs=0.001)


@pytest.mark.parametrize("beam", [25, 40, 60, 90, 120])
def test_spacing_of_a_lobe_is_where_the_middle_matches(beam):
    """By the level itself, and by the search that any light's own table goes through."""
    power = power_of(beam)
    parallel, diagonal = closed.lobe_spacing(power)

    def level(aside):
        return closed.at_point(closed.lobe_cd(1000, power, 1, aside), 1, aside).horizontal_lx

    assert 2 * level(parallel / 2) == pytest.approx(level(0))
    assert 4 * level(diagonal / math.sqrt(2)) == pytest.approx(level(0))
    assert spacing_criterion(Lobe(1000, power)) == pytest.approx((parallel, diagonal), rel=1e-6)


def test_a_tilted_surface_gets_the_cosine_and_nothing_from_behind():
    assert closed.tilted(200, 2, 60) == pytest.approx(25)
    assert closed.tilted(200, 2, 91) == 0


def test_scallop_and_circle_belong_together():
    """At the depth of the scallop's top the beam's circle just reaches the wall."""
    depth = closed.scallop_top(0.6, 30)
    assert closed.beam_circle(60, depth) / 2 == pytest.approx(0.6)


@given(SIZES, SIZES, SIZES)
def test_what_leaves_a_surface_of_a_box_arrives_on_the_others(length, width, height):
    factors = closed.box_factors(length, width, height)
    areas = np.repeat([length * width, length * height, width * height], 2)
    assert factors.sum(axis=1) == pytest.approx(np.ones(6), abs=1e-9)
    assert factors * areas[:, None] == pytest.approx((factors * areas[:, None]).T, rel=1e-9)


@given(SIZES, SIZES, SIZES, st.floats(0, 0.95), st.floats(0, 0.95), st.floats(0, 0.95))
def test_a_box_takes_up_all_the_light_that_falls_in_it(length, width, height, floor, ceiling, wall):
    lit = closed.box(length, width, height, floor=floor, ceiling=ceiling, wall=wall, flux_lm=(700, 100, 50, 50, 50, 50))
    lumens = (
        lit.floor_lx * length * width * (1 - floor)
        + lit.ceiling_lx * length * width * (1 - ceiling)
        + 2 * (lit.length_wall_lx * length + lit.width_wall_lx * width) * height * (1 - wall)
    )
    assert lumens == pytest.approx(1000, rel=1e-9)


def test_a_black_box_sends_nothing_back():
    lit = closed.box(4, 3, 2.5, floor=0, ceiling=0, wall=0, flux_lm=(3000, 0, 0, 0, 0, 0))
    assert (lit.floor_lx, lit.ceiling_lx, lit.length_wall_lx, lit.width_wall_lx) == (250, 0, 0, 0)


def test_the_finer_the_cells_the_nearer_to_the_flux():
    """One matt light, black and low: what falls on plane and walls below the ceiling adds up to its lumens.

    The plane is the floor here, so all the downward flux is caught: pi x 1000 cd.
    """
    caught = []
    for grid in (20, 80):
        lit = closed.direct_room(5, 4, 3, 0, [(2, 1.5)], Lobe(1000, 1), grid)
        caught.append(lit.plane_avg_lx * 20 + lit.wall_avg_lx * 2 * (5 + 4) * 3)
    errors = [abs(each / (1000 * math.pi) - 1) for each in caught]
    assert errors[1] < errors[0] < 0.01 and errors[1] < 1e-3


def test_a_wall_counts_by_its_area():
    lit = closed.direct_room(8, 2, 3, 0.8, [(4, 1)], Lobe(1000, 1), 20)
    door, right, far, left = lit.walls_lx
    assert lit.wall_avg_lx == pytest.approx((8 * door + 2 * right + 8 * far + 2 * left) / 20)
    assert door == pytest.approx(far) and left == pytest.approx(right)


ROOM = {"length_m": 4, "width_m": 3, "ceiling_m": 2.5, "plane_m": 0.8, "lights_m": [(1, 1)], "grid": 10}


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        (lambda: closed.at_point(100, 0, 1), "height_m"),
        (lambda: closed.under_panel(1, 0, 100, 1), "width_m"),
        (lambda: closed.under_disk(1, 100, 0), "height_m"),
        (lambda: closed.beam_circle(180, 2), "beam_deg"),
        (lambda: closed.scallop_top(1, 90), "half_beam_deg"),
        (lambda: closed.lobe_spacing(-1), "power"),
        (lambda: closed.tilted(100, 0, 10), "distance_m"),
        (lambda: closed.box(4, 3, 2, floor=1, ceiling=0, wall=0, flux_lm=(1, 0, 0, 0, 0, 0)), "floor"),
        (lambda: closed.box(4, 0, 2, floor=0, ceiling=0, wall=0, flux_lm=(1, 0, 0, 0, 0, 0)), "width_m"),
        (lambda: closed.direct_room(**ROOM | {"plane_m": 2.5}, lobe=Lobe(1, 1)), "plane"),
        (lambda: closed.direct_room(**ROOM | {"lights_m": []}, lobe=Lobe(1, 1)), "lights"),
        (lambda: closed.direct_room(**ROOM | {"lights_m": [(5, 1)]}, lobe=Lobe(1, 1)), "lights"),
        (lambda: closed.direct_room(**ROOM | {"grid": 0}, lobe=Lobe(1, 1)), "grid"),
    ],
)
def test_what_can_t_be_is_refused_by_name(asked, field):
    with pytest.raises(LightError) as refused:
        asked()
    assert refused.value.field == field
