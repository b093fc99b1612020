"""What watts, meters and angles make of a speaker's sensitivity. No rooms."""

import math
import tracemalloc

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.engine.sound import levels
from layout.engine.sound.values import Loudspeaker, SoundError

DB = st.floats(0, 140)


def test_twice_as_far_is_6_db_less_and_ten_times_the_power_10_db_more():
    assert levels.level_db(88, 1, 1) == 88
    assert levels.level_db(88, 1, 2) == pytest.approx(88 - 6.0206, abs=1e-4)
    assert levels.level_db(88, 10, 1) == pytest.approx(98)


@given(st.lists(DB, min_size=1, max_size=8))
def test_in_phase_is_never_quieter_than_as_energies_and_neither_than_the_loudest(some):
    energies, phases = levels.sum_db(some), levels.sum_db(some, coherent=True)
    assert max(some) - 1e-9 <= energies <= phases + 1e-9


@given(DB)
def test_two_alike_are_3_db_more_and_in_phase_6(level):
    assert levels.sum_db([level, level]) - level == pytest.approx(3.0103, abs=1e-4)
    assert levels.sum_db([level, level], coherent=True) - level == pytest.approx(6.0206, abs=1e-4)


@pytest.mark.parametrize(("ohms", "to_add"), [(8, 0.0), (6, -1.25), (4, -3.01)])
def test_283_volts_is_one_watt_into_8_ohms_only(ohms, to_add):
    assert levels.sensitivity_correction_db(2.83, ohms) == pytest.approx(to_add, abs=0.01)


def test_one_speaker_of_a_grid_is_a_speaker_overhead():
    assert levels.grid_centre_db(1.5, 2, 1, 87, 5) == pytest.approx(levels.level_db(87, 5, 1.5))


def test_headroom_is_what_the_power_leaves_over_the_peaks():
    """90 dB at 1 m from 1 W; 16 W are 12 dB more, 2 m take 6: 96. Wanted 80 with 10 of peaks: 6 dB over (by hand)."""
    found = levels.reach(90, 16, 2, 80, 10)
    assert found.maximum_db == pytest.approx(96.02, abs=0.01)
    assert found.headroom_db == pytest.approx(6.02, abs=0.01)
    assert found.needed_w == pytest.approx(4.0, abs=0.001)  # 6.02 dB below 16 W


@given(DB, st.floats(60, 100), st.floats(0.1, 30))
def test_the_watts_for_a_level_give_that_level(target, sensitivity, distance):
    watts = levels.watts_for(target, sensitivity, distance)
    assert levels.level_db(sensitivity, watts, distance) == pytest.approx(target, abs=1e-9)


def test_a_tap_marked_for_100_volts_takes_half_on_70_7():
    """V^2 scaling (published notes on constant-voltage lines, seen)."""
    assert levels.tap_watts(10, 100, 70.7) == pytest.approx(5, rel=0.001)


def test_the_smallest_tap_that_does_is_taken_or_none():
    assert levels.smallest_tap([30, 2, 15, 5], 4) == 5
    assert levels.smallest_tap([2, 5], 8) is None


@pytest.mark.parametrize("angle", [20, 60, 90, 120, 160, 179])
def test_off_axis_the_level_is_6_db_down_at_half_the_angle_and_equal_distance(angle):
    half = math.radians(angle / 2)
    one = Loudspeaker("SP1", 0, 0, 0, 88, 1, angle)
    axis, edge = levels.field_db([one], np.array([[0, 0, -2.0], [2 * math.sin(half), 0, -2 * math.cos(half)]]))
    assert axis == pytest.approx(88 - 6.0206, abs=1e-4)
    assert axis - edge == pytest.approx(6, abs=1e-9)


@pytest.mark.parametrize("angle", [60, 90, 150, 180, 360])
def test_directivity_is_the_sphere_over_what_the_lobe_sends_out(angle):
    """Q by adding the lobe up over the half space, strip by strip."""
    theta = (np.arange(200_000) + 0.5) / 200_000 * np.pi / 2
    power = levels.power_of(angle)
    sent = np.sum(np.cos(theta) ** power * np.sin(theta)) * np.pi / 2 / len(theta) * 2 * np.pi
    assert levels.directivity(angle) == pytest.approx(4 * np.pi / sent, rel=1e-4)


def test_over_a_speaker_there_is_nothing_and_without_one_too():
    one = Loudspeaker("SP1", 0, 0, 2.5, 88)
    assert levels.field_db([one], np.array([[0, 0, 2.5], [1, 1, 3.0]])).tolist() == [-np.inf, -np.inf]
    assert levels.field_db([], np.array([[0, 0, 1.0]])).tolist() == [-np.inf]


def test_at_the_critical_distance_room_and_speaker_are_equally_loud():
    """V 100 m3, T 0.5 s, no directivity: 0.8 m by the 0.057 rule (a published help page, seen)."""
    assert levels.critical_distance_m(1, 100, 0.5) == pytest.approx(0.057 * math.sqrt(200), rel=0.01)
    one = Loudspeaker("SP1", 0, 0, 2.5, 88, 1, 90)
    q, constant = levels.directivity(90), 50.0
    where = math.sqrt(q * constant / 16 / math.pi)  # Q / (4 pi r2) = 4 / R
    assert levels.level_db(88, 1, where) == pytest.approx(levels.reverberant_db([one], constant), abs=1e-9)


def test_the_floor_takes_the_note_whose_half_wave_is_the_longer_way():
    """Sampled two-path response straight below: the first minimum."""
    hz = np.arange(20, 200, 0.01)
    response = np.abs(1 + np.exp(-2j * np.pi * hz * 2 * 1.2 / 343))
    assert levels.floor_bounce_hz(2.7, 1.2, 343) == pytest.approx(hz[np.argmin(response)], abs=0.01)


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        (lambda: levels.level_db(88, 0, 1), "watts"),
        (lambda: levels.level_db(88, 1, -1), "distance_m"),
        (lambda: levels.level_db(88, math.nan, 1), "watts"),
        (lambda: levels.sum_db([]), "levels_db"),
        (lambda: levels.sensitivity_correction_db(0, 8), "volts"),
        (lambda: levels.grid_centre_db(1.5, 2, 0, 87, 5), "n"),
        (lambda: levels.power_of(0), "coverage_deg"),
        (lambda: levels.room_constant_m2(100, 1), "mean_alpha"),
        (lambda: levels.floor_bounce_hz(2.7, 2.7, 343), "ear_m"),
        (lambda: levels.each_db([Loudspeaker("a", 0, 0, 1, 88)] * 2001, np.zeros((1, 3))), "speakers"),
    ],
)
def test_what_can_not_be_is_refused_by_its_name(asked, field):
    with pytest.raises(SoundError, match="give") as refused:
        asked()
    assert refused.value.field == field


def test_a_halls_field_takes_the_memory_of_its_points_not_of_every_speaker_at_every_point():
    """500 equal speakers in one place are 10 log10(500) = 26.99 dB over one; 20,000 points in doubles are 160 kB."""
    one = Loudspeaker("SP1", 0.0, 0.0, 3.0, 88.0, 1.0, 90.0)
    points = np.column_stack([np.linspace(0, 5, 20_000), np.zeros(20_000), np.ones(20_000)])
    alone = levels.field_db([one], points)
    tracemalloc.start()
    together = levels.field_db([one] * 500, points)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert np.allclose(together - alone, 26.9897, atol=1e-4)
    assert peak < 5_000_000
