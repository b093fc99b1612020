"""Light over counters, islands, art and halls. Rules: common practice, no source, unless said; sums by hand."""

from itertools import pairwise

import pytest

from layout.engine.lengths import Distance, Style, Tape, Unit, feet, inches
from layout.engine.pins import Line, Pin
from layout.engine.ways import tasks
from layout.engine.ways.task_rules import RULES

TAPE = Tape(Style.INCHES, 16)


def shown(spots):
    return [TAPE.show(spot, mark=False) for spot in spots]


def inch(value):
    return inches(value)


def test_every_rule_says_where_it_is_from():
    assert all(rule.source and rule.text and rule.name for rule in RULES)
    assert len({rule.key for rule in RULES}) == len(RULES) == 11


@pytest.mark.parametrize(
    ("length", "count"),
    [("96", 3), ("60", 2), ("84", 3), ("24", 1), ("20", 1), ("132", 4)],  # ceil((96 - 24) / 36) + 1 = 3
)
def test_an_island_has_one_light_more_than_its_gaps_of_a_yard(length, count):
    spots = tasks.island(inch("0"), inch(length), inch("60")).spots
    assert len(spots) == count


def test_an_islands_end_lights_stand_a_foot_inside():
    line = tasks.island(inch("40"), inch("136"), inch("72"))
    assert shown(line.spots) == ["52", "88", "124"]
    assert line.line == inch("72")
    assert "stools" in line.notes[0]


def test_a_counter_has_a_light_at_the_sink_and_at_the_range():
    """Sink at 50, range at 110 of 144: the 60 between is two gaps of 30; 50 - 18 = 32 is one, 34 - 18 = 16 one."""
    line = tasks.counter(inch("0"), inch("144"), inch("25"), at=(inch("110"), inch("50")))
    assert shown(line.spots) == ["18", "50", "80", "110", "126"]
    assert line.line == inch("25")


def test_a_plain_counter_is_spread_from_half_a_gap_inside():
    """144 - 36 = 108: three gaps of 36."""
    assert shown(tasks.counter(inch("0"), inch("144"), inch("25")).spots) == ["18", "54", "90", "126"]


def test_a_counter_never_has_a_gap_over_a_yard():
    for length in range(30, 300, 7):
        for sink in range(5, length, 23):
            spots = tasks.counter(inch("0"), inches(length), inch("25"), at=(inches(sink),)).spots
            assert all(b - a <= inches(36) for a, b in pairwise(spots))
            assert inches(sink) in spots


def test_a_vanity_is_lit_from_both_sides_and_not_over_the_head():
    line = tasks.vanity((inch("30"),), inch("0"), inch("21"))
    assert shown(line.spots) == ["15", "45"]
    assert line.line == inch("21")


def test_a_deep_vanity_is_held_two_feet_off_the_mirror():
    assert tasks.vanity((inch("30"),), inch("120"), inch("90")).line == inch("96")


def test_two_basins_share_the_light_between_them():
    """At 30 and 66: 45 and 51 are 6 apart and become 48."""
    assert shown(tasks.vanity((inch("30"), inch("66")), inch("0"), inch("20")).spots) == ["15", "48", "81"]


def test_art_in_a_nine_foot_room_is_lit_from_twenty_six_inches():
    """Common practice: 9'-0" ceiling, target 5'-3": 45 x 0.577 = 25.98, 26 in."""
    off = tasks.accent(feet(9), inches(63))
    assert Tape(Style.INCHES, 8).show(off.least, mark=False) == "26"


def test_art_as_high_as_the_ceiling_is_refused():
    with pytest.raises(tasks.TaskError, match="from the floor"):
        tasks.accent(feet(8), feet(8))


@pytest.mark.parametrize(
    ("height", "least", "most"), [("96", "24", "32"), ("108", "27", "36"), ("144", "36", "36"), ("60", "24", "24")]
)
def test_a_wash_stands_a_quarter_to_a_third_of_the_height_off(height, least, most):
    off = tasks.wall_wash(inch(height))
    assert (off.least, off.most) == (inch(least), inch(most))
    assert off.gap == inch(most) * 5 / 4


def test_a_graze_is_close():
    assert (tasks.graze().least, tasks.graze().most) == (inch("6"), inch("12"))


def test_a_hall_has_one_row_in_the_middle():
    """24 ft: three of 8 ft, the first 4 ft in."""
    line = tasks.hall(inch("0"), feet(24), inch("42"))
    assert shown(line.spots) == ["48", "144", "240"]
    assert line.line == inch("21")
    assert line.notes == ("Under 48 in wide: a 3 to 4 in light.",)


def test_a_hall_light_moves_opposite_a_door_that_is_near():
    line = tasks.hall(inch("0"), feet(24), inch("60"), doors=(inch("130"), inch("190")))
    assert shown(line.spots) == ["48", "130", "240"]
    assert line.notes == ()


def test_stairs_are_lit_from_their_landings():
    line = tasks.stairs(((inch("0"), inch("40")), (inch("160"), inch("200"))), inch("36"))
    assert shown(line.spots) == ["20", "180"]
    assert "Local code decides" in line.notes[0]
    with pytest.raises(tasks.TaskError, match="both landings"):
        tasks.stairs(((inch("0"), inch("40")),), inch("36"))


def test_a_closet_has_one_for_each_five_feet():
    assert shown(tasks.closet(inch("0"), inch("100"), inch("12")).spots) == ["25", "75"]
    assert shown(tasks.closet(inch("0"), inch("60"), inch("12")).spots) == ["30"]


def test_a_desk_is_lit_from_in_front():
    line = tasks.desk(inch("20"), inch("80"), inch("0"), inch("30"))
    assert (shown(line.spots), line.line) == (["35", "65"], inch("15"))


def test_a_projection_screen_has_a_yard_of_dark_in_front():
    assert tasks.screen_free() == inch("36")


def test_a_line_becomes_a_held_row_on_the_tapes_marks():
    line = tasks.TaskLine(RULES[0], Distance(inches(25).nm + 1), (inch("18"), inches("54 1/32")))
    assert line.row(2, Unit.INCH) == Pin(Line.ROW, 2, inches(25))
    assert line.columns(Unit.INCH) == (inch("18"), inches("54 1/16"))


def test_a_thing_without_length_is_refused():
    with pytest.raises(tasks.TaskError, match="Island"):
        tasks.island(inch("40"), inch("40"), inch("60"))
