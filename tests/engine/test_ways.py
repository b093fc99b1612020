"""The ways out of a layout that won't fit: found to the tick, in a crew's order, never at a safety's cost."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.ceiling import Corner
from layout.engine.lengths import inches, mm
from layout.engine.marks import Axis, Datum, Kind
from layout.engine.overhead.stand import Direction
from layout.engine.overhead.values import Thing
from layout.engine.pins import Line, Pin
from layout.engine.room import lay_out
from layout.engine.rows.grid import usual_grid
from layout.engine.rows.wish import Mode
from layout.engine.ways.changes import mirrored_again
from layout.engine.ways.out import ways_of, ways_out
from layout.engine.ways.read import ceiling_of
from layout.engine.ways.rules import NoWay, Taste, WayKind
from layout.engine.ways.why import AxisRules
from layout.engine.ways.words import say_clash, say_compromise, say_costs, say_missing, say_still, say_way
from tests.engine.ways_rooms import METRIC, OPEN, SMALL, SPEAKER, TAPE, WORKED, duct, joists, survey, under

SOLVER_WORDS = ("infeasible", "objective", "unevenness", "repair", "constraint", "violat", "solver", "setback", "optim")


def found(ways):
    return {way.kind: way for way in ways.ways}


def missing(ways):
    return {each.kind: each for each in ways.missing}


def test_a_layout_that_fits_needs_no_way_out():
    ways = ways_out(OPEN)
    assert (ways.clash, ways.ways, ways.missing, ways.compromise) == (None, (), (), None)
    assert not ways.wont_fit


def test_the_middle_light_fixed_on_the_center_line():
    """228 / 2 = 114; joist 8 at 1 3/4 + 7 x 16 = 113 3/4."""
    ways = ways_out(replace(WORKED, lights_per_row=5, overhead=under(joists("1 3/4"))))
    assert set(ways.clash.taste) == {Taste.MIRRORED, Taste.COUNT}
    assert say_clash(ways.clash, TAPE) == (
        "Won't fit: the middle light is fixed on the center line, and joist 8 lies 1/4\" from it. "
        'A 6 3/8" hole needs 4 7/16" from the middle of the framing.'
    )
    assert missing(ways)[WayKind.PAIRS].why is NoWay.MIDDLE_FIXED
    assert missing(ways)[WayKind.RESPACE].why is NoWay.MIDDLE_FIXED
    assert len(found(ways)[WayKind.ONE_FEWER].layout.arrangement.columns) == 4
    alone = {move.number: move.by for move in found(ways)[WayKind.ONE_ALONE].moves}
    assert alone[3] == inches("4 3/16")  # 113 3/4 + 4 7/16 = 118 3/16
    assert alone[2] == -alone[4]


def test_rows_slide_off_a_duct_that_joists_do_not_stop():
    """The duct reaches 40 + 7 + 2 = 49 at its far side and 31 at the near one; a row at 30 with a 3 3/16 radius gives
    up 2 3/16: it stands at 27 13/16.
    """
    ways = ways_out(replace(OPEN, lights_per_row=5, overhead=under(things=(duct("114", "40"),))))
    way = found(ways)[WayKind.SLIDE]
    assert way.direction is Direction.ACROSS
    assert way.layout.arrangement.rows == (inches("27 13/16"), inches("92 3/16"))
    assert say_way(way, TAPE) == 'Slide rows 1 and 2 toward the walls by 2 3/16".'
    assert WayKind.ONE_ALONE in found(ways)


def test_a_shift_over_two_inches_is_said_to_lose_the_center():
    rows_along = replace(WORKED, overhead=under(joists("10", runs=Axis.LEFT_RIGHT)))
    way = found(ways_out(rows_along))[WayKind.SHIFT]
    assert way.direction is Direction.ACROSS
    assert {move.by for move in way.moves} == {inches("4 7/16")}
    assert say_costs(way, TAPE) == ('off the center by 4 7/16": the center is visibly lost',)


def test_a_small_shift_is_not():
    """One row in the middle of 120 in: a joist 3 in from 60 asks for 1 7/16 more."""
    room = replace(WORKED, rows=1, overhead=under(joists("57", runs=Axis.LEFT_RIGHT, spacing="48")))
    assert say_costs(found(ways_out(room))[WayKind.SHIFT], TAPE) == ('off the center by 1 7/16"',)


def test_pinned_lines_stay():
    room = replace(WORKED, pins=(Pin(Line.COLUMN, 2, inches("85 1/2")),))
    ways = ways_out(room)
    assert missing(ways)[WayKind.SHIFT].why is NoWay.PINNED
    for way in ways.ways:
        if way.kind in (WayKind.PAIRS, WayKind.ONE_ALONE):
            assert way.layout.arrangement.columns[1] == inches("85 1/2")


def test_typed_distances_are_typed_again():
    typed = tuple(inches(at) for at in ("28 1/2", "85 1/2", "142 1/2", "199 1/2"))
    room = replace(WORKED, mode_along=Mode.LOCKED, typed_along=typed)
    way = found(ways_out(room))[WayKind.PAIRS]
    assert way.change == {"typed_along": tuple(inches(at) for at in ("30 7/16", "85 1/2", "142 1/2", "197 9/16"))}
    assert missing(ways_out(room))[WayKind.ONE_MORE].why is NoWay.TYPED


def test_gaps_over_the_limit_alone_ask_for_another_light_or_other_ends():
    """48 in at most: 228 - 3 x 48 = 84, so 42 off each wall."""
    ways = ways_out(replace(OPEN, spacing_limit=inches(48)))
    assert [way.kind for way in ways.ways] == [WayKind.RESPACE, WayKind.ONE_MORE]
    assert found(ways)[WayKind.RESPACE].change["end_setback"] == inches(42)
    assert "spacing limit" in say_clash(ways.clash, TAPE)


def test_what_is_offered_for_gaps_over_the_limit_has_none():
    """228 in half a gap off the walls: five lights are 45.6 apart still, over 40."""
    ways = ways_out(replace(OPEN, spacing_limit=inches(40)))
    assert WayKind.ONE_MORE in found(ways)
    for way in ways.ways:
        assert not way.still, way.kind


def test_a_ceiling_that_is_full_says_so_and_gives_the_least_bad():
    lid = Thing("plenum", "duct", inches(114), inches(60), inches(228), inches(120), False, Datum.EDGE, inches(2))
    ways = ways_out(replace(OPEN, overhead=under(things=(lid,))))
    assert ways.wont_fit
    assert not ways.ways
    assert say_clash(ways.clash, TAPE) == "Won't fit: the plenum is in the way wherever it is put."
    assert say_compromise(ways.compromise, TAPE).startswith("Won't fit.")
    assert len(ways.compromise.left) <= len(ways.left)


def test_the_compromise_has_the_fewest_in_the_way():
    """A plenum over the first 110 in: columns 1 and 2 stay under it in both rows however far within reach they move."""
    left = Thing("plenum", "duct", inches(55), inches(60), inches(110), inches(120), False, Datum.EDGE, inches(2))
    ways = ways_out(replace(OPEN, overhead=under(things=(left,))))
    assert not ways.ways
    assert len(ways.compromise.left) == 4
    assert ways.compromise.deepest <= max(each.short_by for each in ways.left)


def test_speakers_go_with_their_lights():
    room = replace(WORKED, speaker=SPEAKER, speaker_gaps=(2,))
    way = found(ways_out(room))[WayKind.PAIRS]
    speakers = [mark for mark in way.layout.arrangement.marks if mark.kind is Kind.SPEAKER]
    assert speakers
    assert not way.layout.conflicts


def test_no_smaller_move_of_pairs_clears_lights_and_their_speakers():
    """By hand, in sixteenths: a light keeps 71 from a joist's middle, a 9 1/4 in speaker 94; joists every 256 from 160.
    Speakers stand midway in the outer gaps, 24 in from either light at least; 72 in is the widest gap.
    """
    way = found(ways_out(replace(WORKED, speaker=SPEAKER, speaker_gaps=(1, 3))))[WayKind.PAIRS]
    size, first, second = 3648, 456, 1368

    def clear(at, keep):
        off = (at - 160) % 256
        return min(off, 256 - off) >= keep

    def stands(one, two):
        speaker = -(-(one + two) // 2)  # a half goes toward the middle
        gaps = two - one, size - 2 * two
        return (
            all(clear(at, 71) and clear(size - at, 71) for at in (one, two))
            and clear(speaker, 94)
            and clear(size - speaker, 94)
            and max(gaps) <= 1152
            and min(speaker - one, two - speaker) >= 384
        )

    least = min(
        (max(abs(a), abs(b)), abs(a) + abs(b))
        for a in range(-256, 257)
        for b in range(-256, 257)
        if stands(first + a, second + b)
    )
    moved = [int(abs(move.by).nm / WORKED.unit.tick.nm) for move in way.moves if move.number <= 2]
    assert (max(moved), sum(moved)) == least


def test_another_count_that_leaves_the_speakers_no_gap_is_not_offered():
    """A speaker in the middle gap of four lights has none with three or five."""
    ways = ways_out(replace(WORKED, speaker=SPEAKER, speaker_gaps=(2,)))
    assert missing(ways)[WayKind.ONE_MORE].why is NoWay.SPEAKERS_LOST
    assert missing(ways)[WayKind.ONE_FEWER].why is NoWay.SPEAKERS_LOST


def test_another_count_says_that_pins_are_given_up():
    ways = ways_out(replace(WORKED, pins=(Pin(Line.COLUMN, 1, inches(26)),)))
    assert "what was pinned moves" in say_costs(found(ways)[WayKind.ONE_MORE], TAPE)
    assert say_clash(ways.clash, TAPE).startswith("Won't fit: the first light is pinned at 2'-2\", and joist 2")


def test_rows_of_speakers_are_called_speakers():
    ways = ways_out(replace(WORKED, speaker=SPEAKER, rows_of=Kind.SPEAKER))
    assert say_clash(ways.clash, TAPE).startswith("Won't fit: the first speaker is held")


def test_lights_in_a_grid_stay_in_the_middle_of_tiles():
    room = replace(OPEN, lights_per_row=5, grid=usual_grid(OPEN.unit), overhead=under(things=(duct("114", "40"),)))
    ways = ways_out(room)
    assert missing(ways)[WayKind.PAIRS].why is NoWay.ON_TILES
    for way in ways.ways:
        tiles = way.layout.arrangement.wish.tiles_along
        assert all(not tiles.off(mark.along) for mark in way.layout.arrangement.marks)


def test_a_room_of_two_wings_is_cleared_in_both():
    corners = ((0, 0), (300, 0), (300, 120), (150, 120), (150, 240), (0, 240))
    outline = tuple(Corner(inches(x), inches(y)) for x, y in corners)
    sizes = {"left_right": survey(inches(300)), "door_far": survey(inches(240))}
    ways = ways_out(replace(WORKED, **sizes, mode_along=Mode.WALL_HELD, lights_per_row=None, outline=outline))
    assert ways.clash is not None
    for way in ways.ways:
        assert not way.layout.conflicts


def test_framing_both_ways_is_cleared_on_both():
    blocking = joists("30", runs=Axis.LEFT_RIGHT, spacing="60")
    ways = ways_out(replace(WORKED, overhead=under(joists("10"), blocking)))
    assert not found(ways)[WayKind.PAIRS].layout.conflicts
    assert {move.direction for move in found(ways)[WayKind.PAIRS].moves} == set(Direction)


@pytest.mark.parametrize(
    ("numbers", "was", "now", "then"),
    [
        ((1, 2, 3), 3, 4, (1, 2, 3, 4)),  # every gap stays every gap
        ((1, 3), 3, 4, (1, 4)),
        ((2,), 3, 2, ()),  # the middle gap goes where there is none
        ((2,), 3, 5, (3,)),
        ((), 3, 4, ()),
    ],
)
def test_speakers_keep_their_place_from_the_ends(numbers, was, now, then):
    assert mirrored_again(numbers, was, now) == then


# Never at a safety's cost, and nothing nearer than what is offered

ROOMS = st.builds(
    lambda size, count, first, spacing: replace(
        WORKED,
        left_right=replace(WORKED.left_right, finished=inches(size)),
        lights_per_row=count,
        overhead=under(joists(first, spacing=spacing)),
    ),
    st.integers(120, 260),
    st.integers(2, 6),
    st.sampled_from(["1 3/4", "5", "8 1/2", "11", "14 1/4"]),
    st.sampled_from(["12", "16", "24", "19.2"]),
)


@settings(max_examples=25, deadline=None)
@given(ROOMS)
def test_every_way_is_clear_and_said_in_plain_words(room):
    ways = ways_out(room, (SMALL,))
    for way in ways.ways:
        assert not way.layout.conflicts
        assert way.layout.inputs.overhead == room.overhead
        assert (way.layout.inputs.edge_min, way.layout.inputs.web_min) == (room.edge_min, room.web_min)
        again = lay_out(replace(room, **way.change))
        assert again.arrangement.marks == way.layout.arrangement.marks
    said = [say_clash(ways.clash, TAPE)] if ways.clash else []
    for way in ways.ways:
        said += [say_way(way, TAPE), *say_costs(way, TAPE), *say_still(way, TAPE)]
    said += [say_missing(each, TAPE) for each in ways.missing]
    for each in said:
        assert each
        assert not any(word in each.lower() for word in SOLVER_WORDS), each


def clear_of_joists(columns, room):
    """By hand: r + 1/2 + half the joist from every middle. Columns in nanometers."""
    run = room.overhead.joists[0]
    need = int(room.light.cutout) + 2 * int(run.clear) + int(run.width)
    offs = ((at - int(run.first)) % int(run.spacing) for at in columns)
    return all(2 * min(off, int(run.spacing) - off) >= need for off in offs)


@settings(max_examples=25, deadline=None)
@given(ROOMS)
def test_no_smaller_move_of_one_pair_and_no_smaller_shift_clears(room):
    """Every smaller shift tried one by one; every set of smaller pair moves for up to four lights."""
    layout = lay_out(room)
    columns, tick = [int(at) for at in layout.arrangement.columns], int(room.unit.tick)
    if clear_of_joists(columns, room) or len(columns) > 4 or not ways_of(layout).ways:
        return
    ways = found(ways_of(layout))
    if WayKind.SHIFT in ways:
        most = int(ways[WayKind.SHIFT].farthest.nm) // tick
        for move in range(1, most):
            for sign in (1, -1):
                assert not clear_of_joists([at + tick * (move * sign) for at in columns], room)
    if WayKind.PAIRS in ways and not ways[WayKind.PAIRS].still:
        most = int(ways[WayKind.PAIRS].farthest.nm) // tick
        size, limit = int(layout.along.laid_out), int(room.spacing_limit)
        least = int(room.light.cutout + room.web_min)
        half, middle = columns[: len(columns) // 2], columns[len(columns) // 2 : (len(columns) + 1) // 2]
        for first in range(-most + 1, most):
            for second in range(-most + 1, most) if len(half) == 2 else (0,):
                near = [at + tick * move for at, move in zip(half, (first, second), strict=False)]
                lines = [*near, *middle, *(size - at for at in reversed(near))]
                fits = all(least <= b - a <= limit for a, b in pairwise(lines))
                assert not (fits and clear_of_joists(lines, room))


@settings(max_examples=15, deadline=None)
@given(ROOMS)
def test_the_clash_is_a_clash_and_a_smallest_one(room):
    """Without any one of its rules of taste lines stand: some way gives up that rule, or a freer layout is found."""
    ways = ways_out(room)
    if ways.clash is None or not ways.clash.safety:
        return
    held = AxisRules(ceiling_of(lay_out(room)), ways.clash.direction)
    names = frozenset({*ways.clash.taste, *(each.name for each in ways.clash.safety)})
    assert held.can_hold(names) is None
    for rule in names:
        assert held.can_hold(names - {rule}) is not None


def test_a_metric_room_moves_in_millimeters():
    """5800 / 8 = 725 off the wall; a joist at 700 and a 162 hole ask 81 + 13 + 19 = 113: 813, so 88 further in. The
    inner pair, at 2175 and 3625, is 125 from the joists at 2300 and 3500.
    """
    framing = replace(joists("10"), spacing=mm(400), width=mm(38), first=mm(300), clear=mm(13))
    ways = ways_out(replace(METRIC, overhead=under(framing)))
    way = found(ways)[WayKind.PAIRS]
    assert way.layout.arrangement.columns == (mm(813), mm(2175), mm(3625), mm(4987))
