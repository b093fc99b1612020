"""Ways out where a person holds lines: what holds nothing is in nobody's way. Rooms are those of ways_rooms."""

from dataclasses import replace

from layout.engine.findings import Code
from layout.engine.lengths import inches
from layout.engine.overhead.stand import Direction
from layout.engine.pins import Line, Pin
from layout.engine.ways.changes import held_at
from layout.engine.ways.out import ways_out
from layout.engine.ways.rules import NoWay, WayKind
from tests.engine.ways_rooms import OPEN, WORKED


def test_a_column_held_that_is_not_there_holds_none_of_those_that_are():
    free, held = ways_out(WORKED), ways_out(replace(WORKED, pins=(Pin(Line.COLUMN, 9, inches(60)),)))
    assert [(way.kind, way.farthest) for way in held.ways] == [(way.kind, way.farthest) for way in free.ways]
    assert all(each.why is not NoWay.PINNED for each in held.missing)


def test_a_pin_past_the_edge_is_told_and_stops_no_way_out():
    pinned = replace(WORKED, pins=(Pin(Line.ROW, 1, inches(130)),))
    found = ways_out(pinned)
    assert WayKind.PAIRS in {way.kind for way in found.ways}
    assert all(Code.PINNED_PAST_EDGE in {each.code for each in way.still} for way in found.ways)


def test_a_room_where_only_a_pin_is_told_needs_no_way_out():
    assert ways_out(replace(OPEN, pins=(Pin(Line.COLUMN, 9, inches(60)),))).clash is None


def test_rows_held_in_a_wing_stay_held_when_the_rows_of_the_largest_part_move():
    wing = Pin(Line.ROW, 3, inches(200))
    change = held_at(replace(WORKED, pins=(wing,)), Direction.ACROSS, (int(inches(20)), int(inches(90))))
    assert change["pins"] == (Pin(Line.ROW, 1, inches(20)), Pin(Line.ROW, 2, inches(90)), wing)
