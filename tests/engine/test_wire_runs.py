"""Circuits, 3-way pairs, boxes beside lights, speakers wired together, things in the way, and runs set by hand."""

from dataclasses import replace
from itertools import pairwise, permutations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.lengths import ZERO, feet, inches
from layout.engine.marks import Axis
from layout.engine.wiring.chain import Drop, Point, path
from layout.engine.wiring.paths import Ground
from layout.engine.wiring.routes import routes_drawing, run_label
from layout.engine.wiring.runs import (
    Allowances,
    Area,
    Cables,
    Circuit,
    Framing,
    HandSet,
    InTheWay,
    Lacks,
    Missing,
    Note,
    Outlet,
    Part,
    RoomWiring,
    RunKind,
    SpeakerLine,
    SpeakerWiring,
    Through,
    Wired,
    Zone,
    room_runs,
)
from tests.engine.judge_wire import tree_of

CABLES = Cables(
    "14/2", "16/2", "14/2 speaker", feet(100), three_way="14/3", speaker_four="16/4", speaker_line="12/2 CL3"
)
ALLOWANCES = Allowances(
    light_make_up=inches(9),
    switch_make_up=inches(12),
    panel_make_up=feet(3),
    feed_make_up=feet(1),
    speaker_loop=feet(3),
    rack_loop=feet(8),
    control_make_up=feet(1),
    whip=feet(2),
)
CEILING = feet(9)
ROOM = Area(ZERO, ZERO, feet(20), feet(14))


def at(x, y):
    return Point(feet(x), feet(y))


def light(name, x, y, row=1):
    return Drop(name, at(x, y), row)


def box(name, x, y, height=4, **more):
    return Outlet(name, at(x, y), feet(height), **more)


ROW = tuple(light(f"A{number}", 4 * number, 4) for number in range(1, 5))  # A1 at 4 ft ... A4 at 16 ft
SWITCH = box("S1", 0, 4)
PANEL = box("P", 0, 10)
RACK = box("R", 0, 0, height=2)


def wired(*zones, **more):
    return room_runs(RoomWiring(CEILING, Axis.LEFT_RIGHT, zones, **more), CABLES, ALLOWANCES)


def ends(wiring, kind):
    return [(run.from_id, run.to_id) for run in wiring.runs if run.kind is kind]


def the(wiring, kind):
    (run,) = [run for run in wiring.runs if run.kind is kind]
    return run


# circuits and switches


def test_zones_on_two_circuits_have_two_homeruns_and_zones_on_one_share_theirs():
    zones = [
        Zone("A", (light("A1", 4, 4),), box("S1", 0, 4), circuit="1"),
        Zone("B", (light("B1", 8, 4),), box("S2", 0, 6), circuit="1"),
        Zone("C", (light("C1", 12, 4),), box("S3", 0, 8), circuit="2"),
    ]
    wiring = wired(*zones, panel=PANEL, circuits=(Circuit("2", power="12/2", three_way="12/3"),))
    assert ends(wiring, RunKind.HOMERUN) == [("S2", "P"), ("S3", "P")]  # from the box nearest the panel
    assert ends(wiring, RunKind.SWITCH_FEED) == [("S2", "S1")]
    assert {run.cable for run in wiring.runs if run.circuit == "1"} == {"14/2"}
    assert {run.cable for run in wiring.runs if run.circuit == "2"} == {"12/2"}
    first, second = wiring.homeruns
    assert (first.circuit, first.zones, first.lights, first.boxes) == ("1", ("A", "B"), ("A1", "B1"), ("S2", "S1"))
    assert (second.circuit, second.lights) == ("2", ("C1",))


def test_switch_boxes_are_fed_in_the_shortest_order_from_the_panel():
    zones = [
        Zone(letter, (light(f"{letter}1", x, 6),), box(f"S{letter}", x, 0))
        for letter, x in (("A", 12), ("B", 2), ("C", 7))
    ]
    wiring = wired(*zones, panel=box("P", 0, 0))
    assert ends(wiring, RunKind.HOMERUN) == [("SB", "P")]
    assert ends(wiring, RunKind.SWITCH_FEED) == [("SB", "SC"), ("SC", "SA")]


def test_a_circuit_that_comes_from_another_box_runs_there_and_asks_for_no_panel():
    wiring = wired(Zone("A", ROW, SWITCH, circuit="3"), circuits=(Circuit("3", home=box("hall box", -5, 4)),))
    assert ends(wiring, RunKind.HOMERUN) == [("S1", "hall box")]
    assert wiring.missing == ()


def test_a_3_way_pair_has_one_conductor_more_between_its_boxes_and_its_leg_leaves_from_the_end_nearer_the_lights():
    zone = Zone("A", (light("A1", 18, 4),), SWITCH, partner=box("S2", 20, 4))
    wiring = wired(zone, panel=PANEL)
    pair = the(wiring, RunKind.THREE_WAY)
    assert (pair.cable, pair.from_id, pair.to_id) == ("14/3", "S1", "S2")
    assert pair.length == feet(5 + 20 + 5 + 2)  # down, over, down, a foot of make-up at each end
    assert ends(wiring, RunKind.SWITCH_LEG) == [("S2", "A1")]
    assert ends(wiring, RunKind.HOMERUN) == [("S1", "P")]  # the other end is fed


def test_a_panel_a_floor_below_adds_the_floor_to_floor_height():
    below = box("P", 0, 10, height=5, story=-feet(10))
    here, there = (
        the(wired(Zone("A", ROW, SWITCH), panel=panel), RunKind.HOMERUN) for panel in (box("P", 0, 10, 5), below)
    )
    assert there.length - here.length == feet(10)
    assert dict(there.parts)[Part.FLOORS] == feet(10)
    assert dict(there.parts)[Part.PANEL_DROP] == feet(4)
    above = box("P", 0, 10, height=5, story=feet(10))  # 15 ft up, the ceiling is at 9
    assert dict(the(wired(Zone("A", ROW, SWITCH), panel=above), RunKind.HOMERUN).parts)[Part.PANEL_DROP] == feet(6)


# chains and trees


def test_a_zone_wired_as_a_tree_takes_both_sides_from_a_switch_in_the_middle():
    row = tuple(light(f"A{number}", 4 * number, 0) for number in range(5))
    middle = box("S1", 8, 6)
    chain, tree = (wired(Zone("A", row, middle, wired=how)) for how in (Wired.CHAIN, Wired.TREE))
    paths = [sum((dict(run.parts)[Part.PATH] for run in each.runs), start=ZERO) for each in (chain, tree)]
    assert paths == [feet(30), feet(22)]  # 6 + 8 + 16 out of the end; 6 + 4 x 4 both ways
    assert ends(tree, RunKind.HOP) == [("A2", "A1"), ("A1", "A0"), ("A2", "A3"), ("A3", "A4")]
    (told,) = tree.ordered
    assert told.exact and told.length == feet(22)


def test_a_zone_without_a_switch_wired_as_a_tree_counts_what_joins_its_lights():
    wiring = wired(Zone("A", ROW, wired=Wired.TREE))
    assert len(ends(wiring, RunKind.HOP)) == 3
    assert [each.lacks for each in wiring.missing] == [Lacks.SWITCH, Lacks.PANEL]


def test_an_order_set_by_hand_is_kept_and_the_shortest_stays_beside_it():
    wiring = wired(Zone("A", ROW, SWITCH, order=("A3", "A1")))
    assert ends(wiring, RunKind.SWITCH_LEG) == [("S1", "A3")]
    assert ends(wiring, RunKind.HOP) == [("A3", "A1"), ("A1", "A2"), ("A2", "A4")]  # what it left out follows, shortest
    (told,) = wiring.ordered
    assert (told.length, told.best) == (feet(12 + 8 + 4 + 8), feet(16))
    assert told.exact


# through a fixture's own box


def test_a_chain_passes_a_fixture_box_only_as_its_label_allows():
    labels = (("A1", Through(cables=2)), ("A2", Through(conductors=4)), ("A3", Through(cables=1)))
    wiring = wired(Zone("A", ROW, SWITCH, labels=labels))
    (beside,) = wiring.boxes  # A4 ends the chain: one cable
    assert (beside.id, beside.light, beside.cables, beside.counted) == ("A3-J", "A3", 3, True)
    assert ends(wiring, RunKind.HOP) == [("A1", "A2"), ("A2", "A3-J"), ("A3-J", "A4")]
    whip = the(wiring, RunKind.WHIP)
    assert (whip.from_id, whip.to_id, whip.length) == ("A3-J", "A3", feet(2) + 2 * inches(9))
    assert (wiring.boxes_counted, wiring.boxes_offered) == (1, 0)
    assert [run.notes for run in wiring.runs if run.from_id == "A3-J" and run.to_id == "A4"] == [
        (Note.AT_SEPARATE_BOX,)
    ]


def test_without_a_label_on_file_the_run_says_not_verified_and_a_separate_box_is_offered_not_counted():
    wiring = wired(Zone("A", ROW, SWITCH))
    assert [(each.light, each.counted) for each in wiring.boxes] == [("A1", False), ("A2", False), ("A3", False)]
    assert (wiring.boxes_counted, wiring.boxes_offered) == (0, 3)
    assert not [run for run in wiring.runs if run.kind is RunKind.WHIP]
    said = [run.to_id for run in wiring.runs if Note.THROUGH_NOT_VERIFIED in run.notes]
    assert said == ["A2", "A3", "A4"]  # what leaves a box that was entered already


def test_a_junction_of_three_cables_needs_a_label_that_allows_three():
    cross = (light("A1", 8, 4), light("A2", 4, 4), light("A3", 12, 4))
    for cables, counted in ((2, 1), (3, 0)):
        labels = tuple((drop.id, Through(cables=cables)) for drop in cross)
        tree = wired(Zone("A", cross, box("S1", 8, 0), wired=Wired.TREE, labels=labels))
        assert tree.boxes_counted == counted


# speakers


SPEAKERS = (light("SP1", 4, 6), light("SP2", 12, 6), light("SP3", 8, 6))


def test_a_constant_voltage_line_goes_from_speaker_to_speaker_the_shortest_way():
    wiring = wired(rack=RACK, speaker_lines=(SpeakerLine("L1", SpeakerWiring.LINE, SPEAKERS),))
    assert ends(wiring, RunKind.SPEAKER_LINE) == [("R", "SP1"), ("SP1", "SP3"), ("SP3", "SP2")]
    assert {run.cable for run in wiring.runs} == {"12/2 CL3"}
    assert [run.length for run in wiring.runs] == [feet(7 + 10 + 8 + 3), feet(4 + 6), feet(4 + 6)]
    assert wiring.ordered[0].name == "L1"


def test_a_pair_through_a_control_takes_four_conductors_to_it_and_two_to_each_speaker():
    control = box("V1", 0, 6)
    pair = SpeakerLine("L1", SpeakerWiring.CONTROL, SPEAKERS[:2], control)
    wiring = wired(rack=RACK, speaker_lines=(pair,))
    feed = the(wiring, RunKind.CONTROL_FEED)
    assert (feed.cable, feed.from_id, feed.to_id) == ("16/4", "R", "V1")
    assert feed.length == feet(7 + 6 + 5 + 8 + 1)  # up from the rack, over, down to the control, loop, make-up
    legs = [run for run in wiring.runs if run.kind is RunKind.SPEAKER]
    assert [(run.from_id, run.to_id, run.cable, run.length) for run in legs] == [
        ("V1", "SP1", "16/2", feet(5 + 4 + 1 + 3)),
        ("V1", "SP2", "16/2", feet(5 + 12 + 1 + 3)),
    ]


def test_past_a_control_the_way_back_to_the_rack_counts_towards_the_heavier_cable():
    far = SpeakerLine("L1", SpeakerWiring.CONTROL, (light("SP1", 71, 0),), box("V1", 60, 0))
    (leg,) = [run for run in wired(rack=RACK, speaker_lines=(far,)).runs if run.kind is RunKind.SPEAKER]
    assert leg.length < feet(100)
    assert leg.cable == "14/2 speaker"  # 81 ft to the control, 20 on


def test_a_control_that_is_not_placed_is_asked_for():
    wiring = wired(rack=RACK, speaker_lines=(SpeakerLine("L1", SpeakerWiring.CONTROL, SPEAKERS[:2]),))
    assert (wiring.runs, wiring.missing) == ((), (Missing(Lacks.CONTROL, ("SP1", "SP2")),))
    assert [run.to_id for run in wiring.waiting] == ["control", "SP1", "SP2"]


def test_speakers_of_a_line_that_each_have_their_own_run_are_wired_like_the_others():
    own = wired(rack=RACK, speaker_lines=(SpeakerLine("L1", SpeakerWiring.HOME_RUN, SPEAKERS),))
    assert own.runs == wired(rack=RACK, speakers=SPEAKERS).runs


# things in the way


def test_a_duct_between_rows_changes_the_order_and_the_detour_is_a_part_of_its_own():
    wall = InTheWay("duct", Area(feet(6), feet(0), feet(7), feet(13)))  # leaves a foot at the far wall
    framing = Framing(Axis.LEFT_RIGHT, inches(16), inches(8), inches("1.5"))
    two = Zone("A", (light("A1", 4, 2), light("A2", 9, 2), light("A3", 4, 9), light("A4", 9, 9)), box("S1", 4, 0))
    wiring = wired(two, framing=(framing,), in_the_way=(wall,), extent=ROOM)
    assert ends(wiring, RunKind.HOP) == [("A1", "A3"), ("A3", "A4"), ("A4", "A2")]
    over = wiring.runs[2]
    assert dict(over.parts)[Part.DETOUR] == feet(8)  # 4 ft up to the gap and 4 back
    assert over.around == ("duct",)
    assert over.bored == 6  # three members between 9 and 13 ft, up and down
    assert over.bends[0] == at(4, 9) and over.bends[-1] == at(9, 9)


def test_what_cannot_be_reached_is_told_and_the_rest_is_wired():
    shaft = [InTheWay("shaft", Area(feet(11), feet(3), feet(13), feet(5)))]
    wiring = wired(Zone("A", ROW, SWITCH), panel=PANEL, in_the_way=shaft, extent=ROOM)
    assert wiring.missing == (Missing(Lacks.WAY, ("A3",)),)  # at 12 ft, inside the shaft
    assert ends(wiring, RunKind.HOP) == [("A1", "A2"), ("A2", "A4")]
    assert [run.key for run in wiring.waiting] == [("hop", "A2", "A3", "")]  # A2 and A4 are as near
    for nearer in ("A2", "A1"):  # from there, or from wherever a person says
        by_hand = HandSet(RunKind.HOP, nearer, "A3", feet(11))
        helped = wired(Zone("A", ROW, SWITCH), panel=PANEL, in_the_way=shaft, extent=ROOM, by_hand=(by_hand,))
        assert (helped.missing, helped.unmatched, helped.waiting) == ((), (), ())
        assert helped.length == wiring.length + feet(11)


lights = st.lists(st.tuples(st.integers(0, 20), st.integers(0, 14)), min_size=1, max_size=7, unique=True)
ducts = st.lists(st.tuples(st.integers(0, 18), st.integers(0, 12), st.integers(1, 8), st.integers(1, 8)), max_size=3)


@settings(max_examples=40, deadline=None)
@given(lights, ducts)
def test_every_light_has_one_way_to_it_or_is_named(places, boxes):
    things = tuple(
        InTheWay(f"D{n}", Area(feet(x), feet(y), feet(x + w), feet(y + d))) for n, (x, y, w, d) in enumerate(boxes)
    )
    zone = Zone("A", tuple(light(f"A{number}", *place) for number, place in enumerate(places)), box("S1", -3, 2))
    wiring = wired(zone, panel=box("P", -3, 5), in_the_way=things, extent=ROOM)
    reached = [run.to_id for run in wiring.runs if run.kind in (RunKind.SWITCH_LEG, RunKind.HOP)]
    named = [each for missing in wiring.missing for each in missing.waits]
    assert sorted(reached + named) == sorted(drop.id for drop in zone.lights)
    for run in wiring.runs:
        a, b = run.bends[0], run.bends[-1]
        parts = dict(run.parts)
        assert parts[Part.PATH] == path(a, b)
        assert parts.get(Part.DETOUR, ZERO) >= ZERO
        assert run.length == sum(parts.values(), start=ZERO)
    (told,) = [each for each in wiring.ordered if each.what == "zone"]
    assert told.exact and told.length == told.best


@settings(max_examples=25, deadline=None)
@given(lights.filter(lambda places: len(places) < 6), ducts)
def test_around_things_no_order_and_no_tree_takes_less_than_the_one_taken(places, boxes):
    """Over the true way between every two, found one by one."""
    things = tuple(
        InTheWay(f"D{n}", Area(feet(x), feet(y), feet(x + w), feet(y + d))) for n, (x, y, w, d) in enumerate(boxes)
    )
    spots = [at(-3, 2), *(at(*place) for place in places)]
    ground = Ground((), things, ROOM, spots)
    ways = [[ground.way(a, b) for b in spots] for a in spots]
    if any(way is None for row in ways for way in row):
        return
    table = [[int(way.length) for way in row] for row in ways]
    inner = range(1, len(spots))
    chain = min(sum(table[a][b] for a, b in pairwise((0, *order))) for order in permutations(inner))
    codes = product(range(len(spots)), repeat=len(spots) - 2)
    tree = min(sum(table[a][b] for a, b in tree_of(code, len(spots))) for code in codes)
    zone = Zone("A", tuple(light(f"A{number}", *place) for number, place in enumerate(places)), box("S1", -3, 2))
    for how, least in ((Wired.CHAIN, chain), (Wired.TREE, tree)):
        wiring = wired(replace(zone, wired=how), in_the_way=things, extent=ROOM)
        (told,) = wiring.ordered
        assert int(told.length.nm) == least
        on_plan = [length for run in wiring.runs for part, length in run.parts if part in (Part.PATH, Part.DETOUR)]
        assert sum(on_plan, start=ZERO) == told.length


def test_a_panel_that_cannot_be_reached_is_told_with_the_box_it_would_feed():
    closet = InTheWay("closet", Area(feet(-2), feet(8), feet(2), feet(12)))
    wiring = wired(Zone("A", ROW, SWITCH), Zone("B", SPEAKERS, box("S2", 3, 0)), panel=PANEL, in_the_way=(closet,))
    assert wiring.missing == (Missing(Lacks.WAY, ("S1–P",)),)
    assert [told.what for told in wiring.ordered] == ["zone", "zone"]


# set by hand


def test_feet_set_by_hand_count_and_the_computed_ones_stay_beside_them():
    plain = wired(Zone("A", ROW, SWITCH), panel=PANEL)
    given = (
        HandSet(RunKind.HOP, "A3", "A2", feet(9)),
        HandSet(RunKind.HOMERUN, "P", "S1", feet(70)),
    )  # either way round
    wiring = wired(Zone("A", ROW, SWITCH), panel=PANEL, by_hand=given)
    hop = next(run for run in wiring.runs if run.to_id == "A3")
    assert (hop.length, hop.by_hand, hop.computed) == (feet(9), feet(9), feet(4) + 2 * inches(9))
    assert wiring.by_hand == feet(79)
    changed = [run.computed - run.length for run in wiring.runs if run.by_hand is not None]
    assert wiring.length == plain.length - sum(changed, start=ZERO)


def test_two_3_way_pairs_between_the_same_boxes_are_set_by_hand_one_by_one():
    zones = [
        Zone(letter, (light(f"{letter}1", 10, y),), SWITCH, partner=box("S2", 20, 4))
        for letter, y in (("A", 4), ("B", 6))
    ]
    wiring = wired(*zones, by_hand=(HandSet(RunKind.THREE_WAY, "S1", "S2", feet(50), circuit="B"),))
    pairs = {run.zone: run.by_hand for run in wiring.runs if run.kind is RunKind.THREE_WAY}
    assert pairs == {"A": None, "B": feet(50)}
    assert len({run.key for run in wiring.runs}) == len(wiring.runs)


def test_a_way_set_by_hand_is_measured_and_keeps_its_drops_and_make_up():
    way = (at(4, 4), at(4, 9), at(8, 9), at(8, 4))
    wiring = wired(Zone("A", ROW, SWITCH), by_hand=(HandSet(RunKind.HOP, "A1", "A2", way=way),))
    hop = next(run for run in wiring.runs if run.to_id == "A2")
    assert hop.length == feet(14) + 2 * inches(9)
    assert (hop.computed, hop.bends) == (feet(4) + 2 * inches(9), way)


def test_feet_set_by_hand_stand_in_for_what_is_not_placed():
    given = (
        HandSet(RunKind.SWITCH_LEG, "switch", "A1", feet(20)),
        HandSet(RunKind.HOMERUN, "switch", "panel", feet(60)),
        HandSet(RunKind.SPEAKER, "SP1", "rack", feet(45)),
    )
    room = RoomWiring(None, Axis.LEFT_RIGHT, (Zone("A", ROW),), SPEAKERS[:1], by_hand=given)
    wiring = room_runs(room, CABLES, ALLOWANCES)
    assert wiring.missing == ()
    assert wiring.by_hand == feet(125)


def test_a_run_set_by_hand_that_is_no_longer_run_is_kept_and_not_counted():
    gone = HandSet(RunKind.HOP, "A1", "A4", feet(12))
    wiring = wired(Zone("A", ROW, SWITCH), by_hand=(gone,))
    assert wiring.unmatched == (gone,)
    assert wiring.by_hand == ZERO


# on the plan


def test_every_run_with_a_way_is_a_line_from_end_to_end_with_both_ends_in_its_label():
    wiring = wired(Zone("A", ROW, SWITCH), panel=PANEL, speakers=SPEAKERS[:1], rack=RACK)
    lines = routes_drawing(wiring)
    assert [line.label for line in lines] == ["A1–A2", "A2–A3", "A3–A4", "S1–A1", "S1–P", "SP1–R"]
    assert {line.key for line in lines} == {run.key for run in wiring.runs}
    assert lines[0].points == (at(4, 4), at(8, 4))
    assert (lines[0].label_at, lines[0].along_x) == (at(6, 4), True)
    assert run_label(wiring.runs[0]) == "S1–A1"


def test_two_runs_on_one_stretch_of_framing_are_told_apart():
    zones = (Zone("A", (light("A1", 10, 4),), SWITCH), Zone("B", (light("B1", 12, 4),), replace(SWITCH, id="S2")))
    first, second = routes_drawing(wired(*zones))
    assert (first.lane, second.lane) == (0, 1)


@pytest.mark.parametrize("zone", [Zone("A", ()), Zone("A", (), SWITCH)])
def test_a_zone_without_lights_takes_no_cable_and_asks_for_nothing(zone):
    assert wired(zone) == wired()
