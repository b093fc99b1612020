"""Rooms add up to the job whatever the rules say of rounding, and a difference accounts for every piece and every mark.

Sums are added here with fractions of feet and pieces of our own, never with the program's own line.
"""

from collections import Counter
from dataclasses import replace
from datetime import date
from fractions import Fraction
from math import ceil

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.lengths import Distance, Unit, feet, inches
from layout.engine.marks import Kind
from layout.engine.wiring.chain import Point
from layout.engine.wiring.runs import Part, Run, RunKind, Wiring
from projects.catalogue.tables import read_takeoff_rules, takeoff_rules, takeoff_table
from reports.estimating.brief_lines import brief_from_text, brief_to_text
from reports.estimating.counted import CountedRoom, marks_of
from reports.estimating.difference import difference, room_difference
from reports.estimating.frozen_takeoff import FrozenTakeoff, from_text, room_from_text, room_to_text, to_text
from reports.estimating.takeoff import (
    Basis,
    CableByCount,
    Fixture,
    RoomContents,
    job_takeoff,
    room_takeoff,
)

RULES = takeoff_rules()
NO_WIRE = Wiring((), ())


def rules_with(**changes):
    return read_takeoff_rules({**takeoff_table(), **changes})


def point(x, y):
    return Point(inches(x), inches(y))


def laid_out(room_id, name, places, *, zones="A", install="new_work", runs=()):
    """A room with lights at these places, in inches."""
    fixtures = tuple(
        Fixture(f"A{n}", Kind.LIGHT, "light_6", "6 in", install, zones[n % len(zones)], at=point(*place))
        for n, place in enumerate(places, 1)
    )
    return counted(room_id, RoomContents(name, fixtures, Wiring(tuple(runs), ())), revision=1)


def by_counts(room_id, name, lights, each):
    fixtures = (Fixture("", Kind.LIGHT, "light_6", "6 in", "new_work", "A"),) * lights
    cable = (CableByCount("light", "14/2", lights, each, "entered"),)
    return counted(room_id, RoomContents(name, fixtures, NO_WIRE, basis=Basis.COUNTED, by_count=cable))


def counted(room_id, contents, rules=RULES, revision=None):
    return CountedRoom(
        room_id, contents.name, contents.basis, revision, "", room_takeoff(contents, rules), marks_of(contents)
    )


def taken(*rooms, rules=RULES, number=1):
    job = job_takeoff([room.takeoff for room in rooms], rules)
    return FrozenTakeoff(number, "", "J-1", "House", Unit.INCH, date(2026, 5, 3), rooms, job, rules.version)


def run(length):
    return Run(RunKind.HOP, "14/2", "A1", "A2", ((Part.PATH, length),), "A")


thirds = st.integers(1, 600).map(lambda n: Distance(Fraction(n * 25_400_000, 3)))
places = st.lists(st.tuples(st.integers(0, 200), st.integers(0, 200)), unique=True, max_size=8)
rooms = st.lists(
    st.one_of(
        st.tuples(st.just("laid"), places, st.lists(thirds, max_size=5)),
        st.tuples(st.just("counted"), st.integers(1, 9), st.integers(1, 400).map(inches)),
    ),
    max_size=6,
)


def built(described, start=1):
    return [
        laid_out(n, f"Room {n}", what, runs=[run(length) for length in more])
        if kind == "laid"
        else by_counts(n, f"Room {n}", what, more)
        for n, (kind, what, more) in enumerate(described, start)
    ]


def plain(quantity):
    return quantity.nm if isinstance(quantity, Distance) else quantity


@settings(max_examples=60, deadline=None)
@given(rooms, st.sampled_from(["job", "room", "order"]))
def test_the_rooms_unrounded_add_up_to_the_job_whatever_is_rounded_when(described, rounding):
    made = built(described)
    job = taken(*made, rules=rules_with(rounding=rounding)).job
    sums = Counter()
    for room in made:
        for line in room.takeoff.lines:
            sums[line.key] += plain(line.quantity)
    assert {line.key: plain(line.quantity) for line in job.lines if line.by_room} == dict(sums)
    for line in job.lines:
        if line.by_room:
            assert sum(plain(quantity) for _, quantity in line.by_room) == plain(line.quantity)


@settings(max_examples=60, deadline=None)
@given(rooms)
def test_rounding_in_each_room_never_orders_less_than_rounding_once(described):
    made = built(described)
    once = {line.key: line for line in taken(*made).job.lines}
    for line in taken(*made, rules=rules_with(rounding="room")).job.lines:
        if line.key.startswith("cable:"):
            exact = plain(line.quantity) / feet(1).nm
            assert once[line.key].order == ceil(exact)
            assert line.order == sum(ceil(plain(quantity) / feet(1).nm) for _, quantity in line.by_room)
            assert exact <= once[line.key].order <= line.order < exact + len(line.by_room)


def test_twelve_rooms_of_ten_and_a_third_feet_are_one_foot_more_once_and_eight_more_each():
    """12 × 10 1/3 × 1.1 = 136.4 ft: 137 rounded once, 12 × ceil(11.3667) = 144 in each room."""
    made = built([("laid", [], [Distance(Fraction(124 * 25_400_000))])] * 12)
    (once,) = [line for line in taken(*made).job.lines if line.key == "cable:14/2"]
    (each,) = [line for line in taken(*made, rules=rules_with(rounding="room")).job.lines if line.key == "cable:14/2"]
    assert (once.order, each.order) == (137, 144)


@settings(max_examples=60, deadline=None)
@given(rooms, rooms)
def test_before_plus_added_less_taken_out_is_after_for_every_item(first, second):
    before, after = taken(*built(first)), taken(*built(second))
    found = difference(before, after)
    for side, takeoff in (("before", before), ("after", after)):
        told = {each.item.key: plain(getattr(each.item, side)) for each in found.items}
        for line in takeoff.job.lines:
            assert told.pop(line.key) == plain(line.quantity)
        assert not any(told.values())
    for each in (*(job.item for job in found.items), *(item for room in found.rooms for item in room.items)):
        assert plain(each.before) + plain(each.added) - plain(each.taken_out) == plain(each.after)
        assert plain(each.added) >= 0
        assert plain(each.taken_out) >= 0


@settings(max_examples=60, deadline=None)
@given(places, places)
def test_every_mark_is_kept_moved_added_or_taken_out_and_none_twice(first, second):
    before, after = laid_out(1, "Den", first), laid_out(1, "Den", second)
    found = room_difference(before, after)
    same = set(first) & set(second)
    assert len(found.moved) + len(found.added) + len(same) == len(second)
    assert len(found.moved) + len(found.taken_out) + len(same) == len(first)
    for mark in found.moved:
        assert mark.dx or mark.dy
        assert mark.dx.inches**2 + mark.dy.inches**2 <= 72**2


@settings(max_examples=40, deadline=None)
@given(rooms)
def test_what_is_kept_reads_back_as_it_was_and_is_the_same_text_again(described):
    made = taken(*built(described))
    text = to_text(made)
    assert from_text(text) == made
    assert to_text(from_text(text)) == text
    for room in made.rooms:
        assert room_from_text(room_to_text(room)) == room
        short = brief_from_text(brief_to_text(room))
        assert [(line.key, line.net, line.quantity) for line in short.takeoff.lines] == [
            (line.key, line.net, line.quantity) for line in room.takeoff.lines
        ]


def test_a_light_more_here_and_one_less_there_are_one_added_and_one_taken_out():
    before = taken(laid_out(1, "Den", [(10, 10)]), laid_out(2, "Hall", [(10, 10), (60, 10)]))
    after = taken(laid_out(1, "Den", [(10, 10), (60, 10)]), laid_out(2, "Hall", [(10, 10)]))
    label = next(each.item for each in difference(before, after).items if each.item.key == "light_label")
    assert (label.before, label.added, label.taken_out, label.after) == (3, 1, 1, 3)


def test_a_row_that_slides_is_moved_marks_and_one_far_off_is_another_light():
    before = laid_out(1, "Den", [(10, 10), (60, 10), (110, 10)])
    found = room_difference(before, laid_out(1, "Den", [(14, 10), (64, 10), (300, 10)]))
    assert [(mark.before.ident, mark.dx.inches, mark.dy.inches) for mark in found.moved] == [("A1", 4, 0), ("A2", 4, 0)]
    assert [mark.ident for mark in found.added] == ["A3"]
    assert [mark.ident for mark in found.taken_out] == ["A3"]


def test_a_room_that_is_no_longer_in_the_job_is_all_taken_out():
    before, after = taken(laid_out(1, "Den", [(10, 10)])), taken()
    (room,) = difference(before, after).rooms
    assert room.after is None
    assert [mark.ident for mark in room.taken_out] == ["A1"]
    assert not any(item.added for item in room.items)


def test_a_renamed_room_is_the_same_room():
    before = laid_out(1, "Den", [(10, 10)])
    renamed = replace(before, name="Study", takeoff=replace(before.takeoff, room="Study"))
    assert not difference(taken(before), taken(renamed)).changed_rooms


def test_three_switches_in_one_box_take_one_box_of_three_gangs():
    legs = tuple(
        Run(RunKind.SWITCH_LEG, "14/2", "switch", f"{zone}1", ((Part.PATH, feet(10)),), zone) for zone in "ABC"
    )
    lights = tuple(Fixture(f"{zone}1", Kind.LIGHT, "light_6", "6 in", "new_work", zone) for zone in "ABC")
    together = room_takeoff(RoomContents("Den", lights, Wiring(legs, ())), RULES)
    boxes = {
        line.key: line.quantity for line in together.lines if line.key.startswith(("switch_box", "plate", "dimmer"))
    }
    assert boxes == {"dimmer": 3, "switch_box:3_gang": 1, "plate:3_gang": 1}
    apart = tuple(replace(leg, from_id=f"switch {leg.zone}") for leg in legs)
    single = room_takeoff(RoomContents("Den", lights, Wiring(apart, ())), RULES)
    assert {line.key: line.quantity for line in single.lines}["switch_box"] == 3


def test_switches_recorded_in_one_box_share_it_and_a_3_way_pair_has_a_second_switch_at_its_other_end():
    lights = tuple(Fixture(f"{zone}1", Kind.LIGHT, "light_6", "6 in", "new_work", zone) for zone in "ABC")
    leg = Run(RunKind.SWITCH_LEG, "14/2", "switch", "A1", ((Part.PATH, feet(9)),), "A")
    pair = Run(RunKind.THREE_WAY, "14/3", "three-way", "switch", ((Part.PATH, feet(20)),), "A")
    recorded = (("A", "door"), ("B", "door"), ("C", "stairs"))
    room = RoomContents("Den", lights, Wiring((leg, pair), ()), boxes=recorded)
    lines = {line.key: line.quantity for line in room_takeoff(room, RULES).lines}
    assert (lines["dimmer"], lines["switch_box:2_gang"], lines["switch_box"]) == (4, 1, 2)


def test_cable_by_count_takes_waste_once_and_is_stapled_as_one_run_to_each():
    """4 lights at 12 ft: 48 ft, 52.8 with 10 percent; 144 in holds 2 + 144 // 54 = 4 staples at each."""
    lines = {line.key: line for line in by_counts(1, "Den", 4, feet(12)).takeoff.lines}
    assert lines["cable:14/2"].net == feet(48)
    assert plain(lines["cable:14/2"].quantity) == Fraction(528, 10) * feet(1).nm
    assert lines["staple"].quantity == 16


@pytest.mark.parametrize(("key", "lights", "spare"), [("tile", 1, 2), ("tile", 90, 2)])
def test_two_spare_tiles_where_tiles_are_asked_for(key, lights, spare):
    fixtures = tuple(Fixture(f"A{n}", Kind.LIGHT, "grid", "2x2", "tbar", "A") for n in range(lights))
    contents = RoomContents("Office", fixtures, NO_WIRE, asked=frozenset({"tile"}))
    (line,) = [line for line in job_takeoff([room_takeoff(contents, RULES)], RULES).lines if line.key == key]
    assert (line.quantity, line.spares, line.order) == (lights, spare, lights + spare)


def test_an_item_of_which_nothing_is_taken_has_no_line():
    table = takeoff_table()
    table["items"][0]["quantity"] = "0"
    room = laid_out(1, "Den", [(10, 10)])
    off = room_takeoff(
        RoomContents("Den", (Fixture("A1", Kind.LIGHT, "l", "l", "new_work"),), NO_WIRE), rules_with(**table)
    )
    assert any(line.key.startswith("housing") for line in room.takeoff.lines)
    assert not any(line.key.startswith("housing") for line in off.lines)
