"""Circles on the plane of the ears, patterns of them, and real speakers over a real plan."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon

from layout.engine.sound import coverage
from layout.engine.sound.levels import level_db
from layout.engine.sound.values import Loudspeaker, SoundError
from tests.engine.judge_sound import covered_by_pixels

ROOM = [(0, 0), (6, 0), (6, 4.5), (0, 4.5)]
EIGHTHS = st.integers(-24, 24).map(lambda one: one / 8)
ELL = [(0, 0), (6, 0), (6, 2), (3, 2), (3, 4), (0, 4)]


def test_the_angle_is_halved_before_its_tangent_is_taken():
    assert coverage.diameter_m(2.8, 1.5, 90) == pytest.approx(2.6)
    assert coverage.diameter_m(2.8, 1.5, 120) == pytest.approx(2 * 1.3 * math.sqrt(3))


@pytest.mark.parametrize("angle", [40, 90, 120, 170])
def test_the_plane_corrected_circle_ends_6_db_down_on_the_plane(angle):
    """Read off the level field itself, against straight below."""
    radius = coverage.plane_diameter_m(2.7, 1.2, angle) / 2
    one = Loudspeaker("SP1", 0, 0, 2.7, 88, 1, angle)
    levels = coverage.field_db([one], np.array([[0, 0, 1.2], [radius, 0, 1.2]]))
    assert levels[0] - levels[1] == pytest.approx(6, abs=1e-9)
    assert 2 * radius < coverage.diameter_m(2.7, 1.2, angle)


@pytest.mark.parametrize("kind", coverage.PATTERNS)
@pytest.mark.parametrize("spacing", [0.3, 0.5, 0.62, 0.74, 0.8, 0.93, 1.0, 1.4])
def test_a_pattern_covers_what_its_pixels_do(kind, spacing):
    once, twice = covered_by_pixels(kind, spacing)
    found = coverage.pattern(kind, spacing)
    assert found.covered == pytest.approx(once, abs=4e-4)
    assert found.twice == pytest.approx(twice, abs=4e-4)


@pytest.mark.parametrize("kind", coverage.PATTERNS)
def test_at_the_largest_spacing_there_is_no_gap_and_just_over_it_there_is(kind):
    largest = coverage.largest_spacing(kind)
    assert coverage.pattern(kind, largest).covered == pytest.approx(1, abs=1e-12)
    assert coverage.pattern(kind, largest * 1.001).covered < 1 - 1e-7


@given(st.sampled_from(coverage.PATTERNS), st.floats(1e-9, 1e9))
def test_any_spacing_gives_shares_and_wider_covers_no_more(kind, spacing):
    near, far = coverage.pattern(kind, spacing), coverage.pattern(kind, spacing * 1.1)
    assert 0 <= far.covered <= near.covered + 1e-12 <= 1 + 2e-12
    assert 0 <= near.twice <= near.covered + 1e-12


@settings(max_examples=60)
@given(
    st.lists(st.tuples(EIGHTHS, EIGHTHS), min_size=3, max_size=6, unique=True),
    st.tuples(EIGHTHS, EIGHTHS),
    st.floats(0.1, 3),
)
def test_a_circle_in_a_polygon_has_the_area_a_geometry_library_gives_it(corners, center, radius):
    hull = Polygon(corners).convex_hull
    if hull.geom_type != "Polygon":
        return
    around = list(hull.exterior.coords[:-1])
    if not hull.exterior.is_ccw:
        around.reverse()
    wanted = hull.intersection(Point(center).buffer(radius, quad_segs=500)).area
    assert coverage.circle_in(around, center, radius) == pytest.approx(wanted, abs=2e-5 * radius**2 + 1e-9)


def test_patterns_vary_as_a_direct_field_worked_apart_says():
    """90 degrees; square at D, 0.707 D, D/2: 8.2, 3.4, 0.8 dB; hex at D, 0.866 D, D/2: 6.1, 4.2, 0.4. With the angle
    read on the plane 3.5, 1.1, 0.2 and 2.5, 1.6, 0.1 (a worked model of others, printed to 0.1 dB)."""
    spacings = {"square": (1, math.sqrt(0.5), 0.5), "hex": (1, math.sqrt(0.75), 0.5)}
    found = {
        (kind, plane): [round(coverage.pattern_evenness_db(kind, one, 90, on_plane=plane), 1) for one in some]
        for kind, some in spacings.items()
        for plane in (False, True)
    }
    assert found == {
        ("square", False): [8.2, 3.4, 0.8],
        ("hex", False): [6.1, 4.2, 0.4],
        ("square", True): [3.5, 1.1, 0.2],
        ("hex", True): [2.5, 1.6, 0.1],
    }


# --- real speakers in a real outline


def test_a_speaker_in_the_middle_of_a_room_covers_its_circle_of_it():
    one = Loudspeaker("SP1", 3, 2.25, 2.7, 88, 4, 90)
    found = coverage.coverage(ROOM, [one], 1.2, step_m=0.02)
    assert found.area_m2 == pytest.approx(27, rel=0.001)
    assert found.covered == pytest.approx(math.pi * 1.5**2 / 27, abs=0.001)
    assert found.twice == 0
    assert found.loudest_db == pytest.approx(level_db(88, 4, 1.5), abs=0.01)
    assert np.hypot(found.loudest_at[0] - 3, found.loudest_at[1] - 2.25) < 0.03
    x, y = found.quietest_at
    assert min(x, 6 - x) < 0.02 and min(y, 4.5 - y) < 0.02  # a corner


def test_the_part_of_an_ell_that_is_no_room_is_neither_counted_nor_drawn():
    speakers = [Loudspeaker("SP1", 1.5, 1, 2.5, 88), Loudspeaker("SP2", 4.5, 1, 2.5, 88)]
    found = coverage.coverage(ELL, speakers, 1.2, step_m=0.1)
    assert found.area_m2 == pytest.approx(18, rel=0.01)
    across, down = np.meshgrid(found.xs, found.ys)
    notch = (across > 3.01) & (down > 2.01)
    assert np.isnan(found.level[notch]).all() and (found.overlap[notch] == -1).all()
    assert np.isfinite(found.level[~notch]).all()
    shape = Polygon(ELL).intersection(
        Point(1.5, 1).buffer(1.3, quad_segs=200).union(Point(4.5, 1).buffer(1.3, quad_segs=200))
    )
    assert found.covered == pytest.approx(shape.area / 18, abs=0.01)


def test_more_speakers_make_a_room_more_even():
    def even(across, down):
        speakers = [
            Loudspeaker(f"SP{i}{j}", (i + 0.5) * 6 / across, (j + 0.5) * 4.5 / down, 2.7, 88)
            for i in range(across)
            for j in range(down)
        ]
        return coverage.coverage(ROOM, speakers, 1.2)

    few, many = even(2, 1), even(6, 4)
    assert many.evenness_db < few.evenness_db
    assert many.within > few.within
    assert many.covered == 1


def test_a_hall_is_looked_at_in_larger_steps():
    hall = [(0, 0), (200, 0), (200, 100), (0, 100)]
    found = coverage.coverage(hall, [Loudspeaker("SP1", 100, 50, 6, 88)], 1.2, step_m=0.05)
    assert min(found.cell_m) > 0.5 and found.level.size < 1.1 * coverage.MOST_CELLS


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        (lambda: coverage.diameter_m(2.7, 1.2, 180), "angle_deg"),
        (lambda: coverage.diameter_m(2.7, 1.2, 0.01), "angle_deg"),
        (lambda: coverage.pattern_evenness_db("hex", 1000, 1), "spacing_over_diameter"),
        (lambda: coverage.diameter_m(1.2, 1.2, 90), "ear_m"),
        (lambda: coverage.diameter_m(0, 0, 90), "ceiling_m"),
        (lambda: coverage.plane_diameter_m(2.7, 1.2, 90, 0), "off_axis_db"),
        (lambda: coverage.pattern("round", 1), "pattern"),
        (lambda: coverage.pattern("hex", 0), "spacing_over_diameter"),
        (lambda: coverage.coverage(ROOM, [], 1.2), "speakers"),
        (lambda: coverage.coverage(ROOM[:2], [Loudspeaker("a", 1, 1, 2, 88)], 1.2), "outline"),
        (lambda: coverage.coverage([(0, 0)] * 4, [Loudspeaker("a", 1, 1, 2, 88)], 1.2, step_m=math.nan), "step_m"),
        (lambda: coverage.coverage(ROOM, [Loudspeaker("a", 1, 1, 1, 88)], 1.2), "ear_m"),
    ],
)
def test_what_can_not_be_is_refused_by_its_name(asked, field):
    with pytest.raises(SoundError, match=r"give|place") as refused:
        asked()
    assert refused.value.field == field
