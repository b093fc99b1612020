"""Each light carries the letter of the switch it is on and is counted on it; no letter is lost unheard."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.ceiling import Corner
from layout.engine.lengths import Unit, inches
from layout.engine.marks import Axis, Kind, Orientation
from layout.engine.pins import Line, Pin
from layout.engine.room import AxisSurvey, Fitting, RoomInputs, lay_out
from layout.engine.rows.arrange import Code, Mode
from layout.engine.stacks import Layer, SideBuildUp
from layout.engine.suggested_zones import Purpose, RoomFacts, Why, suggest
from layout.engine.switching import Switched, places, said

BOARD = SideBuildUp((Layer("board", inches("1/2")),))


def survey(framing):
    return AxisSurvey(inches(framing), None, None, BOARD, BOARD)


# 19 ft by 14 ft of ceiling, three rows of four, a speaker in the middle gap of each row
ROOM = RoomInputs(
    unit=Unit.INCH, orientation=Orientation(Axis.LEFT_RIGHT), left_right=survey(229), door_far=survey(169),
    rows=3, lights_per_row=4, mode_along=Mode.WALL_HELD, mode_across=Mode.WALL_HELD, end_setback=inches(30),
    row_setback=inches(30), spacing_limit=inches(72), edge_min=inches(4), web_min=inches("1 1/2"),
    light_to_speaker=inches(24), light=Fitting("c6", "6 in light", inches("6 3/8")),
    speaker=Fitting("s6", "6 in speaker", inches(8)), speaker_gaps=(2,),
)  # fmt: skip


def ids(layout, kind=Kind.LIGHT):
    return [mark.id for mark in layout.arrangement.marks if mark.kind is kind]


def with_switches(*switched, room=ROOM):
    return lay_out(replace(room, switched=tuple(Switched(*one) for one in switched)))


def test_until_somebody_says_otherwise_all_lights_are_on_switch_a():
    assert ids(lay_out(ROOM)) == [f"A{n}" for n in range(1, 13)]


def test_each_switch_counts_its_own_lights_from_one():
    layout = with_switches((1, 1, "B"), (1, 4, "B"), (3, 2, "C"))
    assert ids(layout) == ["B1", "A1", "A2", "B2", "A3", "A4", "A5", "A6", "A7", "C1", "A8", "A9"]
    assert [mark.zone for mark in layout.arrangement.marks][:4] == ["B", "A", "A", "B"]


def test_speakers_keep_their_numbers():
    assert ids(with_switches((1, 1, "B")), Kind.SPEAKER) == ["SP1", "SP2", "SP3"]


def test_nothing_moves_when_a_light_goes_on_another_switch():
    plain, switched = lay_out(ROOM), with_switches((2, 3, "D"))
    assert [(m.along, m.across) for m in switched.arrangement.marks] == [
        (m.along, m.across) for m in plain.arrangement.marks
    ]


def test_what_is_wrong_is_said_under_the_new_names():
    wide = replace(ROOM, mode_along=Mode.LOCKED, typed_along=(inches(20), inches(120)), speaker=None, speaker_gaps=())
    layout = with_switches((1, 2, "B"), room=wide)
    (gap,) = (one for one in layout.arrangement.findings if one.code is Code.GAP_OVER_LIMIT)
    assert gap.subject == "A1, B1"


def test_a_letter_for_a_light_that_is_gone_is_told():
    layout = with_switches((1, 1, "B"), (3, 4, "C"), room=replace(ROOM, rows=2))
    assert layout.unswitched == (Switched(3, 4, "C"),)
    assert ids(layout)[0] == "B1"


def test_a_light_moved_by_a_row_held_elsewhere_keeps_its_switch():
    layout = with_switches((2, 1, "B"), room=replace(ROOM, pins=(Pin(Line.ROW, 2, inches(80)),)))
    (moved,) = (mark for mark in layout.arrangement.marks if mark.zone == "B")
    assert (moved.row, moved.across) == (2, inches(80))


WING = tuple(Corner(inches(x), inches(y)) for x, y in ((0, 0), (228, 0), (228, 100), (168, 100), (168, 168), (0, 168)))


def test_parts_of_a_ceiling_keep_their_letters_until_somebody_draws_switches():
    parts = replace(ROOM, outline=WING, speaker=None, speaker_gaps=())
    plain = lay_out(parts)
    assert {mark.zone for mark in plain.arrangement.marks} == {"A", "B"}
    assert ids(plain)[-1].startswith("B") and ids(plain)[-1] != "B1"  # counted on over the room, as issued before
    switched = with_switches((1, 1, "C"), room=parts)
    assert ids(switched)[0] == "C1"
    assert next(name for name in ids(switched) if name[0] == "B") == "B1"


def test_only_what_differs_is_kept():
    plain = lay_out(ROOM).arrangement.marks
    assert said(plain, {(1, 1): "A", (1, 2): "B", (9, 9): "C"}) == (Switched(1, 2, "B"),)


@given(st.dictionaries(st.tuples(st.integers(1, 3), st.integers(1, 4)), st.sampled_from("ABCDZ"), max_size=12))
@settings(max_examples=40, deadline=None)
def test_every_light_has_one_name_and_the_letters_said(letters):
    layout = with_switches(*((row, number, zone) for (row, number), zone in letters.items()))
    names = ids(layout)
    assert len(set(names)) == 12
    for place, mark in places(layout.arrangement.marks).items():
        assert mark.zone == letters.get(place, "A")
    for zone in {name[0] for name in names}:
        numbers = [int(name[1:]) for name in names if name[0] == zone]
        assert numbers == list(range(1, len(numbers) + 1))


# The suggestion


def suggested(facts=None, room=ROOM):
    found = suggest(lay_out(room).arrangement.marks, facts or RoomFacts())
    return {(one.row, one.number): one for one in found}


def test_outer_rows_go_on_a_switch_of_their_own_where_a_row_is_left_between():
    found = suggested()
    assert {at[0] for at, one in found.items() if one.purpose is Purpose.PERIMETER} == {1, 3}
    assert {one.zone for at, one in found.items() if at[0] == 2} == {"A"}


def test_two_rows_are_one_zone():
    found = suggested(room=replace(ROOM, rows=2))
    assert {(one.zone, one.purpose) for one in found.values()} == {("A", Purpose.GENERAL)}


def test_a_light_over_a_task_is_on_the_tasks_switch_and_says_why():
    found = suggested(RoomFacts(tasks={(2, 1), (2, 2)}))
    assert found[2, 1].purpose is Purpose.TASK and found[2, 1].why is Why.OVER_A_TASK
    assert found[2, 3].zone == "A"


def test_the_row_at_the_screen_can_be_off_during_a_film():
    found = suggested(RoomFacts(screen=(Line.ROW, True)))
    assert {at for at, one in found.items() if one.purpose is Purpose.SCREEN} == {(1, n) for n in range(1, 5)}
    end = suggested(RoomFacts(screen=(Line.COLUMN, False)))
    assert {at for at, one in end.items() if one.purpose is Purpose.SCREEN} == {(row, 4) for row in range(1, 4)}


def test_a_room_without_lights_gets_no_zones():
    assert suggest((), RoomFacts()) == ()


@given(
    rows=st.integers(1, 8), columns=st.integers(1, 8), tasks=st.sets(st.tuples(st.integers(1, 8), st.integers(1, 8))),
    accents=st.sets(st.tuples(st.integers(1, 8), st.integers(1, 8))),
    screen=st.sampled_from([None, (Line.ROW, True), (Line.COLUMN, False)]), zones=st.integers(1, 6),
)  # fmt: skip
@settings(max_examples=60, deadline=None)
def test_a_suggestion_has_every_light_once_and_few_zones_of_few_lights(rows, columns, tasks, accents, screen, zones):
    big = replace(
        ROOM, left_right=survey(481), door_far=survey(481), rows=rows, lights_per_row=columns, speaker=None,
        speaker_gaps=(), spacing_limit=inches(500), end_setback=inches(24), row_setback=inches(24),
    )  # fmt: skip
    marks = lay_out(big).arrangement.marks
    found = suggest(marks, RoomFacts(tasks, accents, screen, most_zones=zones))
    assert [(one.row, one.number) for one in found] == sorted(places(marks))
    letters = sorted({one.zone for one in found})
    assert letters == [chr(ord("A") + n) for n in range(len(letters))]
    assert len(letters) <= max(zones, -(-len(marks) // 12))
    for letter in letters:  # one switch has one purpose
        assert len({one.purpose for one in found if one.zone == letter}) == 1
