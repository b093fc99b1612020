"""Cable runs as a crew pulls them: box to box, along the framing, and nothing guessed."""

from hypothesis import given
from hypothesis import strategies as st

from layout.engine.lengths import ZERO, feet, inches
from layout.engine.marks import Axis
from layout.engine.wiring.chain import Drop, Point, by_id, by_rows, chain, natural, path, path_through
from layout.engine.wiring.runs import (
    Allowances,
    Cables,
    Lacks,
    Missing,
    Outlet,
    Part,
    RoomWiring,
    RunKind,
    Zone,
    room_runs,
)

CABLES = Cables(power="14/2", speaker="16/2", speaker_long="14/2 speaker", speaker_up_to=feet(100))
ALLOWANCES = Allowances(inches(9), inches(12), feet(3), feet(1), feet(3), feet(8))
CEILING = feet(9)


def at(x, y):
    return Point(feet(x), feet(y))


def light(name, x, y, row=1):
    return Drop(name, at(x, y), row)


SWITCH = Outlet("S1", at(0, 2), feet(4))
PANEL = Outlet("P", at(0, 30), feet(5))
RACK = Outlet("R", at(20, 0), feet(2))

places = st.tuples(st.integers(0, 60), st.integers(0, 60))
ceilings_of_lights = st.lists(places, min_size=1, max_size=14).map(
    lambda found: tuple(light(f"A{number}", x, y, 1 + y // 5) for number, (x, y) in enumerate(found, start=1))
)
switches = st.one_of(st.none(), places.map(lambda found: at(*found)))


def test_cable_follows_the_framing_so_three_across_and_four_along_is_seven():
    assert path(at(0, 0), at(3, 4)) == feet(7)


def test_a_switch_leg_is_the_path_the_drop_to_the_switch_and_make_up_at_both_ends():
    zone = Zone("A", (light("A1", 3, 6),), SWITCH)
    (leg,) = room_runs(RoomWiring(CEILING, Axis.LEFT_RIGHT, (zone,)), CABLES, ALLOWANCES).runs
    assert leg.kind is RunKind.SWITCH_LEG
    assert dict(leg.parts)[Part.SWITCH_DROP] == feet(5)  # 9 ft ceiling, switch 4 ft up
    assert leg.length == feet(5) + feet(7) + inches(12) + inches(9)


def test_each_speaker_has_a_run_of_its_own_with_slack_at_both_ends():
    room = RoomWiring(CEILING, Axis.LEFT_RIGHT, speakers=(light("SP1", 4, 5), light("SP2", 12, 5)), rack=RACK)
    first, second = room_runs(room, CABLES, ALLOWANCES).runs
    assert (first.from_id, first.to_id, second.from_id, second.to_id) == ("SP1", "R", "SP2", "R")
    assert first.length == feet(16 + 5 + 7 + 3 + 8)  # path, drop from 9 ft to 2 ft, loops
    assert first.cable == "16/2"


def test_a_speaker_run_past_a_hundred_feet_takes_the_heavier_cable():
    far_rack = Outlet("R", at(100, 0), feet(2))
    room = RoomWiring(CEILING, Axis.LEFT_RIGHT, speakers=(light("SP1", 0, 0),), rack=far_rack)
    (run,) = room_runs(room, CABLES, ALLOWANCES).runs
    assert run.cable == "14/2 speaker"


def test_two_zones_switched_from_one_box_need_one_homerun_and_no_cable_between_switches():
    zones = (Zone("A", (light("A1", 3, 3),), SWITCH), Zone("B", (light("B1", 3, 9),), Outlet("S2", SWITCH.at, feet(4))))
    room = RoomWiring(CEILING, Axis.LEFT_RIGHT, zones, panel=PANEL)
    kinds = [run.kind for run in room_runs(room, CABLES, ALLOWANCES).runs]
    assert kinds.count(RunKind.HOMERUN) == 1
    assert kinds.count(RunKind.SWITCH_LEG) == 2
    assert RunKind.SWITCH_FEED not in kinds


def test_a_switch_across_the_room_is_fed_from_the_first_one_up_over_and_down():
    zones = (Zone("A", (light("A1", 3, 3),), SWITCH), Zone("B", (light("B1", 3, 9),), Outlet("S2", at(10, 2), feet(4))))
    runs = room_runs(RoomWiring(CEILING, Axis.LEFT_RIGHT, zones), CABLES, ALLOWANCES).runs
    (feed,) = [run for run in runs if run.kind is RunKind.SWITCH_FEED]
    assert feed.length == feet(5) + feet(10) + feet(5) + feet(2)


def test_what_is_not_placed_is_named_and_never_guessed():
    zone = Zone("A", (light("A1", 3, 3), light("A2", 8, 3)))
    wiring = room_runs(
        RoomWiring(CEILING, Axis.LEFT_RIGHT, (zone,), speakers=(light("SP1", 5, 5),)), CABLES, ALLOWANCES
    )
    assert [run.kind for run in wiring.runs] == [RunKind.HOP]
    assert wiring.missing == (
        Missing(Lacks.SWITCH, ("A",)),
        Missing(Lacks.PANEL, ("A",)),
        Missing(Lacks.RACK, ("SP1",)),
    )


def test_without_a_ceiling_height_no_drop_is_counted_and_the_height_is_asked_for():
    zone = Zone("A", (light("A1", 3, 3), light("A2", 8, 3)), SWITCH)
    room = RoomWiring(None, Axis.LEFT_RIGHT, (zone,), (light("SP1", 5, 5),), PANEL, RACK)
    wiring = room_runs(room, CABLES, ALLOWANCES)
    assert [run.kind for run in wiring.runs] == [RunKind.HOP]
    assert wiring.missing == (Missing(Lacks.HEIGHT, ()),)


def test_cable_past_the_rack_point_is_added_as_it_was_measured():
    cellar = Outlet("R", RACK.at, RACK.height, beyond=feet(12))
    rooms = (RoomWiring(CEILING, Axis.LEFT_RIGHT, (), (light("SP1", 4, 5),), rack=rack) for rack in (RACK, cellar))
    near, far = (room_runs(room, CABLES, ALLOWANCES).runs[0] for room in rooms)
    assert far.length - near.length == feet(12)


def test_rows_are_walked_to_and_fro_from_the_end_nearest_the_switch():
    first = [light("A1", 0, 0), light("A2", 5, 0), light("A3", 10, 0)]
    second = [light("A4", 0, 10, row=2), light("A5", 5, 10, row=2), light("A6", 10, 10, row=2)]
    from_near_right = by_rows(first + second, Axis.LEFT_RIGHT, at(11, -1))
    assert [drop.id for drop in from_near_right] == ["A3", "A2", "A1", "A4", "A5", "A6"]


def test_a_ten_comes_after_a_two():
    assert sorted(["A10", "A2", "SP1", "A1"], key=natural) == ["A1", "A2", "A10", "SP1"]


@given(ceilings_of_lights, switches, st.randoms(use_true_random=False))
def test_the_same_lights_are_always_wired_in_the_same_order(lights, switch, shuffler):
    mixed = list(lights)
    shuffler.shuffle(mixed)
    assert chain(mixed, Axis.LEFT_RIGHT, switch) == chain(lights, Axis.LEFT_RIGHT, switch)


@given(ceilings_of_lights, switches, st.sampled_from(Axis))
def test_a_chain_visits_every_light_once_and_is_no_longer_than_by_id(lights, switch, rows_run):
    order = chain(lights, rows_run, switch)
    assert by_id(order) == by_id(lights)
    assert path_through(order, switch) <= path_through(by_id(lights), switch)


@given(ceilings_of_lights, places)
def test_a_run_is_longer_than_the_straight_line_and_at_most_41_percent_longer_in_its_path(lights, switch):
    """Two sides of a right triangle: between the hypotenuse and its square root of two."""
    outlet = Outlet("S1", at(*switch), feet(4))
    room = RoomWiring(CEILING, Axis.LEFT_RIGHT, (Zone("A", lights, outlet),))
    where = {drop.id: drop.at for drop in lights} | {"S1": outlet.at}
    for run in room_runs(room, CABLES, ALLOWANCES).runs:
        a, b = where[run.from_id], where[run.to_id]
        straight_squared = (a.x - b.x).nm ** 2 + (a.y - b.y).nm ** 2
        in_ceiling = dict(run.parts)[Part.PATH].nm ** 2
        assert run.length.nm**2 > straight_squared
        assert straight_squared <= in_ceiling <= 2 * straight_squared


@given(ceilings_of_lights, places, st.integers(0, 14))
def test_one_more_light_anywhere_in_a_given_order_never_shortens_the_path(lights, new, place):
    longer = (*lights[:place], light("A99", *new), *lights[place:])
    assert path_through(longer) >= path_through(lights) >= ZERO
