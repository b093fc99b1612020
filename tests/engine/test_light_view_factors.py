"""View factors against published values, against sums that have to be 1, and against each other's route.

Printed values: Siegel & Howell, Thermal Radiation Heat Transfer, 4th ed., as a heat-transfer function library quotes
them (.4756, .4153, .07235 and .07182), and tables from the closed forms of Howell's catalog that quadrature confirmed.
"""

from itertools import pairwise

import numpy as np
import pytest

from layout.engine.light.view_factors import (
    opposed,
    pair_by_pair,
    parallel_exchange,
    perpendicular,
    perpendicular_exchange,
)


def lines(*at):
    return np.array(at, dtype=float)


def test_the_printed_opposed_rectangles():
    assert opposed(1, 1.5, 0.5) == pytest.approx(0.4756, abs=5e-5)
    assert opposed(2, 2, 1) == pytest.approx(0.4153, abs=5e-5)


@pytest.mark.parametrize(
    ("x", "row"),
    [
        (0.5, (0.0686, 0.1167, 0.1653, 0.2059)),
        (1, (0.1167, 0.1998, 0.2859, 0.3592)),
        (2, (0.1653, 0.2859, 0.4153, 0.5299)),
        (5, (0.2059, 0.3592, 0.5299, 0.6902)),
    ],
)
def test_the_table_of_opposed_rectangles(x, row):
    assert [opposed(x, y, 1) for y in (0.5, 1, 2, 5)] == pytest.approx(row, abs=5.1e-5)


@pytest.mark.parametrize(
    ("height", "row"),
    [(0.5, (0.2406, 0.1462, 0.0787)), (1, (0.2924, 0.2000, 0.1164)), (2, (0.3146, 0.2329, 0.1493))],
)
def test_the_table_of_rectangles_on_one_edge(height, row):
    assert [perpendicular(width, height, 1) for width in (0.5, 1, 2)] == pytest.approx(row, abs=5.1e-5)


def test_a_cube_sends_a_fifth_each_way_and_all_of_it():
    across, beside = opposed(1, 1, 1), perpendicular(1, 1, 1)
    assert (across, beside) == pytest.approx((0.199825, 0.200044), abs=1e-6)
    assert across + 4 * beside == pytest.approx(1, abs=1e-12)


def test_the_printed_rectangles_apart_from_their_edge():
    """Floor from .1 to .6 off the edge, wall from .2 to .5 up it, both .5 long (printed .07182)."""
    long = lines(0, 0.5)
    exchange = perpendicular_exchange(long, lines(0.1, 0.6), long, lines(0.2, 0.5))[0, 0]
    assert exchange / (0.5 * 0.5) == pytest.approx(0.07182, abs=5e-6)


def test_a_room_of_4_by_3_by_2_5_m():
    told = [opposed(4, 3, 2.5), perpendicular(3, 2.5, 4), perpendicular(4, 2.5, 3)]
    assert told == pytest.approx((0.29207, 0.20352, 0.15044), abs=1e-5)
    assert told[0] + 2 * told[1] + 2 * told[2] == pytest.approx(1, abs=1e-12)


def test_far_apart_two_rectangles_are_two_points():
    """1/(pi d2): the point formula, which the closed form has to reach without losing its digits."""
    assert opposed(1, 1, 1e4) == pytest.approx(1 / (np.pi * 1e8), rel=1e-4)


def test_offset_rectangles_agree_with_sums_over_many_points():
    across = lines(0, 0.7, 1.0)
    exchange = parallel_exchange(across, across, lines(1.5, 2.5), lines(-1, 0.3), 0.8)
    at, weights = np.polynomial.legendre.leggauss(24)
    for cell, (x, y) in enumerate((x, y) for y in pairwise(across) for x in pairwise(across)):
        points = [(a + (b - a) * (at + 1) / 2, (b - a) / 2 * weights) for a, b in (x, y, (1.5, 2.5), (-1, 0.3))]
        (px, wx), (py, wy), (qx, vx), (qy, vy) = points
        square = (
            (px[:, None, None, None] - qx[None, None, :, None]) ** 2
            + (py[None, :, None, None] - qy[None, None, None, :]) ** 2
            + 0.8**2
        )
        told = np.einsum("abcd,a,b,c,d->", 0.8**2 / (np.pi * square**2), wx, wy, vx, vy)
        assert exchange[cell, 0] == pytest.approx(told, rel=1e-9)


def from_points(points, normals, polygons, fronts):
    """Each point to each polygon: (n, m)."""
    n, m = (each.ravel() for each in np.indices((len(points), len(polygons))))
    return pair_by_pair(points, normals, polygons, fronts, n, m).reshape(len(points), len(polygons))


def test_a_contour_from_points_agrees_with_the_closed_form_above_and_cut_by_the_horizon():
    wall = np.array([[[1, 0, 0], [1, 0, 1], [1, 1, 1], [1, 1, 0]]], dtype=float)
    at, weights = np.polynomial.legendre.leggauss(20)
    x, y = (each.ravel() for each in np.meshgrid((at + 1) / 2, (at + 1) / 2))
    points, shares = np.stack([x, y, 0 * x], axis=1), np.outer(weights, weights).ravel() / 4
    up, front = np.tile([0.0, 0, 1], (len(x), 1)), np.array([[-1.0, 0, 0]])
    assert shares @ from_points(points, up, wall, front)[:, 0] == pytest.approx(perpendicular(1, 1, 1), rel=1e-3)
    half_sunk = wall - [0, 0, 0.5]
    assert shares @ from_points(points, up, half_sunk, front)[:, 0] == pytest.approx(perpendicular(1, 0.5, 1), rel=1e-3)


def test_a_point_sees_nothing_of_a_polygon_from_behind():
    wall = np.array([[[1, 0, 0], [1, 0, 1], [1, 1, 1], [1, 1, 0]]], dtype=float)
    behind = np.array([[2.0, 0.5, 0.5]])
    assert from_points(behind, np.array([[-1.0, 0, 0]]), wall, np.array([[-1.0, 0, 0]]))[0, 0] == 0


def test_a_point_under_a_panel_of_light():
    """A 0.6 m square panel of 1000 lm/m2, 2 m above: 27.815 lx (Siegel-Howell element to rectangle)."""
    panel = np.array([[[-0.3, -0.3, 2], [-0.3, 0.3, 2], [0.3, 0.3, 2], [0.3, -0.3, 2]]])
    factor = from_points(np.zeros((1, 3)), np.array([[0.0, 0, 1]]), panel, np.array([[0.0, 0, -1]]))[0, 0]
    assert 1000 * factor == pytest.approx(27.815, abs=0.001)
