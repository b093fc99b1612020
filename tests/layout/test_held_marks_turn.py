"""A room that is turned where rows are counted over several parts, or speakers have a line of their own.

Whichever corner is zero, every hole has to stay where it is: places are told from the left and the door wall.
"""

from dataclasses import dataclass, replace

import pytest

from layout.engine.ceiling import ZoneWish
from layout.engine.lengths import inches
from layout.engine.marks import Axis, Kind, Orientation, Side
from layout.engine.pins import Line, Moved, Pin
from layout.engine.room import Fitting, lay_out
from layout.following import _rows, _Turn, _turned_moved, _turned_pins
from tests.engine.test_attacked_rooms import L_ROOM, PLAIN

AN_L = replace(L_ROOM, zones=(ZoneWish("B", rows=2),))  # rows 3 and 4 are the wing's
FAR_RIGHT = Orientation(Axis.LEFT_RIGHT, Side.RIGHT, Side.FAR)
SPEAKERS = replace(
    PLAIN,
    rows=3,
    door_far=replace(PLAIN.door_far, finished=inches(264)),
    speaker=Fitting("six", "6 in speaker", inches(8)),
    speaker_gaps=(1, 2),
    speaker_rows=(2,),
    speakers_between=(1,),
)


@dataclass(frozen=True)
class Held:
    pins: tuple = ()
    moved: tuple = ()


def places(layout):
    sizes = layout.wide.datums.ceiling, layout.deep.datums.ceiling
    turn = layout.inputs.orientation
    return {(mark.kind, *turn.plan_xy(mark.along, mark.across, *sizes)) for mark in layout.arrangement.marks}


def turned(inputs, held):
    """The room from its far right corner with what was held in it."""
    was = lay_out(replace(inputs, pins=held.pins, moved=held.moved))
    over = replace(
        inputs,
        orientation=FAR_RIGHT,
        speaker_rows=tuple(inputs.rows + 1 - row for row in inputs.speaker_rows),
        speakers_between=tuple(inputs.rows - row for row in inputs.speakers_between),
    )
    turns = {
        "along": _Turn(Axis.LEFT_RIGHT, True, was.along.datums.ceiling),
        "across": _Turn(Axis.DOOR_FAR, True, was.across.datums.ceiling),
    }
    lines = {Line.COLUMN: len(was.arrangement.columns), Line.ROW: len(was.arrangement.rows)}
    rows = _rows(was, lay_out(over), lines[Line.ROW])
    pins = tuple(_turned_pins(held, turns, False, lines, rows))
    moved = tuple(_turned_moved(held, turns, was, rows))
    return was, lay_out(replace(over, pins=pins, moved=moved))


@pytest.mark.parametrize("row", [1, 2, 3, 4])
def test_a_row_held_in_any_part_of_an_l_stays_on_its_holes(row):
    parts = lay_out(AN_L).zones
    at = [place for part in parts for place in part.rows][row - 1] + inches(3)
    was, now = turned(AN_L, Held(pins=(Pin(Line.ROW, row, at.exact()),)))
    assert places(was) == places(now) != places(lay_out(AN_L))


@pytest.mark.parametrize("row", [1, 2, 3, 4])
def test_a_light_put_off_its_line_in_any_part_of_an_l_stays_where_it_was_put(row):
    was, now = turned(AN_L, Held(moved=(Moved(Kind.LIGHT, row, 1, inches(50), inches(50 * row)),)))
    assert places(was) == places(now) != places(lay_out(AN_L))


@pytest.mark.parametrize("row, number", [(1, 1), (1, 2), (2, 1), (2, 2)])
def test_a_speaker_put_off_its_line_stays_where_it_was_put_on_a_row_or_between_two(row, number):
    """Two speakers stand midway between rows 1 and 2, two in row 2 itself."""
    held = Held(moved=(Moved(Kind.SPEAKER, row, number, inches(33), inches(99)),))
    was, now = turned(SPEAKERS, held)
    assert places(was) == places(now) != places(lay_out(SPEAKERS))


def test_rows_held_in_a_wing_are_let_go_when_the_rows_run_the_other_way():
    was = lay_out(AN_L)
    turns = {
        "along": _Turn(Axis.LEFT_RIGHT, False, was.along.datums.ceiling),
        "across": _Turn(Axis.DOOR_FAR, False, was.across.datums.ceiling),
    }
    lines = {Line.COLUMN: len(was.arrangement.columns), Line.ROW: len(was.arrangement.rows)}
    held = Held(pins=(Pin(Line.ROW, 1, inches(40)), Pin(Line.ROW, lines[Line.ROW] + 1, inches(200))))
    assert list(_turned_pins(held, turns, True, lines, _rows(was, None, 2))) == [Pin(Line.COLUMN, 1, inches(40))]
