"""The lumen method by hand, at its limits, and against rooms worked exactly."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.engine.light import closed, lumen_method
from layout.engine.light.lobe import Lobe
from layout.engine.light.losses import USUAL, WHOLE_CHAIN, Losses
from layout.engine.light.photometry import Photometry
from layout.engine.light.values import LightError

SHARES = st.floats(0, 0.99)


def three_surfaces(length, ratio, ceiling, wall, floor, direct):
    """Utilization of a room 1.6 to 1 by radiosity with exact factors: a second route."""
    width = length / 1.6
    height = ratio * length * width / (5 * (length + width))
    across = closed.box_factors(length, width, height)[0, 1]
    walls = 2 * height * (length + width) / (length * width)
    aside = 1 - across
    factors = np.array(
        [[0, across, aside], [across, 0, aside], [aside / walls, aside / walls, 1 - 2 * aside / walls]]
    )  # floor, ceiling, walls
    falls = np.array([direct, 0, (1 - direct) / walls])
    return np.linalg.solve(np.eye(3) - factors * np.array([floor, ceiling, wall]), falls)[0]


@pytest.mark.parametrize("ratio", [1, 2, 3, 4, 5])
def test_utilization_is_three_surfaces_sending_light_back_and_forth(ratio):
    """Within 2e-4 for a matt light at 80/50/20 (the fit of the form factor is off by up to 8e-4)."""
    use = lumen_method.utilization_of_lobe(1, ratio, 0.8, 0.5, 0.2)
    assert use.value == pytest.approx(three_surfaces(16, ratio, 0.8, 0.5, 0.2, use.direct_ratio), abs=2e-4)


def test_without_reflection_only_what_falls_straight_counts():
    assert lumen_method.utilization(3, 0.9, 0.7, 0, 0, 0) == pytest.approx(0.9 * 0.7)


def test_with_no_cavity_all_that_leaves_downward_arrives():
    """Lights on the plane itself, black room: 1. With a floor of .2 below and a ceiling of .8: 1 / (1 - .16)."""
    assert lumen_method.utilization_of_lobe(1, 0, 0, 0, 0).value == pytest.approx(1)
    assert lumen_method.utilization_of_lobe(1, 0, 0.8, 0.5, 0.2).value == pytest.approx(1 / (1 - 0.16))


def test_upward_light_comes_back_off_the_ceiling():
    """No cavity and a black floor: the ceiling's share of it."""
    assert lumen_method.utilization(0, 0, 0, 0.8, 0.5, 0, up_fraction=1) == pytest.approx(0.8)


@given(st.floats(0, 20), SHARES, SHARES, SHARES, st.floats(0, 1), st.floats(0, 1))
def test_no_reflectance_and_no_ratio_breaks_it(ratio, ceiling, wall, floor, direct, down):
    found = lumen_method.utilization(ratio, down, direct, ceiling, wall, floor)
    assert 0 <= found <= down * (1 / (1 - max(ceiling, wall, floor))) + 1e-9
    brighter = lumen_method.utilization(ratio, down, direct, ceiling, wall + (0.999 - wall) / 2, floor)
    assert brighter >= found - 1e-9


@given(st.floats(0.001, 20), SHARES, SHARES)
def test_a_cavity_gives_back_no_more_than_its_brightest_surface(ratio, base, wall):
    assert -1e-12 <= lumen_method.cavity_reflectance(base, wall, ratio) <= max(base, wall) + 0.0011


def test_a_cavity_of_no_height_is_its_base():
    assert lumen_method.cavity_reflectance(0.7, 0.1, 0) == 0.7


def test_any_plan_by_its_perimeter_and_area():
    """An L of 20 x 20 less 10 x 10: perimeter 80, area 300, so 2.5 x 6 x 80 / 300 = 4."""
    assert lumen_method.cavity_ratio(80, 300, 6) == pytest.approx(4)


def matt_table(steps=37):
    vertical = np.linspace(0, 180, steps)
    table = 100 * np.maximum(np.cos(np.radians(vertical)), 0)
    return Photometry(vertical, np.zeros(1), table[None])


def test_a_light_s_own_zones_are_the_lobe_s():
    """A table of the same cosine every degree: a lobe in all but name."""
    by_table = lumen_method.utilization_of(matt_table(181), 3, 0.8, 0.5, 0.2)
    by_lobe = lumen_method.utilization_of_lobe(1, 3, 0.8, 0.5, 0.2)
    assert by_table.value == pytest.approx(by_lobe.value, abs=1e-4)
    assert by_table.direct_ratio == pytest.approx(by_lobe.direct_ratio, abs=1e-4)


def test_what_shines_up_is_told_apart():
    vertical = np.linspace(0, 180, 181)
    level = 50 + 50 * np.cos(np.radians(vertical))  # 100 cd down, 0 up
    use = lumen_method.utilization_of(Photometry(vertical, np.zeros(1), level[None]), 2, 0.8, 0.5, 0.2)
    # Integral of (1 + c) dc from 0 to 1 over that from -1 to 1: 1.5 / 2.
    assert use.down_fraction == pytest.approx(0.75, abs=1e-4)
    assert use.up_fraction == pytest.approx(0.25, abs=1e-4)


def test_the_table_of_a_light_reads_as_it_is_reckoned():
    table = lumen_method.table_of(Lobe(500, 2))
    assert table.ratios == tuple(range(11)) and table.floor == 0.2
    assert table.at(3, 0.8, 0.5) == lumen_method.utilization_of_lobe(2, 3, 0.8, 0.5, 0.2).value
    middle = (table.at(2, 0.7, 0.3) + table.at(3, 0.7, 0.3)) / 2
    assert table.at(2.5, 0.7, 0.3) == pytest.approx(middle)
    columns = [[row[c][w] for row in table.values] for c in range(6) for w in range(3)]
    assert all(column == sorted(column, reverse=True) for column in columns)  # deeper rooms use less
    with pytest.raises(LightError, match="goes from 0 to 10"):
        table.at(11, 0.8, 0.5)


def test_a_count_that_is_whole_is_not_rounded_up():
    assert lumen_method.count(300, 20, 1000, 0.6, 0.5).count == 20
    assert lumen_method.count(300.1, 20, 1000, 0.6, 0.5).count == 21
    assert lumen_method.count(0, 20, 1000, 0.6, 0.5).count == 0


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        (lambda: lumen_method.utilization(-1, 1, 1, 0.5, 0.5, 0.5), "rcr"),
        (lambda: lumen_method.utilization(1, 1, 1, 1.0, 0.5, 0.5), "ceiling"),
        (lambda: lumen_method.utilization(1, 1, 1.1, 0.5, 0.5, 0.5), "direct_ratio"),
        (lambda: lumen_method.utilization(1, 0.8, 1, 0.5, 0.5, 0.5, 0.3), "up_fraction"),
        (lambda: lumen_method.cavity_reflectance(0.5, -0.1, 1), "wall"),
        (lambda: lumen_method.rectangle_ratio(0, 3, 1), "length"),
        (lambda: lumen_method.cavity_ratio(10, 0, 1), "area"),
        (lambda: lumen_method.form_factor(float("nan")), "ratio"),
        (lambda: lumen_method.level(1000, 0.5, 0.8, 0), "area_m2"),
        (lambda: lumen_method.count(300, 20, 1000, 0, 0.8), "utilization"),
        (lambda: lumen_method.direct_ratio([0] * 9, 1), "zones"),
    ],
)
def test_what_can_t_be_is_refused_by_name(asked, field):
    with pytest.raises(LightError) as refused:
        asked()
    assert refused.value.field == field


def test_losses_are_a_chain():
    """.9 x .95 x .98 x 1 x .97 = .812763, multiplied by hand."""
    losses = Losses(0.9, 0.95, 0.98, 1, 0.97)
    assert losses.factor == pytest.approx(0.812763)
    chain = losses.chain
    assert [link.name for link in chain] == ["lld", "ldd", "rsdd", "lbo", "other"]
    assert [link.left for link in chain] == pytest.approx([0.9, 0.855, 0.8379, 0.8379, 0.812763])
    assert WHOLE_CHAIN[0] <= USUAL.factor <= WHOLE_CHAIN[1]


@pytest.mark.parametrize("share", [0, -0.5, 1.01, float("nan")])
def test_a_loss_that_is_no_share_is_refused_by_name(share):
    with pytest.raises(LightError) as refused:
        Losses(ldd=share)
    assert refused.value.field == "ldd"
