"""Placing worked by hand, as a crew does with a pencil. Common practice, no source; the sums stand beside each case."""

import json
from decimal import Decimal

import pytest

from layout.engine.placement.answer import answer

GOALS = (
    "violations",
    "excess_ticks",
    "uneven_q",
    "row_uneven_q",
    "speaker_off_q",
    "setback_off_ticks",
    "mark_cost",
)


def placed(room):
    return json.loads(answer(json.dumps(room)), parse_float=Decimal)


def vector(found):
    return tuple(found["objective"][goal] for goal in GOALS)


def inches(*said):
    return [Decimal(each) for each in said]


THEATER = {
    "unit": "in",
    "L": 187.5,
    "W": 98.5,
    "rows": 2,
    "cols": 4,
    "light": {"cutout_d": 4.25, "clear": 0.25},
    "edge_min": 2,
    "web_min": 1.5,
    "end_setback": {"min": 12, "max": 20, "pref": 15},
    "row_setback": {"min": 14, "max": 24, "pref": 18},
    "spacing_max": 72,
    "speaker": {"cutout_d": 8, "clear": 0.25, "gaps": [1, 3], "off_max": 3},
}


def test_two_rows_held_toward_the_walls_with_speakers_between_the_lights():
    """187.5 - 2 x 15 = 157.5, three gaps of 52.5: 15, 67.5, 120, 172.5. Rows 18 off: 18 and 98.5 - 18 = 80.5.

    A speaker halfway from 15 to 67.5 is at 41.25, its twin at 146.25. Marks measured: 15, 18 whole; 67 1/2 a half,
    41 1/4 a quarter: 0 + 0 + 1 + 2 = 3. Equal parts would have put the rows at 98.5 / 3 = 32.83 and 65.67.
    """
    found = placed(THEATER)
    assert found["status"] == "feasible"
    assert found["x"] == inches("15", "67.5", "120", "172.5")
    assert found["y"] == inches("18", "80.5")
    assert found["z"] == inches("41.25", "146.25")
    assert vector(found) == (0, 0, 0, 0, 0, 0, 3)
    assert found["violations_by_rule"] == {}


# Net 19'-0", one row of four, 16 in joists across at 10, 26, 42 ... 218 (10 from the far end too, so the pattern is its
# own mirror image), 1-1/2 in members, a 6-3/8 in cut with 1/2 in to spare: a center needs 3-3/16 + 1/2 + 3/4 = 4-7/16
# from a joist's middle. Free are 14-7/16 to 21-9/16, then 16 on: 30-7/16 to 37-9/16 ... 78-7/16 to 85-9/16.
FRAMED = {
    "unit": "in",
    "L": 228,
    "W": 120,
    "rows": 1,
    "cols": 4,
    "light": {"cutout_d": 6.375, "clear": 0.5},
    "edge_min": 2,
    "web_min": 1.5,
    "end_setback": {"min": 18, "max": 42, "pref": 28.5},
    "row_setback": {"min": 18, "max": 60, "pref": 30},
    "spacing_max": 72,
    "joists": [{"dir": "across", "oc": 16, "first": 10, "width": 1.5}],
}


def test_without_joists_the_ends_are_half_a_gap():
    """228 / 8 = 28.5; the gaps 57. Halves cost 1 each: 28-1/2 and 85-1/2."""
    found = placed({**FRAMED, "joists": []})
    assert found["x"] == inches("28.5", "85.5", "142.5", "199.5")
    assert vector(found) == (0, 0, 0, 0, 0, 0, 2)


def test_joists_push_equal_gaps_seven_inches_toward_the_walls():
    """28-1/2 is 2-1/2 from the joist at 26. Nearest free toward the wall: 21-9/16; then a gap is (228 - 43-1/8) / 3 =
    61-5/8 and the second light at 83-3/16, free. Away from the wall 30-7/16 would do, but then equal gaps put the
    second light at 76 + 30-7/16 / 3 = 86.146, past 85-9/16. Two marks in sixteenths: 4 + 4; 6-15/16 off is 111 ticks.
    """
    found = placed(FRAMED)
    assert found["x"] == inches("21.5625", "83.1875", "144.8125", "206.4375")
    assert found["y"] == inches("60")
    assert vector(found) == (0, 0, 0, 0, 0, 111, 8)


def test_with_two_inches_of_play_only_the_outer_pair_moves_two_inches_in():
    """Gaps may differ by 2: the outer pair goes to 30-7/16 (31 ticks from 28-1/2), where 4-7/16 are just kept. The
    second light x then has 228 - 2x - (x - 30-7/16) <= 2, so x is 85.48 or more, and 85-9/16 or less: 85-1/2 reads
    better (1 against 4) and stays where it was. A crew takes 30-1/2; the sixteenth nearer is what was asked for.
    """
    found = placed({**FRAMED, "even_tol": 2})
    assert found["x"] == inches("30.4375", "85.5", "142.5", "197.5625")
    assert vector(found) == (0, 0, 0, 0, 0, 31, 4 + 1)


def test_a_wider_cut_than_a_bay_takes_is_short_in_every_place():
    """14-1/2 clear between members: a 14 in cut with 1/2 in all round needs 7 + 1/2 + 3/4 = 8-1/4 of a bay's half, 8.

    In the middle of a bay both joists are 1/4 in short: 4 ticks each; anywhere else one is broken only, but by more.
    By number of faults first, so each of the four lights comes close to one joist alone: 8-1/4 from the one beside it
    and 7-3/4, 8 ticks short, from the other.
    """
    found = placed({**FRAMED, "light": {"cutout_d": 14, "clear": 0.5}, "even_tol": 6})
    assert vector(found)[:2] == (4, 4 * 8)
    assert found["violations_by_rule"]["joist"]["count"] == 4
    assert [item["short_by"] for item in found["violations_by_rule"]["joist"]["items"]] == inches(*["0.5"] * 4)


@pytest.mark.parametrize(
    ("cutout", "oc", "travel"),
    [
        ("4.25", 12, "2.625"),  # 6 less 2-1/8, 1/2 and 3/4
        ("4.25", 24, "8.625"),
        ("6.375", 16, "3.5625"),  # 8 less 4-7/16
        ("6.375", 24, "7.5625"),
        ("9.25", 16, "2.125"),
        ("9.25", 24, "6.125"),
    ],
)
def test_free_travel_in_a_bay(cutout, oc, travel):
    """How far from the middle of a bay a cut may be: half the spacing less its radius, 1/2 in, and half a member.

    Six bays, joists on both ends, a light in each end bay: held at that distance it is clear, a sixteenth past it both
    lights are short by a sixteenth.
    """
    held = Decimal(oc) / 2 + Decimal(travel)
    room = {**FRAMED, "L": 6 * oc, "W": 60, "cols": 2, "light": {"cutout_d": cutout, "clear": 0.5}}
    room |= {"edge_min": 0, "spacing_max": 6 * oc, "joists": [{"dir": "across", "oc": oc, "first": 0, "width": 1.5}]}
    for past, faults in ((Decimal(0), (0, 0)), (Decimal("0.0625"), (2, 2))):
        room["end_setback"] = dict.fromkeys(("min", "max", "pref"), str(held + past))
        assert vector(placed(room))[:2] == faults


def test_nineteen_point_two_is_taken_as_it_stands():
    """8 ft in five: joists at 0, 19.2, 38.4, 57.6. A 4 in cut with nothing to spare needs 2 + 3/4 from a middle.

    In 60 in, two lights held 16-1/2 from the ends stand at 16-1/2, 2.7 from 19.2 and so 0.05 short, which counts as a
    tick; and at 43-1/2, 5.1 from 38.4, free. Held at 16-7/16 the first is 2.7625 from it, free too.
    """
    room = {
        **FRAMED,
        "L": 60,
        "W": 60,
        "cols": 2,
        "light": {"cutout_d": 4},
        "end_setback": {"min": 16.5, "max": 16.5, "pref": 16.5},
        "spacing_max": 60,
        "joists": [{"dir": "across", "oc": "19.2", "first": 0, "width": 1.5}],
    }
    assert vector(placed(room))[:2] == (1, 1)
    room["end_setback"] = {"min": 16.4375, "max": 16.4375, "pref": 16.4375}
    assert vector(placed(room))[:2] == (0, 0)
