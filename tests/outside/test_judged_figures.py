"""Figures of light and sound against numbers worked apart from them, each by a route that the engine does not take.

Sources: mpmath with 50 digits for the view factors (Howell's catalogue, C-11 and C-14), radiosity solved with them and
panels integrated strip by strip; mirrored sources summed one by one with the same complex wave number for bass.
No published number stands behind these; the formulas are the published ones.
"""

import pytest

from reports.figures.registry import reckon

SIX_SEATS = [[x * 6, y * 4.5, 1.1] for x in (0.5, 0.65) for y in (0.3, 0.5, 0.7)]
BASS = {"room_m": [6, 4.5, 2.7], "c": 343}
CORNERS = [[0, 0, 0], [0, 4.5, 0], [6, 0, 0], [6, 4.5, 0]]
TWO_MIDPOINTS = [[3, 0, 0], [3, 4.5, 0]]


@pytest.mark.parametrize(
    ("inputs", "value"),
    [
        ({"kind": "perpendicular", "common_edge": 4, "from_depth": 0.5, "to_height": 6}, 0.4246361290679958),
        ({"kind": "parallel", "length": 40, "width": 0.1, "distance": 3}, 0.015867899253080988),
    ],
)
def test_view_factors_of_long_and_narrow_surfaces(inputs, value):
    assert reckon("light.view_factor", inputs)["value"] == pytest.approx(value, rel=1e-10)


def test_a_box_wider_than_long():
    """Its long walls are those along the width. Six patches, solved with 50 digits."""
    room = {"length_m": 3, "width_m": 7.5, "height_m": 2.4, "floor": 0.3, "ceiling": 0.8, "wall": 0.6}
    found = reckon("light.box", room | {"flux_on_floor_lm": 5000})
    assert (found["floor_lx"], found["ceiling_lx"]) == pytest.approx((251.22366947, 44.16631227), rel=1e-9)
    assert (found["long_wall_lx"], found["short_wall_lx"]) == pytest.approx((42.16144503, 41.20729032), rel=1e-9)


def test_a_long_panel():
    panel = {"length_m": 1.2, "width_m": 0.3, "exitance_lm_m2": 4000, "height_m": 1.8}
    assert reckon("light.panel", panel)["lx"] == pytest.approx(131.35236429968, rel=1e-12)


def test_the_floor_cavity_of_the_worksheet_and_a_60_degree_light():
    """Three surfaces solved instead of the closed form; cavity ratio 1.15 is the student worksheet's (seen)."""
    cavity = {"base": 0.2, "wall": 0.5, "ratio": 1.15}
    assert reckon("light.cavity_reflectance", cavity)["percent"] == pytest.approx(19.050217, rel=1e-7)
    lobe = {"power": 4.81884, "rcr": 2.5, "ceiling": 0.7, "wall": 0.5, "floor": 0.2}
    assert reckon("light.utilization_lobe", lobe)["value"] == pytest.approx(0.9498021979, rel=1e-9)


@pytest.mark.parametrize(("f_hz", "db"), [(28, 8.358921434548), (64, -6.305624832380)])
def test_bass_of_a_damped_room(f_hz, db):
    """Mirrored sources to 1e-6 dB, and to 1e-9 dB the modes of the plan summed one by one."""
    place = {"source_m": [1.2, 0.7, 0.3], "receiver_m": [4.1, 3.2, 1.1], "f_hz": f_hz, "t60_s": 0.3}
    assert reckon("sound.box", BASS | place)["db"] == pytest.approx(db, abs=1e-7)


@pytest.mark.parametrize(("subs", "db"), [(CORNERS, 2.22366639), (TWO_MIDPOINTS, 6.28304390)])
def test_the_spread_of_seats_for_four_corners_and_two_midpoints(subs, db):
    """The six seats of the worked case at 38 Hz; by mirrored sources 2.2237 and 6.2832."""
    found = reckon("sound.seat_spread", BASS | {"subs_m": subs, "seats_m": SIX_SEATS, "f_hz": 38, "t60_s": 0.5})
    assert found["db"] == pytest.approx(db, abs=1e-6)


@pytest.mark.parametrize("mode", [(1, 0), (0, 3), (1, 1), (3, 5), (2, 1), (2, 2), (6, 4)])
def test_quarter_points_leave_odd_modes_and_those_twice_them_alone(mode):
    """cos(n pi / 4) + cos(3 n pi / 4) is 2 cos(n pi / 2) cos(n pi / 4): 0 unless n is a multiple of four."""
    assert reckon("sound.sub_drive", {"placement": "quarter_points", "mode": list(mode)})["value"] == 0
