"""A worked wire sum, checked by hand before any code: 19 ft x 14 ft, three rows of four lights.

Published rule behind it: at least 6 in of free conductor at each box (NEC 300.14, from memory). The rest of the sum is
common practice, no source: 9 in of make-up at a light, 12 in at a switch, 3 ft at a panel, 12 % waste when fished.
"""

from dataclasses import replace
from fractions import Fraction

from layout.engine.lengths import feet, inches
from layout.engine.marks import Axis
from layout.engine.wiring.chain import Drop, Point, by_rows, chain, path_through
from layout.engine.wiring.runs import Allowances, Cables, Outlet, RoomWiring, RunKind, Zone, room_runs

CABLES = Cables("14/2", "16/2", "14/2 speaker", feet(100))
ALLOWANCES = Allowances(
    light_make_up=inches(9),
    switch_make_up=inches(12),
    panel_make_up=feet(3),
    feed_make_up=feet(1),
    speaker_loop=feet(3),
    rack_loop=feet(8),
)
CEILING = feet(9)
# 19 ft / 4 = 4'-9", outer lights half of it off the wall; 14 ft / 3 = 4'-8", outer rows half of it off the wall.
FIRST = Point(inches("28.5"), inches(28))
LIGHTS = tuple(
    Drop(f"A{4 * row + column + 1}", Point(FIRST.x + column * inches(57), FIRST.y + row * inches(56)), row + 1)
    for row in range(3)
    for column in range(4)
)
# In the hall, 7'-8" left of A1 and 2'-4" nearer the door: 10 ft along the framing, 4 ft above the floor.
SWITCH = Outlet("S1", Point(inches("28.5") - inches(92), feet(0)), feet(4))
# 40 ft along the framing from the switch, 4 ft above the floor.
PANEL = Outlet("panel", Point(SWITCH.at.x - feet(30), SWITCH.at.y - feet(10)), feet(4))
ZONE = Zone("A", LIGHTS, SWITCH)


def in_feet(length):
    return length.nm / feet(1).nm


def test_the_room_of_the_worked_sum_takes_139_33_ft_before_waste():
    rows_in_turn = tuple(light.id for light in by_rows(LIGHTS, Axis.LEFT_RIGHT, SWITCH.at))
    zone = replace(ZONE, order=rows_in_turn)
    wiring = room_runs(RoomWiring(CEILING, Axis.LEFT_RIGHT, (zone,), panel=PANEL), CABLES, ALLOWANCES)
    leg, *hops, homerun = wiring.runs
    assert (leg.kind, homerun.kind) == (RunKind.SWITCH_LEG, RunKind.HOMERUN)

    assert len(hops) == 11
    assert sum(in_feet(run.parts[0][1]) for run in hops) == Fraction(52) + Fraction(1, 12)  # 9 x 4'-9" + 2 x 4'-8"
    assert sum(in_feet(run.parts[1][1]) for run in hops) == Fraction("16.5")  # 11 x 2 x 9 in
    assert in_feet(leg.length) == Fraction("16.75")  # 5 drop + 10 + 1 + 3/4
    assert in_feet(homerun.length) == 54  # 5 rise + 40 + 5 drop + 3 + 1

    net = in_feet(wiring.length)
    assert round(float(net), 2) == 139.33
    assert round(float(net * Fraction("1.12")), 2) == 156.05


def test_the_room_as_the_program_wires_it_never_takes_more_than_the_worked_sum():
    wiring = room_runs(RoomWiring(CEILING, Axis.LEFT_RIGHT, (ZONE,), panel=PANEL), CABLES, ALLOWANCES)
    assert in_feet(wiring.length) == Fraction("139.33") + Fraction(1, 300) - Fraction(1, 2)  # 6 x (4'-9" - 4'-8")
    assert wiring.ordered[0].exact
    order = chain(LIGHTS, Axis.LEFT_RIGHT, SWITCH.at)
    # Up and down the columns of this room is shorter than along its rows: 8 x 4'-8" + 3 x 4'-9".
    assert in_feet(path_through(order)) <= Fraction(8 * 56 + 3 * 57, 12)
