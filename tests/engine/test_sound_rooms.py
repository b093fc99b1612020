"""Modes one by one, where they run together, and how long sound stays. Air and weighting at their edges."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.sound import air, modes, reverberation, weighting
from layout.engine.sound.reverberation import Surface
from layout.engine.sound.values import SoundError
from tests.engine.judge_sound import modes_one_by_one

ROOM = (6.0, 4.5, 2.7)
SIDES = st.tuples(*[st.floats(1.5, 12)] * 3)
OCTAVES = (125, 250, 500, 1000, 2000, 4000)
GYPSUM = dict(zip(OCTAVES, (0.29, 0.10, 0.05, 0.04, 0.07, 0.09), strict=True))  # on studs; ten public copies seen
CARPET = dict(zip(OCTAVES, (0.02, 0.06, 0.14, 0.37, 0.60, 0.65), strict=True))  # heavy, on concrete; seen


def surfaces(room=ROOM):
    x, y, z = room
    return [
        Surface("floor", x * y, CARPET),
        Surface("ceiling", x * y, GYPSUM),
        Surface("walls", 2 * (x + y) * z, GYPSUM),
    ]


# --- modes


@settings(max_examples=60)
@given(SIDES, st.floats(20, 160))
def test_modes_are_counted_as_one_by_one(room, hz):
    found = modes_one_by_one(room, hz)
    assert modes.count_below(room, hz) == len(found)
    assert [one.hz for one in modes.modes_below(room, hz)] == pytest.approx(found)


@pytest.mark.parametrize("index", [(1, 0, 0), (0, 1, 0), (0, 0, 3), (2, 1, 1), (5, 4, 3)])
def test_a_mode_at_the_very_frequency_counts(index):
    hz = modes.mode_hz(ROOM, index)
    assert index in {one.index for one in modes.modes_below(ROOM, hz)}
    below = hz * (1 - 1e-6)
    alike = sum(1 for one in modes.modes_below(ROOM, hz) if one.hz > below)
    assert alike >= 1
    assert modes.count_below(ROOM, hz) - modes.count_below(ROOM, below) == alike


def test_below_the_first_mode_there_is_none():
    assert modes.count_below(ROOM, 28.5) == 0  # 343 / 12 is 28.58
    assert modes.modes_below(ROOM, 28.5) == ()


def test_the_smooth_count_comes_near_the_counted_one():
    assert modes.about_below(ROOM, 2000) == pytest.approx(modes.count_below(ROOM, 2000), rel=0.002)


def test_modes_along_one_way_are_told_from_those_along_two_and_three():
    kinds = {one.index: one.kind for one in modes.modes_below(ROOM, 100)}
    assert kinds[1, 0, 0] is modes.Mode.AXIAL
    assert kinds[1, 1, 0] is modes.Mode.TANGENTIAL
    assert kinds[1, 1, 1] is modes.Mode.OBLIQUE


def test_a_mode_is_2_2_over_t_wide():
    assert modes.width_hz(0.5) == pytest.approx(4.4, abs=0.01)


def test_in_feet_the_rule_of_schroeder_would_have_another_number():
    """11 885 for feet (published, seen): 0.3 s and 58.24 m3, which is 2056.7 ft3."""
    assert modes.schroeder_hz(0.3, 58.24) == pytest.approx(11885 * math.sqrt(0.3 / 2056.7), rel=1e-4)


# --- reverberation


def test_gypsum_and_carpet_in_a_living_room():
    """By hand at 1 kHz: 27 m2 of 0.37 and 83.7 of 0.04 are 13.338 m2; 0.16112 x 72.9 / 13.338 is 0.8806 s."""
    found = reverberation.t60("sabine", [27, 83.7], [0.37, 0.04], 72.9)
    assert found.absorption_m2 == pytest.approx(13.338)
    assert found.t60_s == pytest.approx(0.8806, abs=5e-5)


@given(st.lists(st.tuples(st.floats(0.1, 500), st.floats(0.01, 0.98)), min_size=1, max_size=6), st.floats(5, 5000))
def test_sabine_is_never_shorter_than_eyring_and_eyring_never_than_millington(some, volume):
    areas, alpha = zip(*some, strict=True)
    sabine, eyring, millington = (
        reverberation.t60(one, areas, alpha, volume).t60_s for one in ("sabine", "eyring", "millington")
    )
    assert sabine >= eyring * (1 - 1e-12) and eyring >= millington * (1 - 1e-12)


@given(st.floats(0.02, 0.98), st.floats(0, 0.1))
def test_with_all_surfaces_alike_eyring_millington_and_arau_are_one(alpha, air_db):
    each = [
        reverberation.t60(one, [40, 30, 20], [alpha] * 3, 60, 343, air_db).t60_s
        for one in ("eyring", "millington", "arau")
    ]
    assert each == pytest.approx([each[0]] * 3)


def test_eyring_is_sound_that_meets_a_wall_every_mean_free_path():
    """Decay by reflections, one each 4 V / S: (1 - a)^n is 10^-6."""
    volume, surface, alpha = 72.9, 110.7, 0.3
    reflections = math.log(1e-6) / math.log(1 - alpha)
    wanted = reflections * 4 * volume / surface / 343
    assert reverberation.t60("eyring", [surface], [alpha], volume).t60_s == pytest.approx(wanted, rel=1e-9)


def test_arau_is_the_three_times_weighted_by_their_areas():
    areas, alpha = (240, 600, 500), (0.1, 0.25, 0.45)
    times = [reverberation.t60("eyring", [1340], [one], 3000).t60_s for one in alpha]
    wanted = math.prod(time ** (area / 1340) for time, area in zip(times, areas, strict=True))
    assert reverberation.t60("arau", areas, alpha, 3000).t60_s == pytest.approx(wanted)


@pytest.mark.parametrize("formula", ["eyring", "millington", "arau"])
def test_what_takes_all_sound_is_taken_as_0_99_and_said(formula):
    found = reverberation.t60(formula, [10, 10, 10], [1.0, 1.0, 1.0], 30)
    assert found.capped and found.t60_s > 0
    assert found.absorption_m2 == pytest.approx(30 * math.log(100))
    assert not reverberation.t60("sabine", [10], [1.0], 30).capped


def test_octave_by_octave_with_the_air_and_what_takes_most():
    bands = reverberation.by_octave(surfaces(), 72.9)
    assert [one.hz for one in bands] == list(OCTAVES)
    assert bands[0].most == "walls" and bands[3].most == "floor"
    # without the air 0.8806 (above); 4.66 dB/km at 1 kHz, 20 C and 50 % (ISO 9613-1 table, seen) are 0.31 m2 more
    assert bands[3].sabine.t60_s == pytest.approx(0.16112 * 72.9 / (13.338 + 4 * 0.00466 / 4.343 * 72.9), rel=1e-4)
    assert reverberation.middle_s(bands) == pytest.approx((bands[2].eyring.t60_s + bands[3].eyring.t60_s) / 2)


@pytest.mark.parametrize(
    ("alpha", "nrc"),
    [(GYPSUM, 0.05), (CARPET, 0.30), ({250: 0.57, 500: 0.69, 1000: 0.71, 2000: 0.73}, 0.70)],
)
def test_the_one_number_of_a_material_is_rounded_to_a_twentieth(alpha, nrc):
    """Means 0.065, 0.2925 and 0.675: to 0.05, halves up."""
    assert reverberation.noise_reduction_coefficient(alpha) == pytest.approx(nrc)


# --- air and weighting


@given(st.floats(-20, 50), st.floats(0, 100), st.floats(20, 20000))
def test_air_takes_some_and_more_of_higher_notes(temp, humidity, hz):
    low, high = (air.absorption_db_per_m(temp, humidity, one) for one in (hz, hz * 1.26))
    assert 0 < low < high


def test_in_a_room_air_hardly_matters_below_4_khz():
    """3 m at 4 kHz: 0.07 dB at 20 C and 70 % (22.9 dB/km, ISO 9613-2 table 2, seen)."""
    assert 3 * air.absorption_db_per_m(20, 70, air.exact_band_hz(4000)) == pytest.approx(0.069, abs=0.001)


def test_a_nominal_band_is_not_its_exact_middle():
    assert air.exact_band_hz(4000) == pytest.approx(3981.0717, abs=1e-4)
    assert air.exact_band_hz(31.5) == pytest.approx(31.622777, abs=1e-6)
    assert air.exact_band_hz(1000) == 1000


def test_weighting_is_nothing_at_1_khz_and_a_takes_more_of_the_bass_than_c():
    assert weighting.a_db(1000) == pytest.approx(0, abs=0.001)
    assert weighting.c_db(1000) == pytest.approx(0, abs=0.001)
    assert all(weighting.a_db(hz) < weighting.c_db(hz) for hz in (10, 50, 200, 500))


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        (lambda: modes.mode_hz(ROOM, (0, 0, 0)), "mode"),
        (lambda: modes.mode_hz(ROOM, (1, -1, 0)), "mode"),
        (lambda: modes.mode_hz((6, 4.5), (1, 0, 0)), "room_m"),
        (lambda: modes.mode_hz((6, 4.5, 0), (1, 0, 0)), "room_m"),
        (lambda: modes.count_below(ROOM, 1e6), "f_hz"),
        (lambda: modes.modes_below(ROOM, 1000), "f_hz"),
        (lambda: modes.schroeder_hz(0, 50), "t60_s"),
        (lambda: reverberation.t60("sabine", [], [], 50), "areas_m2"),
        (lambda: reverberation.t60("sabine", [10], [0.1, 0.2], 50), "alpha"),
        (lambda: reverberation.t60("sabine", [10], [0.0], 50), "alpha"),
        (lambda: reverberation.t60("sabine", [10], [2.5], 50), "alpha"),
        (lambda: reverberation.t60("arau", [10], [0.1], 50), "areas_m2"),
        (lambda: reverberation.t60("arau", [10] * 3, [0.1, 0, 0.1], 50), "alpha"),
        (lambda: reverberation.t60("sabine", [10], [0.1], 50, 343, -1), "air_db_per_m"),
        (lambda: reverberation.by_octave([Surface("rug", 4, {500: 0.2})], 50), "alpha"),
        (lambda: air.absorption_db_per_m(20, 101, 1000), "rh_percent"),
        (lambda: air.speed_m_per_s(-100), "temp_c"),
        (lambda: weighting.weighting_db("B", 1000), "curve"),
        (lambda: weighting.weighting_db("A", 0), "f_hz"),
    ],
)
def test_what_can_not_be_is_refused_by_its_name(asked, field):
    with pytest.raises(SoundError) as refused:
        asked()
    assert refused.value.field == field
