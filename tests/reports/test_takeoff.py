"""What a room takes and what a job orders, as an estimator counts it."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.engine.lengths import Distance, Unit, feet, inches
from layout.engine.marks import Axis, Kind
from layout.engine.wiring.chain import Drop, Point
from layout.engine.wiring.runs import Outlet, RoomWiring, Through, Wiring, Zone, room_runs
from projects.catalogue.tables import takeoff_rules
from reports.estimating.rules import allowances, usual_cables
from reports.estimating.takeoff import Fixture, RoomContents, job_takeoff, room_takeoff

RULES = takeoff_rules()
NO_WIRE = Wiring((), ())
SWITCH = Outlet("S1", Point(feet(0), feet(2)), inches(48))
PANEL = Outlet("P", Point(feet(0), feet(40)), feet(5))
RACK = Outlet("R", Point(feet(30), feet(0)), feet(2))


def light(name, zone="A", install="new_work", type_key="six_inch", **more):
    return Fixture(name, Kind.LIGHT, type_key, "6 in light", install, zone, **more)


def speaker(name, install="new_work"):
    return Fixture(name, Kind.SPEAKER, "speaker", "6 1/2 in speaker", install)


def a_room(name, places, *, speakers=(), placed=True, pull="open", install="new_work"):
    """A room with a light at each place (in whole feet, three to a row) and a speaker at each of speakers."""
    drops = tuple(Drop(f"A{n}", Point(feet(x), feet(y)), 1 + y // 5) for n, (x, y) in enumerate(places, start=1))
    sound = tuple(Drop(f"SP{n}", Point(feet(x), feet(y))) for n, (x, y) in enumerate(speakers, start=1))
    zone = Zone("A", drops, SWITCH if placed else None)
    wiring = room_runs(
        RoomWiring(feet(9), Axis.LEFT_RIGHT, (zone,), sound, PANEL if placed else None, RACK if placed else None),
        usual_cables(RULES),
        allowances(RULES),
    )
    fixtures = tuple(light(drop.id, install=install) for drop in drops) + tuple(speaker(drop.id) for drop in sound)
    return RoomContents(name, fixtures, wiring, pull)


def quantities(takeoff):
    return {line.key: line.quantity for line in takeoff.lines}


places = st.lists(st.tuples(st.integers(0, 40), st.integers(0, 30)), max_size=8)
rooms = st.builds(
    a_room,
    name=st.sampled_from(["Den", "Hall", "Bath"]),
    places=places,
    speakers=st.lists(st.tuples(st.integers(0, 40), st.integers(0, 30)), max_size=3),
    placed=st.booleans(),
    pull=st.sampled_from(["open", "remodel", "many_corners"]),
    install=st.sampled_from(["new_work", "old_work", "tbar"]),
)


def test_a_new_work_light_takes_a_housing_and_a_trim_of_its_model():
    room = RoomContents("Den", (light("A1"), light("A2"), light("A3", type_key="four_inch")), NO_WIRE)
    found = quantities(room_takeoff(room, RULES))
    assert (found["housing:six_inch"], found["trim:six_inch"], found["housing:four_inch"]) == (2, 2, 1)


def test_an_old_work_light_comes_complete_and_takes_no_housing():
    found = quantities(room_takeoff(RoomContents("Den", (light("A1", install="old_work"),), NO_WIRE), RULES))
    assert found["remodel_light:six_inch"] == 1
    assert not [key for key in found if key.startswith(("housing", "trim"))]


def test_a_light_in_a_grid_takes_a_tile_bridge_two_hanger_wires_and_a_whip():
    room = RoomContents("Office", tuple(light(f"A{n}", install="tbar") for n in (1, 2, 3)), NO_WIRE)
    found = quantities(room_takeoff(room, RULES))
    assert (found["tile_bridge"], found["hanger_wire"], found["whip"]) == (3, 6, 3)


def test_a_speaker_takes_a_bracket_in_open_framing_two_labels_and_four_terminals():
    room = RoomContents("Den", (speaker("SP1"), speaker("SP2", install="old_work")), NO_WIRE)
    found = quantities(room_takeoff(room, RULES))
    assert found["speaker:speaker"] == 2
    assert found["speaker_bracket"] == 1  # the other is clipped in from below
    assert (found["speaker_label"], found["speaker_terminal"]) == (4, 8)


def test_each_zone_takes_a_dimmer_and_a_room_with_lights_one_breaker():
    room = RoomContents("Den", (light("A1"), light("A2"), light("B1", zone="B")), NO_WIRE)
    found = quantities(room_takeoff(room, RULES))
    assert (found["dimmer"], found["breaker"]) == (2, 1)


def test_a_back_box_is_counted_only_where_it_is_asked_for():
    plain = RoomContents("Den", (speaker("SP1"),), NO_WIRE)
    boxed = RoomContents("Den", (speaker("SP1"),), NO_WIRE, asked=frozenset({"speaker_back_box"}))
    assert "speaker_back_box" not in quantities(room_takeoff(plain, RULES))
    assert quantities(room_takeoff(boxed, RULES))["speaker_back_box"] == 1


def test_a_box_beside_a_light_is_bought_where_its_label_asks_for_one_and_not_where_none_is_on_file():
    places = (Drop("A1", Point(feet(4), feet(2))), Drop("A2", Point(feet(8), feet(2))))
    for labels, boxes in (((("A1", Through(cables=1)),), 1), ((("A1", Through(cables=2)),), 0), ((), 0)):
        zone = Zone("A", places, SWITCH, labels=labels)
        wiring = room_runs(RoomWiring(feet(9), Axis.LEFT_RIGHT, (zone,)), usual_cables(RULES), allowances(RULES))
        room = RoomContents("Den", (light("A1"), light("A2")), wiring)
        assert quantities(room_takeoff(room, RULES)).get("light_box", 0) == boxes


def test_waste_is_added_once_to_the_sum_of_a_cables_runs():
    """10 percent in open framing: a trade magazine's figure. 15 percent fished: common practice, no source."""
    for pull, factor in (("open", Fraction("1.10")), ("remodel", Fraction("1.15"))):
        room = a_room("Den", [(5, 5), (10, 5)], pull=pull)
        (cable,) = [line for line in room_takeoff(room, RULES).lines if line.key.startswith("cable:")]
        # By hand: leg 5 + (5 + 3) + 1 + 3/4, hop 5 + 2 x 3/4, homerun 5 + 38 + 4 + 3 + 1.
        assert cable.net == feet("14.75") + feet("6.5") + feet(51)
        assert cable.quantity == Distance(feet("72.25").nm * factor)


def test_cable_is_held_near_each_box_and_every_four_and_a_half_feet():
    """NEC 334.30 as inspection lists quote it. Leg 14.75 ft: 2 + 3; hop 6.5 ft: 2 + 1; homerun 51 ft: 2 + 11."""
    found = quantities(room_takeoff(a_room("Den", [(5, 5), (10, 5)]), RULES))
    assert found["staple"] == 5 + 3 + 13


def test_fished_cable_is_not_stapled():
    assert "staple" not in quantities(room_takeoff(a_room("Den", [(5, 5), (10, 5)], pull="remodel"), RULES))


def test_power_and_speaker_cable_are_never_added_together():
    found = quantities(room_takeoff(a_room("Den", [(5, 5)], speakers=[(6, 6)]), RULES))
    assert {"cable:14/2", "cable:speaker_16/2"} <= found.keys()


def test_what_is_not_placed_is_listed_with_its_room_and_adds_no_cable():
    job = job_takeoff([room_takeoff(a_room("Den", [(5, 5)], placed=False), RULES)], RULES)
    assert [(room, missing.lacks.value) for room, missing in job.missing] == [("Den", "switch"), ("Den", "panel")]
    assert not [line for line in job.lines if line.key.startswith("cable:")]


def test_twelve_rooms_of_part_of_a_foot_are_rounded_up_once():
    one = room_takeoff(a_room("Den", [(5, 5)]), RULES)
    (exact,) = [line.quantity for line in one.lines if line.key == "cable:14/2"]
    # (14.75 + 51) x 1.1 = 72.325 ft in a room; twelve of them are 867.9 ft, not 12 x 73.
    assert exact == feet("72.325")
    (line,) = [line for line in job_takeoff([one] * 12, RULES).lines if line.key == "cable:14/2"]
    assert line.order == 868


def test_a_metric_shop_orders_cable_by_the_meter():
    one = room_takeoff(a_room("Den", [(5, 5)]), RULES)  # 72.325 ft = 22.04 m
    (line,) = [line for line in job_takeoff([one], RULES, Unit.MM).lines if line.key == "cable:14/2"]
    assert line.order == 23


@pytest.mark.parametrize(("count", "spares"), [(1, 1), (12, 1), (33, 1), (34, 2), (100, 3), (101, 4)])
def test_three_in_a_hundred_housings_are_spare_and_at_least_one_of_each_model(count, spares):
    room = RoomContents("Hall", tuple(light(f"A{n}") for n in range(count)), NO_WIRE)
    (line,) = [line for line in job_takeoff([room_takeoff(room, RULES)], RULES).lines if line.key == "housing:six_inch"]
    assert (line.quantity, line.spares, line.order) == (count, spares, count + spares)


@pytest.mark.parametrize(("count", "spares"), [(20, 0), (21, 1)])
def test_a_spare_speaker_comes_only_with_more_than_twenty(count, spares):
    room = RoomContents("Hall", tuple(speaker(f"SP{n}") for n in range(count)), NO_WIRE)
    (line,) = [line for line in job_takeoff([room_takeoff(room, RULES)], RULES).lines if line.key == "speaker:speaker"]
    assert line.spares == spares


def test_every_line_says_why_and_names_a_source():
    job = [a_room("Den", [(5, 5), (9, 9)], speakers=[(6, 6)]), a_room("Hall", [(2, 2)], install="tbar")]
    rooms_counted = [room_takeoff(room, RULES) for room in job]
    lines = [line for room in rooms_counted for line in room.lines] + list(job_takeoff(rooms_counted, RULES).lines)
    assert lines
    for line in lines:
        assert line.why
        for why in line.why:
            assert why.source
            assert why.inputs


@given(st.lists(rooms, max_size=5))
def test_the_rooms_add_up_to_the_job_exactly(found):
    counted = [room_takeoff(room, RULES) for room in found]
    job = job_takeoff(counted, RULES)
    for line in job.lines:
        parts = [part.quantity for room in counted for part in room.lines if part.key == line.key]
        if not parts:
            assert RULES.items[line.key].per == "job"
            continue
        total = parts[0]
        for part in parts[1:]:
            total = total + part
        assert line.quantity == total
        bought = line.quantity.nm / feet(1).nm if isinstance(line.quantity, Distance) else line.quantity
        assert bought <= line.order - line.spares < bought + 1
    assert {line.key for room in counted for line in room.lines} <= {line.key for line in job.lines}


@given(places, st.sampled_from(["new_work", "old_work", "tbar"]))
def test_one_more_light_never_lowers_a_counted_line(taken, install):
    def pieces(count):
        room = RoomContents("Den", tuple(light(f"A{n}", install=install) for n in range(count)), NO_WIRE)
        return quantities(room_takeoff(room, RULES))

    before, after = pieces(len(taken)), pieces(len(taken) + 1)
    assert before.keys() <= after.keys()
    assert all(after[key] >= quantity for key, quantity in before.items())


@given(rooms)
def test_the_same_room_is_always_counted_the_same(room):
    assert room_takeoff(room, RULES) == room_takeoff(room, RULES)
