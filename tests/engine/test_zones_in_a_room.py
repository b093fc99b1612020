"""From tape readings and corners to the marks of a room of zones."""

from dataclasses import replace

import pytest

from layout.engine.ceiling import Corner, Region
from layout.engine.lengths import Unit, inches
from layout.engine.marks import Axis, Orientation, Side
from layout.engine.room import AxisSurvey, Fitting, RoomInputs, lay_out
from layout.engine.rows.arrange import Code, Mode
from layout.engine.shape.outline import CrossesItself
from layout.engine.stacks import Layer, SideBuildUp

BOARD = SideBuildUp((Layer("board", inches("1/2")),))


def survey(framing):
    return AxisSurvey(inches(framing), None, None, BOARD, BOARD)


def corners(*points):
    return tuple(Corner(inches(x), inches(y)) for x, y in points)


# 20 ft 1 in by 19 ft 1 in of framing: 240 by 228 of ceiling, with 8 ft by 5 ft left out at the far right
ROOM = RoomInputs(
    unit=Unit.INCH, orientation=Orientation(Axis.LEFT_RIGHT), left_right=survey(241), door_far=survey(229),
    rows=2, lights_per_row=4, mode_along=Mode.WALL_HELD, mode_across=Mode.WALL_HELD, end_setback=inches(24),
    row_setback=inches(30), spacing_limit=inches(72), edge_min=inches(4), web_min=inches("1 1/2"),
    light_to_speaker=inches(24), light=Fitting("c6", "6 in light", inches("6 3/8")),
    outline=corners((0, 0), (240, 0), (240, 168), (144, 168), (144, 228), (0, 228)),
)  # fmt: skip


def test_a_room_with_an_alcove_is_laid_out_in_two_zones():
    layout = lay_out(ROOM)
    assert [one.zone.name for one in layout.zones] == ["A", "B"]
    assert [float(at.inches) for at in layout.arrangement.columns] == [24, 88, 152, 216]
    assert [float(at.inches) for at in layout.arrangement.rows] == [30, 138]
    assert len(layout.arrangement.marks) == 10
    assert not layout.arrangement.findings


def test_from_the_far_right_corner_the_same_marks_stand_on_the_plan():
    near, far = lay_out(ROOM), lay_out(replace(ROOM, orientation=Orientation(Axis.LEFT_RIGHT, Side.RIGHT, Side.FAR)))
    assert _on_plan(near) == _on_plan(far)


def _on_plan(layout):
    wide, deep = layout.wide.datums.ceiling, layout.deep.datums.ceiling
    turn = layout.inputs.orientation
    return {turn.plan_xy(mark.along, mark.across, wide, deep) for mark in layout.arrangement.marks}


def test_without_outline_and_regions_there_are_no_zones():
    layout = lay_out(replace(ROOM, outline=()))
    assert layout.zones == ()


def test_a_tray_in_a_plain_room_is_a_zone():
    tray = Region("tray", corners((90, 84), (150, 84), (150, 144), (90, 144)), inches(8))
    layout = lay_out(replace(ROOM, outline=(), regions=(tray,)))
    assert [one.zone.title for one in layout.zones] == ["", "tray"]
    assert [(m.along, m.across) for m in layout.arrangement.marks if m.zone == "B"] == [(inches(120), inches(114))]


def test_an_outline_that_crosses_itself_lays_out_nothing():
    with pytest.raises(CrossesItself):
        lay_out(replace(ROOM, outline=corners((0, 0), (240, 0), (0, 228), (240, 228))))


def test_an_outline_that_is_not_the_taped_rooms_is_told():
    """The left wall was furred 7/8 in more after the corners were entered: 239 1/8 of ceiling, corners at 240."""
    furred = replace(ROOM.left_right, low=SideBuildUp((Layer("channel and board", inches("1 3/8")),)))
    (found,) = lay_out(replace(ROOM, left_right=furred)).arrangement.findings
    assert (found.code, found.short_by) == (Code.OUTLINE_OFF_TAPE, inches("7/8"))


def test_a_quarter_inch_of_difference_is_nothing():
    """Common practice, no source."""
    longer = replace(ROOM.left_right, framing=inches("241 1/4"))
    assert not lay_out(replace(ROOM, left_right=longer)).arrangement.findings


def test_a_region_reaches_to_the_wall_without_being_held_to_it():
    """A soffit without lights along the whole far wall, 12 in deep: nothing is near its edge, nothing is said."""
    soffit = Region("soffit", corners((0, 216), (240, 216), (240, 228), (0, 228)), inches(-8), laid_out=False)
    layout = lay_out(replace(ROOM, outline=(), regions=(soffit,), row_setback=inches(60)))
    assert layout.arrangement.findings == ()
