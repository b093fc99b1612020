"""A shop gets the lights it asked for where it asked for them, and hears what doesn't fit."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.lengths import Style, Tape, Unit, inches, mm
from layout.engine.marks import Kind
from layout.engine.rows.arrange import Code, Hole, Mode, Wish, WishError, arrange, say

DEN = Wish(
    along=inches(192),
    across=inches(120),
    unit=Unit.INCH,
    mode_along=Mode.WALL_HELD,
    mode_across=Mode.WALL_HELD,
    rows=2,
    columns=4,
    end_setback=inches(24),
    row_setback=inches(24),
    spacing_limit=inches(60),
    light=Hole(inches(6)),
    speaker=Hole(inches(8)),
    speaker_gaps=(),
    speaker_columns=(),
    subwoofer=None,
    edge_min=inches(4),
    web_min=inches("1 1/2"),
    speaker_to_light_min=inches(24),
)
PLAIN = Tape(Style.INCHES, 16)


def inch(*lengths):
    return tuple(inches(length) for length in lengths)


def heard(wish):
    return [say(finding, PLAIN) for finding in arrange(wish).findings]


def test_wall_held_spreads_the_rest_evenly():
    """192 - 2 x 24 = 144; three gaps of 48."""
    assert arrange(DEN).columns == inch(24, 72, 120, 168)


def test_half_gap_stands_half_a_gap_off_the_wall():
    """192 / 4 = 48; half of it at the walls."""
    assert arrange(replace(DEN, mode_along=Mode.HALF_GAP)).columns == inch(24, 72, 120, 168)


def test_even_stands_a_whole_gap_off_the_wall():
    """195 / 5 = 39."""
    assert arrange(replace(DEN, along=inches(195), mode_along=Mode.EVEN)).columns == inch(39, 78, 117, 156)


def test_what_does_not_divide_is_spread_a_sixteenth_at_a_time():
    """100 in with 12 off the ends leaves 76 = 1216/16; five gaps of 243 or 244 sixteenths."""
    gaps = arrange(replace(DEN, along=inches(100), columns=6, end_setback=inches(12))).along_gaps
    assert sum(gap.inches for gap in gaps) == 76
    assert {int(gap.inches * 16) for gap in gaps} <= {243, 244}


@pytest.mark.parametrize(
    ("mode", "length", "limit", "fewest"),
    [
        (Mode.WALL_HELD, 192, 48, 4),  # (192 - 48) / 48 = 3 gaps
        (Mode.WALL_HELD, 193, 48, 5),  # 145 / 48 is over 3
        (Mode.WALL_HELD, 40, 48, 1),  # the two setbacks already meet
        (Mode.HALF_GAP, 192, 48, 4),
        (Mode.HALF_GAP, 193, 48, 5),
        (Mode.EVEN, 192, 48, 3),  # 192 / 4 = 48
        (Mode.EVEN, 193, 48, 4),
        (Mode.EVEN, 40, 48, 1),
    ],
)
def test_the_limit_decides_how_many(mode, length, limit, fewest):
    wish = replace(DEN, along=inches(length), spacing_limit=inches(limit), mode_along=mode, columns=None)
    assert len(arrange(wish).columns) == fewest


def test_rows_may_run_the_short_way():
    turned = replace(DEN, along=DEN.across, across=DEN.along, columns=2, rows=4)
    laid = arrange(turned)
    assert (laid.columns, laid.rows) == (inch(24, 96), inch(24, 72, 120, 168))


def test_one_light_stands_in_the_middle_and_needs_no_setback():
    laid = arrange(replace(DEN, columns=1, rows=1, along=inches("48 1/16"), across=inches("48 1/16")))
    assert (laid.columns, laid.rows) == (inch("24 1/32"), inch("24 1/32"))
    assert laid.fits


def test_a_speaker_takes_a_lights_place_in_every_row():
    laid = arrange(replace(DEN, columns=5, speaker_columns=(3,), spacing_limit=inches(96)))
    assert [mark.id for mark in laid.marks] == [*(f"A{n}" for n in range(1, 9)), "SP1", "SP2"]
    assert laid.speaker_positions == inch(96)
    assert laid.fits


def test_a_speaker_in_a_lights_place_leaves_a_gap_in_the_light():
    """Five columns 36 apart; without the middle light the two beside it are 72 apart."""
    assert heard(replace(DEN, columns=5, speaker_columns=(3,))) == ['A2 to A3 is 72": 12" over the 60" limit.']


def test_speakers_too_near_the_lights_are_named():
    """Gaps of 36: a speaker halfway is 18 from each light."""
    assert heard(replace(DEN, columns=5, speaker_gaps=(1, 4))) == [
        'SP1 is 18" from A1, center to center: 6" under the 24" you keep (3 more like it).'
    ]


def test_speakers_without_a_twin_are_refused():
    with pytest.raises(WishError, match="gap 1 has no twin at the other end"):
        arrange(replace(DEN, speaker_gaps=(1,)))


def test_a_speaker_in_a_gap_that_is_not_there_is_refused():
    with pytest.raises(WishError, match="there is no gap 4; a row of 4 has 3"):
        arrange(replace(DEN, speaker_gaps=(4,)))


def test_lights_near_the_edge_are_named_with_what_is_left():
    """5 in to the center less a 3 in radius leaves 2 of the 4 in wanted."""
    assert heard(replace(DEN, row_setback=inches(5))) == [
        'A1 is 2" too close to the ceiling\'s edge: 2" is left, not 4" (3 more like it).',
        'A5 is 2" too close to the ceiling\'s edge: 2" is left, not 4" (3 more like it).',
    ]


def test_holes_that_overlap_are_named():
    """Twelve lights in 144 in: gaps of 13 1/11, so 7 in of board; thirty, gaps of under 5, and 6 in holes overlap."""
    assert arrange(replace(DEN, columns=12)).fits
    laid = arrange(replace(DEN, columns=30))
    assert [finding.code for finding in laid.findings] == [Code.HOLES_TOO_CLOSE]
    assert "nothing is left between" in say(laid.findings[0], PLAIN)


def test_a_setback_past_the_middle_is_said():
    laid = arrange(replace(DEN, along=inches(40), columns=2))
    assert laid.findings[0].code is Code.SETBACK_OUTSIDE
    assert say(laid.findings[0], PLAIN).startswith('The outer lights can\'t stand 24" off the wall here')


def test_more_lights_than_tape_marks_is_nothing_at_all():
    laid = arrange(replace(DEN, along=inches(1), columns=40))
    assert (laid.marks, laid.columns, laid.fits) == ((), (), False)
    assert heard(replace(DEN, along=inches(1), columns=40)) == ["That many lights in a row won't fit. Take fewer."]


class TestLocked:
    locked = replace(DEN, mode_along=Mode.LOCKED, mode_across=Mode.LOCKED, typed_across=inch(30, 90))

    def test_typed_numbers_are_used_as_they_are(self):
        laid = arrange(replace(self.locked, typed_along=inch("20 1/32", 80, 130)))
        assert laid.columns == inch("20 1/32", 80, 130)
        assert laid.rows == inch(30, 90)
        assert laid.fits

    def test_they_are_checked_the_same(self):
        assert heard(replace(self.locked, typed_along=inch(20, 90, 190))) == [
            'A2 to A3 is 100": 40" over the 60" limit (1 more like it).',
            'A3 is 5" too close to the ceiling\'s edge: nothing is left between, not 4" (1 more like it).',
        ]

    def test_a_speaker_stands_halfway_on_the_nearest_mark(self):
        laid = arrange(replace(self.locked, typed_along=inch(20, "70 1/16", 130), speaker_gaps=(1,)))
        assert laid.speaker_positions == inch("45 1/16")  # 45 1/32, halves up

    def test_nothing_typed_is_refused(self):
        with pytest.raises(WishError, match="type them, from the zero corner"):
            arrange(self.locked)


class TestSubwoofer:
    sub = replace(DEN, subwoofer=Hole(inches(10)))

    def test_between_the_two_middle_rows(self):
        mark = arrange(self.sub).marks[-1]
        assert (mark.along, mark.across, mark.row) == (inches(96), inches(60), 1)

    def test_beside_a_middle_row(self):
        """Rows at 24, 60, 96: halfway from 60 to 96."""
        mark = arrange(replace(self.sub, rows=3)).marks[-1]
        assert (mark.along, mark.across, mark.row) == (inches(96), inches(78), 2)

    def test_beside_a_single_row(self):
        assert arrange(replace(self.sub, rows=1)).marks[-1].across == inches(90)

    def test_it_is_held_clear_of_the_other_holes(self):
        """Rows 12 apart: 6 to the middle lights of 3 columns, and 5 + 3 + 1 1/2 are needed."""
        laid = heard(replace(self.sub, columns=3, spacing_limit=inches(96), row_setback=inches(54)))
        assert laid == ['SW1 and A2 are 3 1/2" too close: nothing is left between, not 1 1/2" (1 more like it).']


def test_a_metric_room_stands_on_whole_millimeters():
    metric = replace(
        DEN, unit=Unit.MM, along=mm(5001), across=mm(3000), end_setback=mm(600), row_setback=mm(600),
        spacing_limit=mm(1500), edge_min=mm(100), web_min=mm(40), light=Hole(mm(108)),
    )  # fmt: skip
    laid = arrange(metric)
    assert all(at.mm.denominator == 1 for at in laid.columns)
    assert sorted(gap.mm for gap in laid.along_gaps) == [1267, 1267, 1267]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"along": inches("192 1/32")}, "Along the rows"),
        ({"rows": 0}, "Rows: 0"),
        ({"columns": 61}, "Lights in a row: 61"),
        ({"columns": None, "spacing_limit": inches(1)}, "wider spacing limit"),
        ({"end_setback": None}, "ends of a row"),
        ({"speaker": None, "speaker_gaps": (2,)}, "choose the speaker"),
        ({"spacing_limit": inches(0)}, "Spacing limit"),
    ],
)
def test_what_cannot_be_laid_out_names_the_field(change, said):
    with pytest.raises(WishError, match=said):
        arrange(replace(DEN, **change))



@settings(deadline=None, max_examples=60)
@given(
    along=st.integers(400, 6000),
    columns=st.integers(1, 20),
    setback=st.integers(1, 150),
    mode=st.sampled_from([Mode.WALL_HELD, Mode.EVEN, Mode.HALF_GAP]),
)
def test_rows_mirror_gaps_are_alike_and_the_setback_is_the_one_asked_for(along, columns, setback, mode):
    size = Unit.INCH.tick * along
    chosen = Unit.INCH.tick * setback
    laid = arrange(replace(DEN, along=size.exact(), columns=columns, end_setback=chosen.exact(), mode_along=mode))
    assert [size - at for at in reversed(laid.columns)] == list(laid.columns)
    if columns > 1:
        assert max(laid.along_gaps) - min(laid.along_gaps) <= Unit.INCH.tick
        wanted = {
            Mode.WALL_HELD: chosen,
            Mode.EVEN: size / (columns + 1),
            Mode.HALF_GAP: size / (2 * columns),
        }[mode]
        assert abs(laid.columns[0] - wanted) * 2 <= Unit.INCH.tick
    assert sum(mark.kind is Kind.LIGHT for mark in laid.marks) == columns * 2
