"""Speakers between lights or in their place, in some rows only, on a line of their own, or with no lights at all."""

from dataclasses import replace

import pytest

from layout.engine.lengths import Unit, inches
from layout.engine.marks import Kind
from layout.engine.rows.arrange import Code, Hole, Mode, Wish, WishError, arrange

ROOM = Wish(
    along=inches(240),
    across=inches(180),
    unit=Unit.INCH,
    mode_along=Mode.WALL_HELD,
    mode_across=Mode.WALL_HELD,
    rows=3,
    columns=4,
    end_setback=inches(24),
    row_setback=inches(30),
    spacing_limit=inches(72),
    light=Hole(inches(6)),
    speaker=Hole(inches(8)),
    speaker_gaps=(),
    speaker_columns=(),
    subwoofer=None,
    edge_min=inches(4),
    web_min=inches("1 1/2"),
    speaker_to_light_min=inches(24),
)


def speakers(wish):
    return [
        (mark.id, mark.along.inches, mark.across.inches, mark.row)
        for mark in arrange(wish).marks
        if mark.kind is Kind.SPEAKER
    ]


def test_in_gaps_of_chosen_rows():
    """Lights at 24, 88, 152, 216 in rows at 30, 90, 150: speakers at 56 and 184 of the last row."""
    wish = replace(ROOM, speaker_gaps=(1, 3), speaker_rows=(3,))
    assert speakers(wish) == [("SP1", 56, 150, 3), ("SP2", 184, 150, 3)]


def test_in_place_of_lights_of_chosen_rows_only():
    """The other rows keep the light, and lights are numbered straight through."""
    laid = arrange(replace(ROOM, speaker_columns=(1, 4), speaker_rows=(1, 3), spacing_limit=inches(200)))
    lights = [mark for mark in laid.marks if mark.kind is Kind.LIGHT]
    assert [(mark.id, mark.row) for mark in lights] == [
        ("A1", 1), ("A2", 1), ("A3", 2), ("A4", 2), ("A5", 2), ("A6", 2), ("A7", 3), ("A8", 3),
    ]  # fmt: skip
    assert [mark.id for mark in laid.marks if mark.kind is Kind.SPEAKER] == ["SP1", "SP2", "SP3", "SP4"]


def test_on_a_line_of_their_own_between_two_rows():
    """Halfway from 90 to 150. No row carries any then."""
    wish = replace(ROOM, speaker_gaps=(1, 3), speakers_between=(2,))
    assert speakers(wish) == [("SP1", 56, 120, 2), ("SP2", 184, 120, 2)]
    assert len(arrange(wish).marks) == 14


def test_on_a_line_of_their_own_in_line_with_lights():
    assert speakers(replace(ROOM, speaker_columns=(2, 3), speakers_between=(1,))) == [
        ("SP1", 88, 60, 1), ("SP2", 152, 60, 1),
    ]  # fmt: skip


def test_both_in_a_row_and_on_a_line_are_numbered_from_the_zero_corner():
    wish = replace(ROOM, speaker_gaps=(2,), speaker_rows=(1, 3), speakers_between=(1,))
    assert speakers(wish) == [("SP1", 120, 30, 1), ("SP2", 120, 60, 1), ("SP3", 120, 150, 3)]


def test_a_line_of_their_own_is_held_clear_of_lights():
    """Rows 30 and 45 (two rows, 15 apart): 7 1/2 from the lights of the same column."""
    wish = replace(ROOM, rows=2, across=inches(75), speaker_columns=(1, 4), speakers_between=(1,))
    assert {finding.code for finding in arrange(wish).findings} == {Code.HOLES_TOO_CLOSE, Code.SPEAKER_NEAR_LIGHT}


def test_rows_of_speakers_without_lights():
    laid = arrange(replace(ROOM, rows_of=Kind.SPEAKER, rows=2, spacing_limit=inches(60)))
    assert [mark.id for mark in laid.marks] == [f"SP{n}" for n in range(1, 9)]
    assert [(finding.code, finding.subject) for finding in laid.findings] == [(Code.GAP_OVER_LIMIT, "SP1, SP2")]
    assert laid.speaker_positions == laid.columns


def test_the_limit_decides_how_many_speakers_as_it_does_lights():
    laid = arrange(replace(ROOM, rows_of=Kind.SPEAKER, columns=None))
    assert len(laid.columns) == 4  # 192 / 72 is over 2


def test_speakers_near_a_wall_are_checked_with_their_own_hole():
    """Rows 7 off the wall: 7 less a radius of 4 leaves 3 of 4."""
    laid = arrange(replace(ROOM, rows_of=Kind.SPEAKER, row_setback=inches(7)))
    assert {(finding.code, finding.short_by) for finding in laid.findings} == {(Code.TOO_CLOSE_TO_EDGE, inches(1))}


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"speaker_rows": (4,), "speaker_gaps": (2,)}, "there is no row 4; the room has 3"),
        ({"speakers_between": (3,), "speaker_gaps": (2,)}, "no line between rows 3 and 4; the room has 3"),
        ({"speakers_between": (1,)}, "Name the gaps or the lights they stand at"),
        ({"speaker_rows": (1, 1), "speaker_gaps": (2,)}, "a row is named twice"),
        ({"rows_of": Kind.SPEAKER, "speaker": None}, "Choose the speaker that goes in"),
    ],
)
def test_what_can_not_be_done_names_the_field(change, said):
    with pytest.raises(WishError, match=said):
        arrange(replace(ROOM, **change))
