"""Flux, angles, spacing and zones of lights whose answers are known in closed form. Lights are invented."""

import math

import numpy as np
import pytest

from layout.engine.light import lobe
from layout.engine.light.lobe import Lobe
from layout.engine.light.photometry import (
    Against,
    Photometry,
    beam_deg,
    down_fraction,
    field_deg,
    polar,
    scaled,
    spacing_criterion,
    zonal_lumens,
)
from layout.engine.light.values import Known, LightError

ROUND = np.array([0.0])
FINE = np.arange(0.0, 90.1, 0.5)


def table_of(candela, vertical=FINE, horizontal=ROUND):
    grid = [[candela(v, h) for v in vertical] for h in horizontal]
    return Photometry(np.asarray(vertical, float), np.asarray(horizontal, float), np.array(grid, float))


def cosine_power(power):
    return lambda vertical, horizontal: 1000 * max(math.cos(math.radians(vertical)), 0.0) ** power


# --- a lobe from beam and lumens ---


@pytest.mark.parametrize(
    ("power", "flux", "peak"),
    [(1, 1000, 1000 / math.pi), (0, 1000, 1000 / (2 * math.pi)), (3, 1000, 2000 / math.pi)],
)
def test_the_peak_of_a_lobe_is_its_lumens_times_n_plus_1_over_two_pi(power, flux, peak):
    """Lambert's pi, the half space's two pi, and their like: closed forms. 1000 lm at n = 1: 318.31 cd."""
    assert lobe.peak_of(flux, power) == pytest.approx(peak)
    assert Lobe(peak, power).flux_lm == pytest.approx(flux)


@pytest.mark.parametrize(("beam", "power"), [(120, 1), (90, 2), (60, 4.81884), (40, 11.1434)])
def test_the_power_of_a_lobe_has_half_its_peak_at_half_the_beam(beam, power):
    """cos 60 is a half; cos 45 squared is a half; the other two are worked by logarithms to six digits."""
    assert lobe.power_of(beam) == pytest.approx(power, rel=1e-5)
    assert lobe.beam_of(power) == pytest.approx(beam, rel=1e-5)


def test_the_field_of_a_60_degree_lobe_is_103_35_degrees():
    assert lobe.field_of(4.81884) == pytest.approx(103.349, abs=0.001)


def test_a_lobe_shines_ahead_only_and_is_the_same_all_round():
    light = lobe.from_beam(120, math.pi * 100)
    assert light.candela(np.array([0.0, 60.0, 90.0, 120.0, 180.0])) == pytest.approx([100, 50, 0, 0, 0], abs=1e-9)
    assert light.candela(np.array([60.0]), np.array([33.0])) == pytest.approx([50])
    assert Lobe(100, 0).candela(np.array([0.0, 89.0, 91.0])) == pytest.approx([100, 100, 0])
    assert (light.axial, light.known) == (True, Known.LOBE)


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: lobe.power_of(0), "beam_deg"),
        (lambda: lobe.power_of(180), "beam_deg"),
        (lambda: lobe.power_of(math.nan), "beam_deg"),
        (lambda: lobe.from_beam(60, 0), "flux_lm"),
        (lambda: lobe.from_beam(60, math.inf), "flux_lm"),
        (lambda: Lobe(-5, 1), "peak_cd"),
        (lambda: Lobe(100, -1), "power"),
        (lambda: Lobe(100, math.inf), "power"),
    ],
)
def test_an_absurd_lobe_is_refused_by_field(make, field):
    with pytest.raises(LightError) as refused:
        make()
    assert refused.value.field == field


# --- flux ---


def test_a_table_of_one_intensity_has_its_solid_angle_times_it():
    """4 pi for the sphere, 2 pi for the half space: exact for any angles."""
    assert table_of(lambda v, h: 10, [0, 40, 180]).flux_lm == pytest.approx(40 * math.pi)
    assert table_of(lambda v, h: 10, [0, 7, 90], [0, 100, 360]).flux_lm == pytest.approx(20 * math.pi)


def test_the_flux_of_chords_is_exact_even_on_the_coarsest_table():
    """From 90 cd straight down to 0 at 90 degrees in a straight line: 2 pi times the integral of (90 - v) sin v.

    By parts that is 90 - 180/pi degrees of candela: 2 pi (90 - 57.2958) = 205.49 lm.
    """
    assert table_of(lambda v, h: 90 - v, [0, 90]).flux_lm == pytest.approx(2 * math.pi * (90 - 180 / math.pi))


@pytest.mark.parametrize("step", [10, 5, 2.5])
def test_the_flux_of_a_table_comes_closer_to_the_curve_it_was_taken_from_as_its_steps_shrink(step):
    """Chords of a cosine lose a twelfth of the step squared (from memory): 0.06 % at 5 degrees."""
    flux = table_of(cosine_power(1), np.arange(0, 90.1, step)).flux_lm
    assert 1 - flux / (1000 * math.pi) == pytest.approx(math.radians(step) ** 2 / 12, rel=0.02)


def test_the_flux_is_the_sum_over_any_zones_and_half_is_below_30_degrees_times_two():
    """Of a Lambertian light the share within v is sin squared v: a quarter within 30, half within 45 degrees."""
    light = table_of(cosine_power(1))
    tens = zonal_lumens(light)
    assert len(tens) == 18
    assert tens.sum() == pytest.approx(light.flux_lm, rel=1e-12)
    assert tens[:3].sum() / light.flux_lm == pytest.approx(0.25, abs=1e-4)
    assert zonal_lumens(light, 45)[0] / light.flux_lm == pytest.approx(0.5, abs=1e-4)
    assert zonal_lumens(light, 7).sum() == pytest.approx(light.flux_lm, rel=1e-12)
    assert zonal_lumens(Lobe(1000, 1))[:3].sum() == pytest.approx(250 * math.pi, rel=1e-9)


def test_zones_add_up_for_a_light_that_differs_all_round():
    light = table_of(lambda v, h: (90 - v) * (1 + h % 360 / 360), [0, 20, 33, 90], [0, 10, 200, 360])
    assert zonal_lumens(light, 10).sum() == pytest.approx(light.flux_lm, rel=1e-12)


def test_the_share_that_goes_down():
    both = table_of(lambda v, h: 30 if v <= 90 else 10, [0, 90, 90.0001, 180])
    assert down_fraction(both) == pytest.approx(0.75, abs=1e-5)
    assert down_fraction(Lobe(100, 3)) == 1


def test_scaling_changes_the_lumens_and_not_the_shape():
    light = table_of(cosine_power(2))
    brighter = scaled(light, 2 * light.flux_lm)
    assert brighter.flux_lm == pytest.approx(2 * light.flux_lm)
    assert brighter.candela(np.array([30.0])) == pytest.approx(2 * light.candela(np.array([30.0])))
    assert scaled(Lobe(100, 1), 500).flux_lm == pytest.approx(500)
    with pytest.raises(LightError, match="Lumens"):
        scaled(light, 0)


# --- between the angles ---


def test_intensity_is_linear_between_the_angles_and_nothing_beyond_them():
    light = table_of(lambda v, h: 90 - v, [0, 30, 90])
    assert light.candela(np.array([[0.0, 15.0], [60.0, 91.0]])) == pytest.approx(np.array([[90, 75], [30, 0]]))


def test_around_the_turn_it_is_linear_too_and_any_turn_will_do():
    light = table_of(lambda v, h: {0: 100, 90: 200, 180: 300, 270: 200, 360: 100}[h], [0, 90], [0, 90, 180, 270, 360])
    around = np.array([0.0, 45.0, 359.0, 360.0, -45.0, 405.0, 225.0])
    expected = [100, 150, 100 + 100 / 90, 100, 150, 150, 250]
    assert light.candela(np.full(7, 20.0), around) == pytest.approx(expected)
    assert light.candela(np.array([20.0]), np.zeros((3, 1))).shape == (3, 1)


def test_every_angle_of_the_table_gives_its_own_value_back():
    source = np.random.default_rng(5)
    values = source.uniform(0, 1000, (5, 7))
    vertical, horizontal = np.array([0, 3, 10, 20, 45, 77, 90.0]), np.array([0, 17, 100, 275, 360.0])
    values[-1] = values[0]
    light = Photometry(vertical, horizontal, values)
    down, around = np.meshgrid(vertical, horizontal)
    assert light.candela(down, around) == pytest.approx(values)


def test_a_light_that_differs_all_round_asks_for_the_direction():
    light = table_of(lambda v, h: 1 + h % 360, [0, 90], [0, 180, 360])
    assert not light.axial
    with pytest.raises(LightError, match="horizontal"):
        light.candela(np.array([10.0]))
    assert table_of(lambda v, h: 5, [0, 90], [0, 180, 360]).axial


@pytest.mark.parametrize(
    ("vertical", "horizontal", "values"),
    [
        ([0, 90], [0], [[1, 2, 3]]),
        ([0, 90, 80], [0], [[1, 2, 3]]),
        ([0, 90], [0, 180], [[1, 2], [1, 2]]),
        ([0, 90], [0, 360], [[1, 2], [1, 3]]),
        ([0, 90], [0], [[1, -2]]),
        ([0, 90], [0], [[1, math.nan]]),
        ([0, 90], [0], [[0, 0]]),
    ],
)
def test_what_is_no_table_of_light_is_refused(vertical, horizontal, values):
    with pytest.raises(LightError):
        Photometry(np.array(vertical, float), np.array(horizontal, float), np.array(values, float))


# --- beam and field ---


@pytest.mark.parametrize(("power", "beam", "field"), [(1, 120, 168.522), (2, 90, 143.130)])
def test_beam_and_field_of_a_cosine_power(power, beam, field):
    """cos 60 = 1/2 and cos 84.261 = 1/10; cos 45 and cos 71.565 squared: from a table of cosines."""
    for light in (Lobe(500, power), table_of(cosine_power(power))):
        assert beam_deg(light) == pytest.approx(beam, abs=0.01)
        assert field_deg(light) == pytest.approx(field, abs=0.01)


BATWING = table_of(lambda v, h: np.interp(v, [0, 30, 60, 90], [100, 300, 0, 0]), [0, 30, 60, 90])


def test_beam_angles_of_a_batwing_differ_by_what_they_are_a_share_of():
    """300 cd at 30 degrees falls to 0 at 60: half of it, 150, at 45; half of the center's 100, 50, at 55 degrees."""
    assert beam_deg(BATWING) == pytest.approx(90)
    assert beam_deg(BATWING, Against.CENTER) == pytest.approx(110)
    assert field_deg(BATWING) == pytest.approx(114)
    assert field_deg(BATWING, Against.CENTER) == pytest.approx(118)


def test_a_light_dark_along_its_axis_has_no_share_of_a_center_beam():
    dark = table_of(lambda v, h: v, [0, 45, 90])
    with pytest.raises(LightError, match="along the axis"):
        beam_deg(dark, Against.CENTER)


def oval(vertical, horizontal):
    """Straight to nothing at 40 degrees in the 0-180 plane, at 80 in the 90-270 plane, between them between."""
    across = abs(horizontal % 180 - 90) / 90  # 1 in the 0-180 plane
    reach = 80 - 40 * across
    return max(0.0, 100 * (1 - vertical / reach))


def test_an_oval_beam_has_an_angle_in_each_plane_and_their_mean():
    """Half of a straight fall to 40 degrees is at 20: 40 across; to 80 it is at 40: 80 across."""
    light = table_of(oval, np.arange(0, 91, 10), np.arange(0, 361, 90))
    assert beam_deg(light, plane_deg=0) == pytest.approx(40)
    assert beam_deg(light, plane_deg=90) == pytest.approx(80)
    assert beam_deg(light) == pytest.approx(60)


def test_a_light_that_never_falls_to_half_has_the_whole_half_space():
    assert beam_deg(Lobe(100, 0)) == 180
    assert beam_deg(table_of(lambda v, h: 10, [0, 90])) == 180


def test_the_beam_of_an_uplight_is_told_upward():
    up = table_of(lambda v, h: 100 * max(-math.cos(math.radians(v)), 0), np.arange(90, 180.1, 0.5))
    assert beam_deg(up) == pytest.approx(120, abs=0.01)


# --- spacing ---


@pytest.mark.parametrize(
    ("power", "row", "square"),
    [(0, 1.5328, 1.7435), (1, 1.2872, 1.4142), (4.81884, 0.8809, 0.9226), (11.1434, 0.6418, 0.6581)],
)
def test_the_spacing_criterion_of_a_cosine_power(power, row, square):
    """2 tan of the angle whose cosine to n + 3 is a half, sqrt 2 tan of that for a quarter: worked by hand."""
    for light in (Lobe(500, power), table_of(cosine_power(power))):
        found = spacing_criterion(light)
        assert found[0] == pytest.approx(row, abs=2e-4)
        assert found[1] == pytest.approx(square, abs=2e-4)


def test_of_an_oval_light_the_narrow_way_sets_the_spacing_of_a_row():
    """In its narrow plane (1 - v/40) cos v cubed is a half at 17.096 degrees, 0.5726 x 0.8732: twice its tangent."""
    light = table_of(oval, np.arange(0, 91, 10), np.arange(0, 361, 90))
    assert spacing_criterion(light)[0] == pytest.approx(0.61513, abs=1e-5)


def test_a_file_whose_planes_differ_straight_down_has_each_held_against_its_own():
    """Each plane falls as the cosine, 1000 cd in one, 1 cd in the one across: by its shape a Lambertian light."""
    planes = np.arange(0, 361, 90)
    light = table_of(lambda v, h: math.cos(math.radians(v)) * (1 if h % 180 else 1000), np.arange(0, 91, 5), planes)
    assert spacing_criterion(light) == pytest.approx((1.2872, 1.4142), abs=0.002)


def test_a_light_dark_straight_down_has_no_spacing_criterion():
    with pytest.raises(LightError, match="straight down"):
        spacing_criterion(table_of(lambda v, h: v, [0, 45, 90]))


# --- curves ---


def test_curves_to_draw_are_one_when_round_and_four_half_planes_otherwise():
    (curve,) = polar(Lobe(100, 1))
    assert (curve.plane_deg, curve.candela[0], curve.candela[60], curve.candela[180]) == (0, 100, pytest.approx(50), 0)
    curves = polar(table_of(oval, np.arange(0, 91, 10), np.arange(0, 361, 90)))
    assert [each.plane_deg for each in curves] == [0, 90, 180, 270]
    assert np.interp(20, curves[0].vertical_deg, curves[0].candela) == pytest.approx(50)
    assert np.interp(20, curves[3].vertical_deg, curves[3].candela) == pytest.approx(75)
    assert curves[0].vertical_deg[-1] == 180
