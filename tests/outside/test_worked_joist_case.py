"""A ceiling 19'-0" long under joists 16 in apart, worked by hand. Common practice, no source; sums by hand.

Four lights half a gap off the walls: 228 / 8 = 28 1/2, gaps 57. Joists stand at 10, 26, 42 ... 218 in. A 6 3/8 in hole
keeps 3 3/16 + 1/2 + 3/4 = 4 7/16 in from the middle of a joist. 28 1/2 is 2 1/2 in from the joist at 26.
"""

from layout.engine.lengths import ZERO, inches
from layout.engine.overhead.stand import Direction
from layout.engine.room import lay_out
from layout.engine.ways.out import ways_of
from layout.engine.ways.rules import NoWay, Taste, WayKind
from layout.engine.ways.words import say_clash, say_costs, say_missing, say_way
from tests.engine.ways_rooms import SMALL, TAPE, TINY, WORKED

LAYOUT = lay_out(WORKED)
WAYS = ways_of(LAYOUT, (SMALL, TINY))
BY_KIND = {way.kind: way for way in WAYS.ways}
MISSING = {each.kind: each for each in WAYS.missing}


def columns(layout):
    return [TAPE.show(at) for at in layout.arrangement.columns]


def test_as_asked_the_outer_two_lights_lie_on_joists():
    assert columns(LAYOUT) == ["2'-4 1/2\"", "7'-1 1/2\"", "11'-10 1/2\"", "16'-7 1/2\""]
    assert {(each.mark, each.what) for each in LAYOUT.conflicts} == {
        ("A1", "joist 2"),
        ("A4", "joist 13"),
        ("A5", "joist 2"),
        ("A8", "joist 13"),
    }
    assert {each.short_by for each in LAYOUT.conflicts} == {inches("1 15/16")}


def test_the_outer_pair_moves_an_inch_and_fifteen_sixteenths():
    """26 + 4 7/16 = 30 7/16; 30 7/16 - 28 1/2 = 1 15/16. Gaps 55 1/16, 57, 55 1/16."""
    way = BY_KIND[WayKind.PAIRS]
    assert columns(way.layout) == ["2'-6 7/16\"", "7'-1 1/2\"", "11'-10 1/2\"", "16'-5 9/16\""]
    assert [(move.number, move.by) for move in way.moves] == [(1, inches("1 15/16")), (4, -inches("1 15/16"))]
    assert say_way(way, TAPE) == 'Move columns 1 and 4 toward the middle by 1 15/16".'
    assert say_costs(way, TAPE) == (
        'ends 1 15/16" farther off the wall than you asked',
        'gaps differ by 1 15/16"',
    )
    assert not way.still


def test_gaps_alike_again_with_the_ends_nearer_the_wall():
    """26 - 4 7/16 = 21 9/16; (228 - 2 x 21 9/16) / 3 = 61 5/8; the ends move 28 1/2 - 21 9/16 = 6 15/16."""
    way = BY_KIND[WayKind.RESPACE]
    assert columns(way.layout) == ["1'-9 9/16\"", "6'-11 3/16\"", "12'-0 13/16\"", "17'-2 7/16\""]
    assert say_way(way, TAPE) == 'Both ends 1\'-9 9/16" off the wall, gaps 5\'-1 5/8".'
    assert say_costs(way, TAPE) == ('ends 6 15/16" nearer the wall than you asked',)
    assert way.change["end_setback"] == inches("21 9/16")


def test_no_shift_of_the_whole_array_within_eight_inches():
    missing = MISSING[WayKind.SHIFT]
    assert (missing.why, missing.within) == (NoWay.NOT_WITHIN, inches(8))
    assert say_missing(missing, TAPE) == 'Move everything: no move of everything within 8" clears.'


def test_sliding_along_a_joist_gets_no_hole_off_it():
    assert MISSING[WayKind.SLIDE].why is NoWay.ON_FRAMING


def test_the_largest_smaller_light_that_clears_where_it_stands():
    """2 1/2 in less 3/4 and 1/2 leaves a radius of 1 1/4: the 4 1/4 in hole doesn't fit, a 2 1/4 in one does."""
    way = BY_KIND[WayKind.SMALLER]
    assert way.fixture == "2 in light"
    assert columns(way.layout) == columns(LAYOUT)


def test_why_it_does_not_fit():
    clash = WAYS.clash
    assert set(clash.taste) == {Taste.OFF_THE_WALL, Taste.COUNT, Taste.CUTOUT}
    assert [each.name for each in clash.safety] == ["joist 2"]
    assert (clash.direction, clash.number) == (Direction.ALONG, 1)
    assert say_clash(clash, TAPE) == (
        "Won't fit: the first light is held 2'-4 1/2\" off the wall, with 4 lights in a row, and joist 2 lies 2 1/2\" "
        'from it. A 6 3/8" hole needs 4 7/16" from the middle of the framing.'
    )


def test_every_way_clears_the_framing():
    assert WAYS.compromise is None
    for way in WAYS.ways:
        assert not way.layout.conflicts, way.kind
        assert way.farthest >= ZERO
