"""The bass of a hard-walled room against every mirrored source, the wave equation itself, and every choice of subs."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.sound import box, subs
from layout.engine.sound.values import SoundError
from tests.engine.judge_sound import by_mirrored_sources

ROOM = (6.0, 4.5, 2.7)
SEATS = [(x, y, 1.1) for x in (3.0, 3.9) for y in (1.35, 2.25, 3.15)]
SHARE = st.floats(0, 1)
PLACES = st.tuples(SHARE, SHARE, SHARE)


def at(shares, room=ROOM):
    return tuple(share * side for share, side in zip(shares, room, strict=True))


def pressure(source, receiver, hz, t60=0.5, room=ROOM):
    return box.transfer(room, np.array([source]), np.array([receiver]), np.array([hz]), t60)[0, 0, 0]


@pytest.mark.parametrize(
    ("source", "receiver"),
    [
        ((0.3, 0.4, 0.2), (3.9, 2.1, 1.2)),
        ((0.3, 0.4, 1.2), (3.9, 2.1, 1.2)),  # both at one height, where a sum over modes hardly ends
        ((3, 2.25, 2.7), (3, 2.25, 1.1)),  # straight above
        ((0, 0, 0), (6, 4.5, 2.7)),  # corner to corner
        ((2, 1, 1), (2.01, 1, 1)),  # a centimeter away
    ],
)
@pytest.mark.parametrize("hz", [20, 57.17, 120, 300])
def test_the_modes_add_up_to_the_mirrored_sources(source, receiver, hz):
    """Damped strongly (0.1 s), so that the mirrored sources die away soon: they reach to e^-18 of their strength."""
    judged = by_mirrored_sources(ROOM, source, receiver, hz, 0.1)
    assert abs(pressure(source, receiver, hz, 0.1) - judged) < 2e-6 * max(1, abs(judged))


@settings(max_examples=15)
@given(PLACES, PLACES, st.floats(15, 150), st.tuples(*[st.floats(2, 9)] * 3))
def test_so_they_do_in_any_room_and_place(source, receiver, hz, room):
    source, receiver = at(source, room), at(receiver, room)
    if math.dist(source, receiver) < 0.05:
        return
    judged = by_mirrored_sources(room, source, receiver, hz, 0.08)
    assert abs(pressure(source, receiver, hz, 0.08, room) - judged) < 1e-5 * max(1, abs(judged))


@settings(max_examples=25)
@given(PLACES, PLACES, st.floats(10, 200), st.floats(0.1, 3))
def test_source_and_listener_may_change_places(source, receiver, hz, t60):
    source, receiver = at(source), at(receiver)
    if math.dist(source, receiver) < 1e-3:
        return
    there, back = pressure(source, receiver, hz, t60), pressure(receiver, source, hz, t60)
    assert abs(there - back) < 1e-9 * max(1, abs(there))


@pytest.mark.parametrize("way", [(1, 0, 0), (0, 1, 0), (0, 0, 1), (0.6, 0.0, 0.8)])
def test_close_to_the_source_it_is_as_in_the_open(way):
    for distance in (0.01, 1e-3, 1e-5):
        receiver = tuple(2 + distance * one for one in way)
        assert abs(pressure((2, 2, 2), receiver, 40)) * distance == pytest.approx(1, abs=40 * distance)


def test_away_from_the_source_it_solves_the_wave_equation():
    """G'' + k^2 G = 0 by differences over 2 cm, and no flow through a wall."""
    step, source, hz, t60 = 0.02, (0.7, 0.9, 0.3), 71.0, 0.5
    k = (2 * math.pi * hz - 3j * math.log(10) / t60) / 343
    here = np.array([3.1, 2.2, 1.4])
    around = np.concatenate([here[None], *[here + sign * step * np.eye(3) for sign in (1, -1)]])
    found = box.transfer(ROOM, np.array([source]), around, np.array([hz]), t60)[0, :, 0]
    laplacian = (found[1:].sum() - 6 * found[0]) / step**2
    assert abs(laplacian + k**2 * found[0]) < 1e-3 * abs(k**2 * found[0])
    wall = box.transfer(ROOM, np.array([source]), np.array([[0, 2, 1], [1e-4, 2, 1]]), np.array([hz]), t60)[0, :, 0]
    assert abs(wall[1] - wall[0]) / 1e-4 < 1e-3 * abs(k * wall[0])


def test_it_all_comes_at_once_as_it_does_one_by_one():
    sources, receivers, hz = np.array([[0, 0, 0], [3, 0, 1]]), np.array(SEATS), np.array([31.0, 62.5, 118.0])
    together = box.transfer(ROOM, sources, receivers, hz, 0.4)
    assert together.shape == (2, 6, 3)
    for s, r, f in itertools.product(range(2), range(6), range(3)):
        assert together[s, r, f] == pytest.approx(pressure(sources[s], receivers[r], hz[f], 0.4), abs=1e-9)


def test_at_a_mode_little_damping_makes_it_loud_but_not_without_end():
    quiet, loud = (box.level_db(ROOM, (0, 0, 0), (6, 1, 1), 343 / 12, t60) for t60 in (0.3, 3000))
    assert 70 < loud - quiet < 90  # the peak goes with T: 10 000 times is 80 dB


# --- subs


def test_four_subs_drive_the_modes_that_a_sum_by_hand_leaves():
    """corners: even-even at 4; midpoints: (2, 2) at -4, (4, 0), (0, 4), (4, 4); quarters: (4, 0), (0, 4), (4, 4)."""
    driven = {
        placement: {
            (n, m): round(subs.drive(placement, (n, m)), 9)
            for n in range(5)
            for m in range(5)
            if abs(subs.drive(placement, (n, m))) > 1e-9 and (n, m) != (0, 0)
        }
        for placement in subs.PLACEMENTS
    }
    even = {(n, m): 4 for n in (0, 2, 4) for m in (0, 2, 4) if n or m}
    assert driven["corners"] == even
    assert driven["wall_midpoints"] == {(2, 2): -4, (4, 0): 4, (0, 4): 4, (4, 4): 4}
    assert set(driven["quarter_points"]) == {(4, 0), (0, 4), (4, 4)}


def test_midpoints_make_the_seats_of_a_room_alike_at_its_width_mode():
    middles = [one.at for one in subs.places(ROOM) if one.kind == "wall midpoint"]
    assert subs.seat_spread_db(ROOM, middles, SEATS, 38, 0.5) < 3
    assert subs.seat_spread_db(ROOM, [(0, 0, 0)], SEATS, 38, 0.5) > 20


@pytest.mark.parametrize("aim", subs.Aim)
@pytest.mark.parametrize("count", [1, 2, 3])
def test_the_best_places_are_the_best_of_all_choices(count, aim):
    """Each choice worked alone: the levels of its subs, and how far they are from their mean, by plain arithmetic."""
    places, seats, hz = subs.places(ROOM, 0.2)[:7], SEATS[:3], subs.notes(25, 100, 6)

    def off(chosen):
        levels = subs.response_db(ROOM, [one.at for one in chosen], seats, hz, 0.5).tolist()
        notes = len(hz)
        if aim is subs.Aim.SMOOTH:
            mean = [sum(map(sum, levels)) / (3 * notes)] * notes
        else:
            mean = [sum(seat[f] for seat in levels) / 3 for f in range(notes)]
        return math.sqrt(sum((seat[f] - mean[f]) ** 2 for seat in levels for f in range(notes)) / (3 * notes))

    ranked = sorted((off(chosen), [one.name for one in chosen]) for chosen in itertools.combinations(places, count))
    found = subs.best(ROOM, places, seats, count, 0.5, f_hz=hz, aim=aim)
    scores = [one.score_db if aim is subs.Aim.SMOOTH else one.unlike_db for one in found]
    assert scores == pytest.approx([score for score, _names in ranked[:3]], abs=1e-9)
    assert off(found[0].places) == pytest.approx(ranked[0][0], abs=1e-9)


def test_four_subs_make_the_seats_more_alike_than_one_and_play_louder():
    found = subs.by_count(ROOM, subs.places(ROOM), SEATS, 0.5, aim=subs.Aim.ALIKE)
    assert [len(one.places) for one in found] == [1, 2, 3, 4]
    assert found[3].unlike_db < found[0].unlike_db
    assert found[3].mean_db > found[0].mean_db
    assert found[0].levels.shape == (6, 63)


def test_a_mirrored_room_has_the_mirrored_best():
    """Seats in the middle line: the place left and right of it are as good, and the first of them is told."""
    found = subs.best(ROOM, subs.places(ROOM)[:4], [(3.5, 2.25, 1.1)], 1, 0.5, most=4)
    assert found[0].score_db == pytest.approx(found[1].score_db, abs=1e-6)
    assert [one.places[0].name for one in found[:2]] in (["corner 1", "corner 4"], ["corner 2", "corner 3"])


def test_places_off_the_wall_are_all_inside():
    for one in subs.places(ROOM, 2.7, 0.3):
        assert 0.3 <= one.at[0] <= 5.7 and 0.3 <= one.at[1] <= 4.2 and one.at[2] == 2.7


def test_notes_are_as_many_in_each_octave():
    hz = subs.notes()
    assert (hz[0], hz[-1]) == (pytest.approx(20), pytest.approx(120))
    assert np.ptp(hz[1:] / hz[:-1]) < 1e-9


SUB = subs.Place("a", "mark", (0.0, 0.0, 0.0))


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        (lambda: box.level_db(ROOM, (1, 1, 1), (1, 1, 1), 40, 0.5), "receiver_m"),
        (lambda: box.level_db(ROOM, (1, 1, 3), (1, 1, 1), 40, 0.5), "source_m"),
        (lambda: box.level_db(ROOM, (1, 1, 1), (-1, 1, 1), 40, 0.5), "receiver_m"),
        (lambda: box.level_db(ROOM, (1, 1, 1), (math.nan, 1, 1), 40, 0.5), "receiver_m"),
        (lambda: box.level_db(ROOM, (1, 1, 1), (2, 1, 1), 0, 0.5), "f_hz"),
        (lambda: box.level_db(ROOM, (1, 1, 1), (2, 1, 1), 20_000, 0.5), "f_hz"),
        (lambda: box.level_db(ROOM, (1, 1, 1), (2, 1, 1), 40, 0), "t60_s"),
        (lambda: box.level_db((1e6, 1e-6, 1), (1, 0, 1), (2, 0, 1), 40, 0.5), "room_m"),
        (lambda: subs.drive("middle", (1, 1)), "placement"),
        (lambda: subs.drive("corners", (1,)), "mode"),
        (lambda: subs.places(ROOM, 3), "height_m"),
        (lambda: subs.places(ROOM, 0, 2), "off_wall_m"),
        (lambda: subs.seat_spread_db(ROOM, [(0, 0, 0)], [], 40, 0.5), "seats_m"),
        (lambda: subs.seat_spread_db(ROOM, [], SEATS, 40, 0.5), "subs_m"),
        (lambda: subs.best(ROOM, [SUB], SEATS, 2, 0.5), "count"),
        (lambda: subs.best(ROOM, [SUB] * 33, SEATS, 2, 0.5), "candidates"),
        (lambda: subs.best(ROOM, [SUB], SEATS * 5, 1, 0.5), "seats_m"),
        (lambda: subs.notes(100, 20), "f_hz"),
    ],
)
def test_what_can_not_be_is_refused_by_its_name(asked, field):
    with pytest.raises(SoundError) as refused:
        asked()
    assert refused.value.field == field
