"""Seats, a screen and speakers: angles, ranges, the move that mends, delays, channels, and what looks cost angles."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.sound import disagree, listening
from layout.engine.sound.listening import LAYOUTS, Placed, Seat
from layout.engine.sound.nearest import Slice, inside, nearest
from layout.engine.sound.values import SoundError

MAIN = Seat("main", 3.0, 1.5, 1.2)
ROW = (MAIN, Seat("left", 2.2, 1.5, 1.2), Seat("right", 3.8, 1.5, 1.2))
SCREEN = (3.0, 4.5)  # the middle of the far wall
ROOM = [(0, 0), (6, 0), (6, 4.5), (0, 4.5)]
CEILING = 2.7
HEIGHTS = LAYOUTS["BS.2051 4+5+0"]
UPPER_LEFT = HEIGHTS.channel("U+030")


def test_left_of_where_one_looks_is_positive():
    """Looking along y: a speaker at smaller x is to the left (ITU-R BS.2051; the plan's x goes to the right)."""
    azimuth, elevation, distance = listening.angles(MAIN, (2.0, 2.5, 1.2), SCREEN)
    assert (azimuth, elevation, distance) == pytest.approx((45, 0, math.sqrt(2)))
    assert listening.angles(MAIN, (4.0, 2.5, 1.2), SCREEN)[0] == pytest.approx(-45)
    assert listening.angles(MAIN, (3.0, 0.5, 1.2), SCREEN)[0] == pytest.approx(180)


@pytest.mark.parametrize("screen", [(3.0, 4.5), (0.0, 1.5), (6.0, 1.5), (3.0, 0.0)])
def test_whichever_wall_the_screen_is_on(screen):
    """The place from angles, turned to where the seat looks, has those angles again."""
    ahead = math.atan2(screen[1] - MAIN.y, screen[0] - MAIN.x)
    for azimuth, elevation in ((30, 40), (-110, 10), (135, 55), (0, 20)):
        right, front, up = listening.position(azimuth, elevation, 2)
        turn = ahead - math.pi / 2
        x = MAIN.x + right * math.cos(turn) - front * math.sin(turn)
        y = MAIN.y + right * math.sin(turn) + front * math.cos(turn)
        found = listening.angles(MAIN, (x, y, MAIN.ear_m + up), screen)
        assert found == pytest.approx((azimuth, elevation, 2))


def test_a_height_speaker_in_range_is_inside_and_one_too_near_overhead_is_told_by_how_much():
    """h - ear is 1.5: at 30 degrees azimuth and 2 m away the elevation is 36.9; at 0.5 m it is 71.6, 16.6 too high."""
    good, near = (
        Placed(f"SP{away}", "U+030", 3 - away * 0.5, 1.5 + away * math.sqrt(0.75), CEILING) for away in (2.0, 0.5)
    )
    one, other = listening.judge([MAIN], [good, near], SCREEN, HEIGHTS)
    assert one.inside and one.move == pytest.approx((0, 0)) and one.reachable
    assert other.angles[0].off_elevation_deg == pytest.approx(71.565 - 55, abs=0.001)
    assert other.angles[0].off_azimuth_deg == 0
    out = 1.5 / math.tan(math.radians(55)) - 0.5  # straight out to the nearer end of the range
    assert other.move == pytest.approx((-out * 0.5, out * math.sqrt(0.75)), abs=1e-6)


def test_right_of_the_range_is_a_minus_for_a_left_speaker():
    """20 degrees where 30 to 45 are asked: 10 short of it."""
    right, front, up = listening.position(20, 0, 2.0)
    one = Placed("SP1", "U+030", 3 + right, 1.5 + front, CEILING + up)
    assert listening.judge([MAIN], [one], SCREEN, HEIGHTS)[0].angles[0].off_azimuth_deg == pytest.approx(-10)


def test_a_channel_for_ear_height_can_not_be_met_on_a_ceiling_and_only_its_azimuth_is_mended():
    one = Placed("SP1", "M+110", 1.0, 2.0, CEILING)
    found = listening.judge([MAIN], [one], SCREEN, HEIGHTS, outline=ROOM)[0]
    assert not found.reachable and not found.inside
    moved = (1.0 + found.move[0], 2.0 + found.move[1], CEILING)
    heard = listening.heard(MAIN, moved, HEIGHTS.channel("M+110"), SCREEN)
    assert heard.off_azimuth_deg == 0 and heard.off_elevation_deg > 0


def test_a_fixed_angle_is_met_by_going_straight_across_to_its_line():
    one = Placed("SP1", "M+030", 1.2, 4.0, CEILING)
    found = listening.judge([MAIN], [one], SCREEN, HEIGHTS)[0]
    dx, dy = found.move
    line = (-0.5, math.sqrt(0.75))
    assert dx * line[0] + dy * line[1] == pytest.approx(0, abs=1e-9)
    assert listening.angles(MAIN, (1.2 + dx, 4.0 + dy, CEILING), SCREEN)[0] == pytest.approx(30)


def test_leeway_widens_both_ends_of_a_range():
    one = Placed("SP1", "M+000", 3.1, 4.4, 1.25)
    strict, eased = (listening.judge([MAIN], [one], SCREEN, HEIGHTS, leeway_deg=deg)[0] for deg in (0.0, 3.0))
    assert not strict.inside and eased.inside


def test_right_overhead_a_channel_of_the_zenith_has_no_azimuth_to_miss():
    above = LAYOUTS["BS.2051 3+7+0"]
    one = Placed("SP1", "UH+180", MAIN.x, MAIN.y, CEILING)
    assert listening.judge([MAIN], [one], SCREEN, above)[0].inside


@settings(max_examples=60)
@given(st.data())
def test_the_move_is_the_smallest_there_is_for_all_seats(data):
    """Against every place of a 5 cm grid of the ceiling, read with plain angles."""
    channel = data.draw(st.sampled_from(HEIGHTS.channels[5:]))
    seats = [
        Seat(str(n), data.draw(st.integers(10, 50)) / 10, data.draw(st.integers(5, 30)) / 10, 1.2)
        for n in range(data.draw(st.integers(1, 3)))
    ]
    start = (data.draw(st.integers(0, 60)) / 10, data.draw(st.integers(0, 45)) / 10, CEILING)
    screen, leeway = (3.0, 4.6), 6.0
    place = listening.move_to(seats, start, channel, screen, leeway_deg=leeway, outline=ROOM)
    x, y = (each.ravel() for each in np.meshgrid(np.arange(0.025, 6, 0.05), np.arange(0.025, 4.5, 0.05)))
    good = np.ones(len(x), dtype=bool)
    for seat in seats:
        bearing = np.degrees(np.arctan2(y - seat.y, x - seat.x))
        ahead = math.degrees(math.atan2(screen[1] - seat.y, screen[0] - seat.x))
        azimuth = (bearing - ahead + 180) % 360 - 180
        rise = np.degrees(np.arctan2(1.5, np.hypot(x - seat.x, y - seat.y)))
        (left, right), (low, high) = channel.az_range, channel.el_range
        good &= (azimuth >= left - leeway) & (azimuth <= right + leeway)
        good &= (rise >= low - leeway) & (rise <= high + leeway)
    if place is None:
        assert not good.any()
        return
    assert all(listening.heard(seat, (*place, CEILING), channel, screen, leeway).inside for seat in seats)
    away = math.dist(place, start[:2])
    assert not good.any() or away <= np.hypot(x - start[0], y - start[1])[good].min() + 1e-6


def test_what_one_seat_can_have_three_may_not():
    """A row of three: no place is at exactly 30 degrees for each of them, but there is one for the middle seat."""
    one = Placed("SP1", "M+030", 1.2, 4.0, CEILING)
    found = listening.judge(ROW, [one], SCREEN, HEIGHTS)[0]
    assert found.move is None
    assert found.main_move is not None


def test_a_slice_and_a_wall_meet_in_a_corner_of_both():
    """A quarter turn about the origin toward x, and a ceiling that starts at x = 1: the corner (1, 1) is nearest."""
    ceiling = [(1, 0), (3, 0), (3, 3), (1, 3)]
    found = nearest((0, 2), [Slice((0, 0), 0, 45, 0, math.inf)], ceiling)
    assert found == pytest.approx((1, 1))
    assert nearest((0, 2), [Slice((0, 0), 180, 45, 0, math.inf)], ceiling) is None


def test_an_edge_of_an_outline_is_inside_it():
    points = np.array([[0, 2.0], [6, 4.5], [3, 3], [6.001, 1], [-1, 2]])
    assert inside(ROOM, points).tolist() == [True, True, True, False, False]


# --- delays, levels, channels


def test_the_nearer_speaker_waits_and_is_turned_down():
    """1 m is 2.91 ms at 20 C; half the distance is 6 dB."""
    near, far = listening.alignments(Seat("main", 0, 0, 0), [("SP1", (1, 0, 0)), ("SP2", (2, 0, 0))], 343.2)
    assert (far.delay_ms, far.trim_db) == (0, 0)
    assert near.delay_ms == pytest.approx(2.914, abs=0.001)
    assert near.trim_db == pytest.approx(-6.0206, abs=1e-4)
    assert listening.alignments(MAIN, []) == ()


def test_height_speakers_of_a_low_ceiling_are_close():
    """2.7 m, ears at 1.2: 1.05 to 2.60 m for 30 to 55 degrees (0.700 and 1.732 of the height over the ears)."""
    assert listening.height_range(2.7, 1.2, 30, 55) == pytest.approx((1.05, 2.598), abs=0.001)
    assert listening.height_range(2.7, 1.2, 30, 90)[0] == 0


def test_four_corners_of_a_ceiling_are_the_four_upper_channels():
    marks = [("SP1", (1, 0.3, CEILING)), ("SP2", (5, 0.3, CEILING)), ("SP3", (1, 4, CEILING)), ("SP4", (5, 4, CEILING))]
    found = listening.suggest(MAIN, marks, SCREEN, HEIGHTS)
    assert found == {"U+030": "SP3", "U-030": "SP4", "U+110": "SP1", "U-110": "SP2"}
    assert listening.suggest(MAIN, [], SCREEN, HEIGHTS) == {}


@settings(max_examples=40)
@given(st.integers(1, 5), st.integers(1, 5), st.randoms(use_true_random=False))
def test_channels_go_to_speakers_with_the_least_sum_of_angles(rows, columns, random):
    costs = np.array([[random.randint(0, 180) for _ in range(columns)] for _ in range(rows)], dtype=float)
    found = listening._least_sum(costs)
    wide = costs if rows <= columns else costs.T
    orders = itertools.permutations(range(wide.shape[1]), wide.shape[0])
    least = min(sum(wide[r, c] for r, c in enumerate(some)) for some in orders)
    assert len({r for r, _c in found}) == len({c for _r, c in found}) == min(rows, columns)
    assert sum(costs[r, c] for r, c in found) == least


# --- the layouts themselves


@pytest.mark.parametrize("system", LAYOUTS.values(), ids=lambda system: system.name)
def test_a_layout_is_its_own_mirror_image(system):
    spans = {(one.az_range, one.el_range) for one in system.channels if one.az_range != (180.0, 180.0)}
    assert spans == {((-high, -low), elevation) for (low, high), elevation in spans}
    for one in system.channels:
        assert one.az_range[0] <= one.azimuth <= one.az_range[1]
        assert one.el_range[0] <= one.elevation <= one.el_range[1]
    assert len({one.name for one in system.channels}) == len(system.channels)
    digits = system.name.split()[1].replace("/", "+").split("+")
    assert len(system.channels) == sum(map(int, digits))


# --- looks against angles


def test_keeping_the_pattern_costs_degrees_and_meeting_the_angle_costs_inches():
    """Lights stand around the seat, and the speaker between them straight ahead of it, far too steep overhead."""
    pattern = [(x, y) for x in (1.0, 3.0, 5.0) for y in (0.5, 2.0, 3.5)]
    found = disagree.costs((2.6, 2.2), CEILING, UPPER_LEFT, [MAIN], SCREEN, pattern, outline=ROOM)
    assert found.keep.at == (3.0, 2.0) and found.keep.off_pattern_m == 0
    assert found.keep.off_deg > found.compromise.off_deg > found.meet.off_deg == 0
    assert 0 < found.compromise.off_pattern_m < found.meet.off_pattern_m
    assert found.in_line.at[0] == pytest.approx(3.0) or found.in_line.at[1] == pytest.approx(2.0)
    assert found.in_line.off_deg < found.keep.off_deg
    assert found.other.at == (1.0, 3.5) and found.other.off_pattern_m == 0
    moved = listening.move_to([MAIN], (3.0, 2.0, CEILING), UPPER_LEFT, SCREEN, outline=ROOM)
    assert found.meet.at == pytest.approx(moved)


def test_along_the_way_the_angle_gets_better_as_the_pattern_gets_worse():
    found = disagree.costs((3, 2), CEILING, UPPER_LEFT, [MAIN], SCREEN, [(3.0, 2.0)], outline=ROOM)
    assert [one.off_pattern_m for one in found.curve] == sorted(one.off_pattern_m for one in found.curve)
    assert found.curve[0].off_deg == found.keep.off_deg and found.curve[-1].off_deg == 0


@given(
    here=st.tuples(st.sampled_from([1.0, 3.0, 5.0]), st.sampled_from([0.5, 2.0, 3.5])),
    channel=st.sampled_from(HEIGHTS.channels),
    leeway_deg=st.sampled_from([0.0, 5.0]),
)
def test_no_other_choice_is_better_than_the_compromise_in_both_costs(here, channel, leeway_deg):
    pattern = [(x, y) for x in (1.0, 3.0, 5.0) for y in (0.5, 2.0, 3.5)]
    found = disagree.costs(here, CEILING, channel, [MAIN], SCREEN, pattern, leeway_deg=leeway_deg, outline=ROOM)
    part = found.compromise
    if part is None:
        return
    assert part in found.curve
    for one in found.all:
        assert one is part or one.off_pattern_m > part.off_pattern_m or one.off_deg > part.off_deg


def test_where_the_pattern_is_in_range_there_is_nothing_to_choose():
    at = (3 - 2 * math.sin(math.radians(35)), 1.5 + 2 * math.cos(math.radians(35)))
    found = disagree.costs(at, CEILING, UPPER_LEFT, [MAIN], SCREEN, [at])
    assert [one.kind for one in found.all] == [disagree.Kind.KEEP]
    assert found.keep.off_deg == 0


def test_for_a_channel_of_ear_height_only_the_azimuth_is_weighed():
    found = disagree.costs((1, 2), CEILING, HEIGHTS.channel("M+110"), [MAIN], SCREEN, [(1.0, 2.0)], outline=ROOM)
    assert found.azimuth_only
    assert found.keep.off_deg == pytest.approx(100 - (90 - math.degrees(math.atan2(0.5, 2))))
    assert found.meet.off_deg == 0


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        (lambda: listening.judge([], [], SCREEN, HEIGHTS), "seats"),
        (lambda: listening.judge([MAIN] * 25, [], SCREEN, HEIGHTS), "seats"),
        (lambda: listening.judge([MAIN], [Placed("SP1", "LFE", 1, 1, 2)], SCREEN, HEIGHTS), "channel"),
        (lambda: listening.judge([MAIN], [Placed("SP1", "M+000", 3, 1.5, 1.2)], SCREEN, HEIGHTS), "speakers"),
        (lambda: listening.judge([MAIN], [], SCREEN, HEIGHTS, leeway_deg=40), "leeway_deg"),
        (lambda: listening.angles(MAIN, (1, 1, 2), (3.0, 1.5)), "seats"),
        (lambda: listening.position(0, 91, 1), "elevation_deg"),
        (lambda: listening.position(0, 0, 0), "r_m"),
        (lambda: listening.height_range(2.7, 1.2, 0, 55), "el_min_deg"),
        (lambda: listening.height_range(2.7, 1.2, 40, 30), "el_max_deg"),
        (lambda: listening.height_range(2.7, 2.7, 30, 55), "ear_m"),
        (lambda: listening.alignments(MAIN, [("SP1", (3, 1.5, 1.2))]), "speakers"),
        (lambda: disagree.costs((1, 1), 2.7, UPPER_LEFT, [], SCREEN, [(1, 1)]), "seats"),
        (lambda: disagree.costs((1, 1), 2.7, UPPER_LEFT, [MAIN], SCREEN, []), "pattern"),
    ],
)
def test_what_can_not_be_is_refused_by_its_name(asked, field):
    with pytest.raises(SoundError) as refused:
        asked()
    assert refused.value.field == field
