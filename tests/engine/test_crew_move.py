"""How far a crew may move a mark without asking: symmetry kept, never beyond the limit, never onto a joist.

Joists are measured again here by hand, from their spacing alone. Limits are common practice, no source.
"""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.engine.lengths import feet, inches
from layout.engine.marks import Axis, Orientation, Side
from layout.engine.overhead.values import Overhead
from layout.engine.room import lay_out
from layout.engine.ways.crew_move import Asks, crew_move, may_stay, on_the_mark
from tests.engine.ways_rooms import OPEN, TINY, WORKED, duct, joists, under

# 19'-0" by 10'-0": four lights a row half a gap off the walls, 28 1/2, 85 1/2, 142 1/2, 199 1/2; rows at 30 and 90.
# Joists from the door to the far wall every 24 in from 18: 18, 42, 66, 90 ... 138 ... 210. The nearest is 4 1/2 from a
# light, which needs 4 7/16.
WIDE = joists("18", spacing="24")
CLEAR = replace(WORKED, overhead=under(WIDE))
THREE = inches(3)


def laid(room=CLEAR):
    return lay_out(room)


def places(layout):
    return {mark.id: (mark.along, mark.across) for mark in layout.arrangement.marks}


def move(layout, ident, along="0", across="0", most=THREE, moved=None, **more):
    at = (moved or {}).get(ident, places(layout)[ident])
    return crew_move(layout, moved or {}, ident, (at[0] + inches(along), at[1] + inches(across)), most, **more)


def why(found):
    return {one.asks for one in found.asks}


def test_a_row_slides_along_the_joists_and_its_mirror_row_the_other_way():
    """Rows at 30 and 90 in a ceiling of 120: 2 in toward the middle is 32 and 88."""
    layout = laid()
    found = move(layout, "A2", across="2")
    assert found.free, found.asks
    was = places(layout)
    for ident, (along, across) in found.moves.items():
        assert along == was[ident][0]
        assert across == inches(32 if was[ident][1] == inches(30) else 88)
    assert set(found.moves) == set(was)  # both rows, whole
    assert found.far == inches(2)
    assert not found.changes_the_cable


@pytest.mark.parametrize(("by", "free"), [("3", True), ("3 1/64", False), ("-3", True), ("-3 1/64", False)])
def test_the_limit_itself_is_within_the_limit(by, free):
    found = move(laid(), "A1", across=by)
    assert found.free is free
    assert free or why(found) == {Asks.LIMIT}


def test_with_a_limit_of_nothing_every_move_is_asked():
    assert why(move(laid(), "A1", across="1/4", most=inches(0))) == {Asks.LIMIT}


def test_the_limit_counts_from_the_layout_and_not_from_the_last_move():
    layout = laid()
    first = move(layout, "A1", across="2")
    second = move(layout, "A1", across="2", moved=dict(first.moves))
    assert first.free
    assert why(second) == {Asks.LIMIT}
    assert second.far == inches(4)


def test_across_the_joists_is_asked_and_says_what_else_moves():
    """Columns 1 and 4 mirror: 1 in to the right is 29 1/2, and 199 1/2 becomes 198 1/2."""
    layout = laid()
    found = move(layout, "A1", along="1")
    assert Asks.ACROSS in why(found)
    assert {place[0] for place in found.moves.values()} == {inches("29 1/2"), inches("198 1/2")}
    assert len(found.moves) == 4  # two columns of two


def test_one_light_alone_out_of_its_row_is_asked():
    found = move(laid(), "A1", across="1", alone=True)
    assert list(found.moves) == ["A1"]
    assert why(found) == {Asks.ALONE}


def test_the_middle_row_has_no_mirror_row_and_is_asked():
    layout = laid(replace(CLEAR, rows=3, row_setback=inches(24)))
    middle = next(mark.id for mark in layout.arrangement.marks if mark.across == inches(60))
    assert Asks.MIDDLE in why(move(layout, middle, across="1"))


def test_where_nobody_entered_the_framing_every_move_is_asked():
    assert Asks.FRAMING in why(move(laid(replace(WORKED, overhead=Overhead())), "A1", across="1"))


def test_without_joists_either_way_is_free_within_the_limit():
    """A concrete ceiling somebody looked at: no member to come onto."""
    assert move(laid(OPEN), "A1", along="1").free
    assert move(laid(OPEN), "A1", across="1").free


@pytest.mark.parametrize(("by", "near"), [("4 13/16", []), ("4 7/8", ["supply duct"])])
def test_a_duct_in_the_way_is_asked_and_named(by, near):
    """Its side stands at 40. Half of a 6 3/8 in hole and 2 in kept clear end at 34 13/16, 4 13/16 on."""
    layout = laid(replace(CLEAR, overhead=under(WIDE, things=(duct("85 1/2", "47"),))))
    found = move(layout, "A1", across=by, most=feet(2))
    assert [one.near for one in found.asks if one.asks is Asks.OVERHEAD] == near


def test_past_a_foot_the_cable_and_the_bid_change():
    """More than 12 in: common practice, no source."""
    layout = laid(replace(CLEAR, spacing_limit=feet(10)))
    assert not move(layout, "A1", across="12").changes_the_cable
    assert move(layout, "A1", across="12 1/4").changes_the_cable


def test_a_gap_that_grows_past_the_limit_is_asked():
    """Columns 57 apart, the shop's limit 57: the outer two moved 2 in outward make 59."""
    framing = under(joists("60", runs=Axis.LEFT_RIGHT, spacing="60"))
    layout = laid(replace(CLEAR, spacing_limit=inches(57), overhead=framing))
    assert why(move(layout, "A1", along="-2")) == {Asks.RULES}
    assert move(layout, "A1", along="2").free


def test_an_eighth_off_is_on_the_mark():
    at = (inches(30), inches(30))
    assert on_the_mark(at, (inches("30 1/8"), inches("29 7/8")))
    assert not on_the_mark(at, (inches("30 9/64"), inches(30)))


def test_a_hole_on_a_joist_may_not_be_cut():
    """Joists at 18 and 42: 4 7/16 from one is as near as it may be."""
    layout = laid()
    assert not may_stay(layout, "A1", (inches("22 7/16"), inches(30)))
    (told,) = may_stay(layout, "A1", (inches("22 3/8"), inches(30)))
    assert (told.near.partition(" (")[0], told.by) == ("joist 1", inches("1/16"))


# Rooms nobody thought of


@st.composite
def rooms(draw):
    runs = draw(st.sampled_from(list(Axis)))
    first = Fraction(draw(st.integers(0, 16 * 16)), 16)
    spacing = draw(st.sampled_from(["16", "19.2", "24"]))
    turn = Orientation(
        draw(st.sampled_from(list(Axis))),
        draw(st.sampled_from([Side.LEFT, Side.RIGHT])),
        draw(st.sampled_from([Side.DOOR, Side.FAR])),
    )
    room = replace(
        WORKED,
        rows=draw(st.integers(2, 3)),
        lights_per_row=draw(st.integers(2, 4)),
        row_setback=inches(24),
        orientation=turn,
        spacing_limit=feet(20),
        light=TINY,
        overhead=under(joists(first, runs=runs, spacing=spacing)),
    )
    return room, runs, first, Fraction(spacing)


STEP = st.integers(-64 * 4, -1) | st.integers(1, 64 * 4)  # sixty-fourths of an inch


@given(rooms(), st.integers(0, 30), STEP, st.just(0) | st.just(0) | STEP, st.integers(0, 64 * 6))
def test_what_moves_without_asking_keeps_symmetry_the_limit_and_the_joists(made, number, with_them, over, most):
    """Never beyond the limit, never onto a joist, mirrored where it was mirrored: each measured anew."""
    room, runs, first, spacing = made
    layout = lay_out(room)
    marks = layout.arrangement.marks
    one = marks[number % len(marks)]
    limit = inches(Fraction(most, 64))
    along, across = (with_them, over) if layout.along.axis is runs else (over, with_them)
    to = (one.along + inches(Fraction(along, 64)), one.across + inches(Fraction(across, 64)))
    found = crew_move(layout, {}, one.id, to, limit)
    if not found.free:
        return
    was = places(layout)
    after = was | dict(found.moves)
    assert after[one.id] == to
    for ident, place in found.moves.items():
        off = [(a - b).nm for a, b in zip(place, was[ident], strict=True)]
        assert off[0] ** 2 + off[1] ** 2 <= limit.nm**2
    for way, size in enumerate((layout.along.laid_out, layout.across.laid_out)):
        assert _mirrors(was, way, size) <= _mirrors(after, way, size)
    turn = layout.inputs.orientation
    for ident in found.moves:
        x, y = turn.plan_xy(*after[ident], layout.wide.datums.ceiling, layout.deep.datums.ceiling)
        across_joists = (x if runs is Axis.DOOR_FAR else y).inches
        off = abs((across_joists - first + spacing / 2) % spacing - spacing / 2)
        assert off >= Fraction("1.125") + Fraction(1, 2) + Fraction(3, 4)  # half of 2 1/4, 1/2 kept, half of 1 1/2


def _mirrors(places, way, size):
    """1 where every mark has its mirror image on this coordinate."""
    spots = {(int(place[way]), int(place[1 - way])) for place in places.values()}
    return {(int(size) - a, b) for a, b in spots} == spots


@given(st.integers(1, 8), st.integers(-200, 200), st.integers(-200, 200))
def test_moving_back_is_moving_to_where_the_layout_has_it(number, along, across):
    """Whatever was moved, putting it back leaves every mark where it was laid out."""
    layout = laid(OPEN)
    was = places(layout)
    ident = layout.arrangement.marks[number - 1].id
    to = (was[ident][0] + inches(Fraction(along, 64)), was[ident][1] + inches(Fraction(across, 64)))
    out = crew_move(layout, {}, ident, to, feet(1))
    back = crew_move(layout, dict(out.moves), ident, was[ident], feet(1))
    assert was | dict(out.moves) | dict(back.moves) == was
    assert back.far.nm == 0
