"""Walls taped in order make the room's outline, and what doesn't close is told, never mended by itself."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.ceiling import Corner
from layout.engine.lengths import ZERO, LengthError, Style, Tape, inches, nanometers
from layout.engine.marks import Side
from layout.engine.shape.outline import outline_of
from layout.engine.shape.turns import Diagonal, Hand, Legs, Turn
from layout.engine.shape.walls import NothingLeftInside, Wall, WallsDoNotClose, finished_corners, said, take_up, walk

INCHES = Tape(Style.INCHES, 8)
RIGHT, LEFT = Turn(), Turn(Hand.LEFT)


def wall(length, turn=RIGHT, takes_off=0, name=""):
    return Wall(inches(length), turn, inches(takes_off), name)


def at(*points):
    return tuple(Corner(inches(x), inches(y)) for x, y in points)


# 10 ft deep left wall, 12 ft far wall, then down 4 ft, in 5 ft, down 6 ft, back 7 ft: an L
ELL = [
    wall(120, name="window wall"),
    wall(144, name="far wall"),
    wall(48, name="hall wall"),
    wall(60, LEFT, name="jog"),
    wall(72, name="closet wall"),
    wall(84, name="door wall"),
]
ELL[2] = replace(ELL[2], turn=RIGHT)


def test_square_corners_walk_back_to_the_start():
    walked = walk(ELL)
    assert walked.closing is None and walked.turning is None
    assert walked.corners == at((0, 0), (0, 120), (144, 120), (144, 72), (84, 72), (84, 0))


def test_the_same_walls_walked_the_other_way_round():
    back = [wall(84), wall(72, RIGHT), wall(60, LEFT), wall(48, LEFT), wall(144, LEFT), wall(120, LEFT)]
    back[0] = wall(84, LEFT)
    walked = walk(back, Side.RIGHT)
    assert walked.closing is None and walked.turning is None
    assert outline_of(walked.corners) == outline_of(walk(ELL).corners)


def test_three_over_four_is_a_three_four_five():
    """Up 96, off to the right 4 over 3 for 60 (48 right, 36 up), 3 over 4 to run square again. Nothing is rounded."""
    walls = [
        wall(96, Turn(Hand.RIGHT, Legs(over=inches(4), run=inches(3)))),
        wall(60, Turn(Hand.RIGHT, Legs(over=inches(3), run=inches(4)))),
        wall(40),
        wall(132),
        wall(88),
    ]
    walked = walk(walls)
    assert walked.closing is None
    assert walked.corners == at((0, 0), (0, 96), (48, 132), (88, 132), (88, 0))


def test_a_corner_measured_with_a_square_diagonal_is_a_square_corner():
    """3-4-5: 36 in back, 48 in on, 60 in across."""
    square = Turn(Hand.RIGHT, Diagonal(inches(36), inches(48), inches(60)))
    walked = walk([wall(120, square), wall(144, square), wall(120, square), wall(144, square)])
    assert walked.closing is None
    assert walked.corners == at((0, 0), (0, 120), (144, 120), (144, 0))


def test_an_equilateral_room_by_its_diagonals():
    """Equal legs and an equal reading across: 60 degrees. Sides of 100 in stand 50 sqrt(3) = 86.6025404 high."""
    sixty = Turn(Hand.RIGHT, Diagonal(inches(30), inches(30), inches(30)))
    walked = walk([wall(100, sixty)] * 3)
    assert walked.closing is None
    wide = max(corner.x for corner in walked.corners)
    assert float(wide.inches) == pytest.approx(86.6025404, abs=1e-6)


def test_walls_that_fall_short_are_told_with_the_walls_to_look_at():
    short = [*ELL[:3], replace(ELL[3], length=inches("58 5/8")), *ELL[4:]]
    walked = walk(short)
    assert walked.closing is not None
    assert walked.closing.off == inches("1 3/8")
    told = said(walked, INCHES)
    assert told.startswith('The walls do not close: 1 3/8" long along the far wall. Which wall is wrong?')
    assert told.endswith(
        'They close with the far wall shorter by 1 3/8", or the door wall longer by 1 3/8", or the jog longer by '
        '1 3/8".'
    )
    assert [one.number for one in walked.closing.suspects] == [2, 6, 4]


def test_an_outline_is_not_made_of_walls_that_do_not_close():
    with pytest.raises(WallsDoNotClose, match="do not close"):
        finished_corners(walk([*ELL[:5], wall(83)]))


def test_the_named_wall_takes_up_what_is_open_and_only_that_one():
    open_walls = [*ELL[:3], replace(ELL[3], length=inches("58 5/8")), *ELL[4:]]
    closed = take_up(walk(open_walls), [4])
    assert [one.length for one in closed.walls] == [one.length for one in ELL]
    with pytest.raises(LengthError, match="open"):
        take_up(walk(open_walls), [1])


def test_what_is_open_both_ways_takes_two_walls():
    walked = walk([*ELL[:4], wall(71), wall(85)])
    assert walked.closing is not None and walked.closing.dx == inches(-1) and walked.closing.dy == inches(1)
    assert said(walked, INCHES) == (
        'The walls do not close: the last ends 1" to the left and 1" toward the far wall of where the first began. '
        'No single wall mends that. Look first at two: they close with the far wall longer by 1" and the window wall '
        'shorter by 1".'
    )
    assert take_up(walked, [5, 6]).corners == walk(ELL).corners
    with pytest.raises(LengthError, match="same line"):
        take_up(walked, [2, 6])


def test_walls_that_are_nowhere_near_a_room_are_told_all_the_same():
    """Three walls out and hardly back: no wall or two walls can be changed into a room."""
    walked = walk([wall(10), wall(1000), wall(5), wall(1)])
    assert "do not close" in said(walked, INCHES)


def test_a_turn_entered_the_wrong_way_is_named():
    """The jog turned right instead of left: 6 right, 0 left."""
    wrong = [*ELL[:3], replace(ELL[3], turn=RIGHT), *ELL[4:]]
    walked = walk(wrong)
    assert walked.turning is not None and walked.turning.quarters == 6
    assert walked.turning.suspects[0] == 4
    assert "turn at the end of wall 4" in said(walked)


def test_each_walls_finish_moves_that_wall_in():
    """5/8 in on the left, 2 7/8 in on the right, 1 in on the far wall: 144 - 3 1/2 by 120 - 1."""
    walls = [wall(120, takes_off="5/8"), wall(144, takes_off=1), wall(120, takes_off="2 7/8"), wall(144)]
    room = outline_of(finished_corners(walk(walls)))
    assert (room.wide, room.deep) == (inches("140 1/2"), inches(119))


def test_finish_on_the_walls_of_a_corner_that_sticks_in_moves_it_out_of_the_room():
    """The inner corner (84, 72): the jog's 1 in takes ceiling above it, the closet wall's 2 in left of it."""
    walls = list(ELL)
    walls[3], walls[4] = replace(ELL[3], takes_off=inches(1)), replace(ELL[4], takes_off=inches(2))
    assert set(finished_corners(walk(walls))) == set(
        at((0, 0), (0, 120), (144, 120), (144, 73), (82, 73), (82, 0))
    )


def test_a_gap_round_a_floating_ceiling_comes_off_a_skewed_wall_square_to_it():
    """A 3-4-5 triangle of 60, 80 and 100 in has an inscribed circle of 20 in; 5 in off every wall leaves 3/4 of it:
    45, 60, 75."""
    # down the left wall is 60, along the door wall 80: walked door corner to far, then down the slope, then back
    slope = Turn(Hand.RIGHT, Diagonal(inches(36), inches(60), inches(48)))  # 53.13 degrees between left wall and slope
    back = Turn(Hand.RIGHT, Diagonal(inches(60), inches(48), inches(36)))
    walls = [wall(60, slope, 5), wall(100, back, 5), wall(80, RIGHT, 5)]
    room = outline_of(finished_corners(walk(walls)))
    assert float(room.wide.inches) == pytest.approx(60, abs=1e-6)
    assert float(room.deep.inches) == pytest.approx(45, abs=1e-6)


def test_a_wall_half_of_it_furred_leaves_a_step():
    straight = Turn(Hand.RIGHT, Legs(over=ZERO, run=inches(12)))
    walls = [wall(60, straight), wall(60, RIGHT, 2), wall(144), wall(120), wall(144)]
    assert set(finished_corners(walk(walls))) == set(
        at((0, 0), (0, 60), (2, 60), (2, 120), (144, 120), (144, 0))
    )


def test_a_wall_the_finish_eats_is_named():
    walls = [wall(120, takes_off=80), wall(144, name="hall wall"), wall(120, takes_off=80), wall(144)]
    with pytest.raises(NothingLeftInside, match="hall wall"):
        finished_corners(walk(walls))


def test_a_corner_that_is_no_triangle_is_refused_where_it_is_entered():
    with pytest.raises(LengthError, match="triangle"):
        Diagonal(inches(36), inches(48), inches(90))
    with pytest.raises(LengthError, match="3 over 12"):
        Legs(inches(3), ZERO)


LENGTHS = st.integers(16, 16 * 400)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(LENGTHS, LENGTHS), min_size=2, max_size=6), st.integers(0, 11), st.integers(1, 400))
def test_a_closed_stair_closes_and_one_misread_wall_is_among_the_suspects(steps, which, misread):
    """A stair up and to the right, then straight back: right turns at the outer corners, left at the inner ones."""
    sixteenth = inches("1/16")
    walls = []
    for n, (up, over) in enumerate(steps):
        walls.append(Wall((up * sixteenth).exact(), RIGHT))
        walls.append(Wall((over * sixteenth).exact(), LEFT if n < len(steps) - 1 else RIGHT))
    walls.append(Wall((sum(up for up, _ in steps) * sixteenth).exact(), RIGHT))
    walls.append(Wall((sum(over for _, over in steps) * sixteenth).exact(), RIGHT))
    assert walk(walls).closing is None and walk(walls).turning is None
    wrong = which % len(walls)
    misread_by = misread * nanometers(1_000_000)
    walls[wrong] = replace(walls[wrong], length=(walls[wrong].length + misread_by).exact())
    closing = walk(walls).closing
    assert closing is not None and closing.off == misread_by
    assert wrong + 1 in [one.number for one in closing.suspects if not one.leaves]
    assert take_up(walk(walls), [wrong + 1]).closing is None
