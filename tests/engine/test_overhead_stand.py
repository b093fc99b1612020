"""What is overhead, from the zero corner: which joist is joist 1, and what was measured from which face.

Sizes are sums done by hand.
"""

import pytest

from layout.engine.lengths import ZERO, inches, nanometers
from layout.engine.marks import Axis, Datum, Orientation, Side
from layout.engine.overhead.stand import MOST_THINGS, Direction, OverheadError, ReadingMissing, stand
from layout.engine.overhead.values import Joists, Member, Overhead, Thing
from layout.engine.stacks import Layer, SideBuildUp, as_computed, as_measured, net_span

ROWS_LEFT_RIGHT = Orientation(Axis.LEFT_RIGHT)
BOARD = (Layer("board", inches("1/2")),)


GAP_4, GAP_6 = SideBuildUp(BOARD, inches(4)), SideBuildUp(BOARD, inches(6))


def axis(framing="240", left=GAP_4, right=GAP_6):
    """240 in of framing; 4 1/2 in to the ceiling's edge at the start, 6 1/2 in at the end: 229 in of ceiling."""
    return as_computed(net_span(inches(framing), left, right))


def joists(first="10", from_side=Side.LEFT, datum=Datum.FRAMING, spacing="16", runs=Axis.DOOR_FAR, clear="1/2"):
    return Joists(runs, inches(spacing), inches("1 1/2"), inches(first), from_side, datum, inches(clear))


def thing(x="20", y="30", datum=Datum.EDGE, wide="10", deep="4", is_round=False):
    return Thing("duct", "duct", inches(x), inches(y), inches(wide), inches(deep), is_round, datum, inches(2))


def places(standing):
    return {member.name: member.at for member in standing.members}


def test_a_joist_measured_from_the_framing_stands_by_the_build_up_nearer_the_ceilings_edge():
    standing = stand(Overhead((joists(),)), ROWS_LEFT_RIGHT, axis(), axis())
    assert standing.members[0].name == "joist 1"
    assert standing.members[0].at == inches("5 1/2")  # 10 less 4 1/2
    assert standing.members[0].on is Direction.ALONG
    assert places(standing)["joist 3"] == inches("37 1/2")


@pytest.mark.parametrize(
    ("datum", "at"), [(Datum.FRAMING, "5 1/2"), (Datum.FINISHED, "6"), (Datum.EDGE, "10")]
)
def test_each_face_of_a_wall_has_its_own_zero(datum, at):
    standing = stand(Overhead((joists(datum=datum),)), ROWS_LEFT_RIGHT, axis(), axis())
    assert standing.members[0].at == inches(at)


def test_from_the_far_side_of_the_room_it_is_the_far_sides_build_up_that_counts():
    standing = stand(Overhead((joists(from_side=Side.RIGHT),)), ROWS_LEFT_RIGHT, axis(), axis())
    assert inches("225 1/2") in places(standing).values()  # 10 less 6 1/2 is 3 1/2 from the right edge of 229


def test_the_finished_wall_at_the_right_stands_behind_its_own_gap():
    standing = stand(
        Overhead((joists(from_side=Side.RIGHT, datum=Datum.FINISHED),)), ROWS_LEFT_RIGHT, axis(), axis()
    )
    assert inches(225) in places(standing).values()  # 10 less the 6 in gap is 4 from the right edge of 229


def test_joist_1_is_the_one_nearest_the_zero_corner():
    from_left = stand(Overhead((joists(),)), ROWS_LEFT_RIGHT, axis(), axis())
    swapped = axis(left=GAP_6, right=GAP_4)
    from_right = stand(Overhead((joists(),)), Orientation(Axis.LEFT_RIGHT, Side.RIGHT), swapped, axis())
    assert [m.at for m in from_right.members] == [inches(229) - m.at for m in reversed(from_left.members)]
    assert [m.name for m in from_right.members][:2] == ["joist 1", "joist 2"]


def test_rows_that_run_down_the_room_have_left_to_right_across_them():
    standing = stand(Overhead((joists(),), things=(thing(),)), Orientation(Axis.DOOR_FAR), axis("200"), axis())
    assert {member.on for member in standing.members} == {Direction.ACROSS}
    (duct,) = standing.things
    assert (duct.along, duct.across) == (inches(30), inches(20))
    assert (duct.size_along, duct.size_across) == (inches(4), inches(10))


def test_19_2_in_is_a_fifth_of_eight_feet_and_never_drifts():
    """Five spaces make one 8 ft sheet. Source: the black diamonds of a tape, framing layout pages; 96 / 5 by hand."""
    standing = stand(
        Overhead((joists("0", datum=Datum.EDGE, spacing="19.2"),)), ROWS_LEFT_RIGHT, as_measured(inches(960)), axis()
    )
    at = [member.at for member in standing.members]
    assert at[::5] == [inches(96 * n) for n in range(11)]


def test_only_joists_that_can_touch_the_ceiling_are_counted_and_those_in_the_gap_are_kept_apart():
    standing = stand(Overhead((joists("1"),)), ROWS_LEFT_RIGHT, axis(), axis())
    assert standing.members[0].at == inches("12 1/2")  # 1, 17, ...: the first one is in the gap
    assert [(m.name, m.at) for m in standing.beyond] == [("joist past the left edge", inches("-3 1/2"))]


def test_a_joist_just_past_the_edge_counts_while_its_clear_material_reaches_in():
    overhead = Overhead((joists("-1", datum=Datum.EDGE),))  # its face is 1/4 in past the edge, 1/2 in is kept free
    assert stand(overhead, ROWS_LEFT_RIGHT, axis(), axis()).members[0].at == inches(-1)


def test_a_doubled_joist_takes_the_place_and_the_number_of_the_one_it_covers():
    double = Member("doubled joist", Axis.DOOR_FAR, inches("21 1/2"), Side.LEFT, Datum.EDGE, inches(3), ZERO)
    standing = stand(Overhead((joists(),), (double,)), ROWS_LEFT_RIGHT, axis(), axis())
    assert [member.name for member in standing.members[:3]] == ["joist 1", "doubled joist (joist 2)", "joist 3"]
    assert standing.members[1].width == inches(3)


def test_blocking_between_two_joists_is_one_more_member():
    header = Member("header", Axis.LEFT_RIGHT, inches(50), Side.FAR, Datum.EDGE, inches("1 1/2"), ZERO)
    standing = stand(Overhead((joists(),), (header,)), ROWS_LEFT_RIGHT, axis(), as_measured(inches(120)))
    assert standing.members_on(Direction.ACROSS)[0].at == inches(70)


def test_joists_and_channel_across_them_are_told_apart():
    channel = joists(runs=Axis.LEFT_RIGHT, from_side=Side.DOOR, spacing="24")
    standing = stand(Overhead((joists(), channel)), ROWS_LEFT_RIGHT, axis(), axis())
    names = [member.name for member in standing.members]
    assert "joist 1 (across the rows)" in names
    assert "joist 1 (along the rows)" in names


def test_framing_nobody_taped_is_asked_for_by_name():
    with pytest.raises(ReadingMissing, match="not taped left to right") as missing:
        stand(Overhead((joists(),)), ROWS_LEFT_RIGHT, as_measured(inches(200)), axis())
    assert missing.value.side is Side.LEFT
    assert missing.value.axis is Axis.LEFT_RIGHT


def test_a_thing_from_unmeasured_framing_is_asked_for_by_its_own_name():
    with pytest.raises(ReadingMissing, match="duct: measured from the framing at the door wall"):
        stand(Overhead(things=(thing(datum=Datum.FRAMING),)), ROWS_LEFT_RIGHT, axis(), as_measured(inches(90)))


def test_joists_are_not_measured_from_a_wall_they_run_into():
    with pytest.raises(OverheadError, match="Take it from the left wall or the right wall"):
        stand(Overhead((joists(from_side=Side.FAR),)), ROWS_LEFT_RIGHT, axis(), axis())


@pytest.mark.parametrize(
    "overhead",
    [
        Overhead((Joists(Axis.DOOR_FAR, nanometers(2), nanometers(1), ZERO, Side.LEFT, Datum.EDGE, ZERO),)),
        Overhead(things=(thing(),) * (MOST_THINGS + 1)),
    ],
)
def test_a_slip_that_asks_for_too_much_is_refused_before_any_work(overhead):
    with pytest.raises(OverheadError, match="takes"):
        stand(overhead, ROWS_LEFT_RIGHT, axis(), axis())


def test_a_round_thing_has_one_diameter():
    with pytest.raises(OverheadError, match="diameter"):
        stand(Overhead(things=(thing(is_round=True),)), ROWS_LEFT_RIGHT, axis(), axis())
