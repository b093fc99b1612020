"""A room's lay-in grid hangs where it hangs, from whichever corner and face the crew pulls."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.engine.ceiling import Grid
from layout.engine.lengths import Unit, inches
from layout.engine.marks import Axis, Datum, Orientation, Side
from layout.engine.room import AxisSurvey, Fitting, RoomInputs, lay_out
from layout.engine.rows.arrange import Mode
from layout.engine.rows.grid import GridError
from layout.engine.stacks import Layer, SideBuildUp

FURRED = SideBuildUp((Layer("furring", inches(2)),), inches(6))
OFFICE = RoomInputs(
    unit=Unit.INCH,
    orientation=Orientation(Axis.LEFT_RIGHT),
    left_right=AxisSurvey(inches(244), None, None, FURRED, FURRED),
    door_far=AxisSurvey(None, inches(186), None, SideBuildUp(gap=inches(6)), SideBuildUp()),
    rows=2,
    lights_per_row=4,
    mode_along=Mode.WALL_HELD,
    mode_across=Mode.WALL_HELD,
    end_setback=inches(24),
    row_setback=inches(30),
    spacing_limit=inches(96),
    edge_min=inches(4),
    web_min=inches("1 1/2"),
    light_to_speaker=inches(24),
    light=Fitting("light", "Light", inches(6)),
    grid=Grid(inches(24), inches(24), line_x=inches(41), line_y=inches(41)),
)


def tiles(**change):
    wish = lay_out(replace(OFFICE, **change)).arrangement.wish
    return wish.tiles_along, wish.tiles_across


def found_from(datum):
    return {"grid": replace(OFFICE.grid, datum=datum)}


@pytest.mark.parametrize(
    ("datum", "first"),
    [
        (Datum.EDGE, 17),  # 41 less one tile
        (Datum.FINISHED, 11),  # 6 of gap less
        (Datum.FRAMING, 9),  # and 2 of furring
    ],
)
def test_a_tee_is_taken_from_the_face_it_was_found_from(datum, first):
    change = found_from(datum)
    if datum is Datum.FRAMING:
        change["grid"] = replace(change["grid"], line_y=None)
    assert tiles(**change)[0].first_border == inches(first)


def test_framing_nobody_taped_names_the_remedy():
    with pytest.raises(GridError, match="Measure the line from the finished wall"):
        lay_out(replace(OFFICE, **found_from(Datum.FRAMING)))


def test_pulled_from_the_far_right_the_first_border_is_the_other_one():
    """228 less 17 is 211: eight tiles and 19."""
    near, far = tiles()[0], tiles(orientation=Orientation(Axis.LEFT_RIGHT, Side.RIGHT, Side.FAR))[0]
    assert (near.first_border, near.last_border) == (far.last_border, far.first_border) == (inches(17), inches(19))


@given(
    st.sampled_from(Axis), st.sampled_from([Side.LEFT, Side.RIGHT]), st.sampled_from([Side.DOOR, Side.FAR]),
    st.integers(-500, 4000), st.integers(-500, 4000), st.sampled_from([Datum.EDGE, Datum.FINISHED]),
)  # fmt: skip
def test_turning_the_corner_or_the_rows_moves_no_tee(rows_run, zero_x, zero_y, x, y, datum):
    tick = Unit.INCH.tick
    grid = replace(OFFICE.grid, line_x=tick * x, line_y=tick * y, datum=datum)
    turn = Orientation(rows_run, zero_x, zero_y)
    along, across = tiles(grid=grid, orientation=turn)
    plain_x, plain_y = tiles(grid=grid)
    turned_x, turned_y = (along, across) if rows_run is Axis.LEFT_RIGHT else (across, along)
    for plain, turned, flipped in ((plain_x, turned_x, zero_x is Side.RIGHT), (plain_y, turned_y, zero_y is Side.FAR)):
        lines = tuple(turned.size - line for line in reversed(turned.lines)) if flipped else turned.lines
        assert lines == plain.lines
