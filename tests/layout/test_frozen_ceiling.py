"""What stands overhead, the ceiling's shape and what a person holds are frozen with the layout, and thaw the same.

Revisions issued before any of that was known freeze to the bytes they always had.
"""

import json
from dataclasses import replace
from fractions import Fraction

from layout import frozen
from layout.engine.ceiling import Corner, Grid, Region, Slope, ZoneWish
from layout.engine.lengths import Distance, Unit, inches
from layout.engine.marks import Axis, Datum, Kind, Orientation, Side
from layout.engine.overhead.values import Cavity, ClearTo, Frame, Joists, Member, Overhead, Thing
from layout.engine.pins import Line, Moved, Pin
from layout.engine.room import AxisSurvey, Fitting, RoomInputs, lay_out
from layout.engine.rows.arrange import Mode
from layout.engine.stacks import SideBuildUp
from layout.engine.switching import Switched


def survey(size):
    return AxisSurvey(None, inches(size), None, SideBuildUp(), SideBuildUp())


PLAIN = RoomInputs(
    unit=Unit.INCH,
    orientation=Orientation(Axis.LEFT_RIGHT),
    left_right=survey(228),
    door_far=survey(150),
    rows=2,
    lights_per_row=4,
    mode_along=Mode.WALL_HELD,
    mode_across=Mode.WALL_HELD,
    end_setback=inches(24),
    row_setback=inches(30),
    spacing_limit=inches(72),
    edge_min=inches(4),
    web_min=inches("1 1/2"),
    light_to_speaker=inches(24),
    light=Fitting("light", "Light", inches("6 3/8")),
)
THIRD = inches(1) / 3
FULL = replace(
    PLAIN,
    light=Fitting("light", "Light", inches(6), True, Frame(inches(15), inches(10), inches(6), inches(5)), inches(6)),
    overhead=Overhead(
        joists=(
            Joists(Axis.DOOR_FAR, inches("19 1/5"), inches("1 1/2"), THIRD, Side.LEFT, Datum.FRAMING, inches("1/2")),
        ),
        members=(Member("header", Axis.LEFT_RIGHT, inches(60), Side.FAR, Datum.EDGE, inches(3), inches("1/2")),),
        things=(
            Thing(
                "duct", "duct", inches(60), THIRD, inches(12), inches(40), False, Datum.FINISHED, inches(1),
                ClearTo.CENTER, True, inches(5), False, "measured", "as agreed",
            ),
        ),
        cavity=Cavity(inches(9), inches("1/2"), "joists 9"),
        looked=True,
    ),
    outline=(Corner(inches(0), inches(0)), Corner(inches(228), THIRD), Corner(inches(0), inches(150))),
    regions=(Region("tray", (Corner(inches(1), inches(1)),), Distance(Fraction(7, 3)), False),),
    zones=(ZoneWish("tray", 1, None),),
    grid=Grid(inches(24), inches(48), THIRD, None, Datum.FINISHED, True, True),
    slope=Slope(Axis.DOOR_FAR, inches(4), inches(12)),
    pins=(Pin(Line.COLUMN, 2, inches(80)),),
    moved=(Moved(Kind.SPEAKER, 1, 2, inches(80), inches(31)),),
    rows_of=Kind.SPEAKER,
    speaker_rows=(2,),
    speakers_between=(1,),
    switched=(Switched(1, 2, "B"),),
)  # fmt: skip


def test_all_of_it_thaws_to_the_same_value_and_freezes_to_the_same_bytes():
    text = frozen.freeze_inputs(FULL)
    assert frozen.thaw_inputs(text) == FULL
    assert frozen.freeze_inputs(frozen.thaw_inputs(text)) == text


def test_what_says_nothing_is_left_out():
    written = json.loads(frozen.freeze_inputs(PLAIN))["inputs"]
    assert written["light"].keys() == {"key", "name", "cutout"}
    assert written.keys() == {
        "unit", "orientation", "left_right", "door_far", "rows", "lights_per_row", "mode_along", "mode_across",
        "end_setback", "row_setback", "spacing_limit", "edge_min", "web_min", "light_to_speaker", "light", "speaker",
        "subwoofer", "speaker_gaps", "speaker_columns", "typed_along", "typed_across",
    }  # fmt: skip


def test_how_frames_are_turned_is_part_of_what_was_issued():
    joists = Joists(Axis.DOOR_FAR, inches(16), inches("1 1/2"), inches(10), Side.LEFT, Datum.EDGE, inches("1/2"))
    over = Overhead(joists=(joists,), looked=True)
    assert "turns" not in json.loads(frozen.freeze_result(lay_out(replace(PLAIN, overhead=over))))
    framed = replace(PLAIN.light, frame=Frame(inches(15), inches(8), inches("7 1/2"), inches(4)))
    result = json.loads(frozen.freeze_result(lay_out(replace(PLAIN, overhead=over, light=framed))))
    assert result["turns"].keys() == {f"A{number}" for number in range(1, 9)}


def test_an_early_revision_thaws():
    """As the first revisions were written, to the byte."""
    early = (
        '{"engine":1,"inputs":{"door_far":{"difference_lies":"unknown","finished":3810000000,"framing":null,'
        '"high":{"gap":0,"layers":[]},"low":{"gap":0,"layers":[]},"shortest":null},"edge_min":101600000,'
        '"end_setback":609600000,"left_right":{"difference_lies":"unknown","finished":5791200000,"framing":null,'
        '"high":{"gap":0,"layers":[]},"low":{"gap":0,"layers":[]},"shortest":null},"light":{"cutout":161925000,'
        '"key":"light","name":"Light"},"light_to_speaker":609600000,"lights_per_row":4,"mode_across":"wall_held",'
        '"mode_along":"wall_held","orientation":{"rows_run":"left_right","zero_x":"left","zero_y":"door"},'
        '"row_setback":762000000,"rows":2,"spacing_limit":1828800000,"speaker":null,"speaker_columns":[],'
        '"speaker_gaps":[],"subwoofer":null,"typed_across":[],"typed_along":[],"unit":"in","web_min":38100000}}'
    )
    assert frozen.thaw_inputs(early) == PLAIN
    assert frozen.freeze_inputs(PLAIN) == early
