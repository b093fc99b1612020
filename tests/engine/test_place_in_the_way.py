"""What stands in a light's way: joists, obstructions and tiles, on rooms small enough to work out by hand.

Ticks are millimeters unless said. Geometry; the rules are common practice, no source.
"""

import json
from decimal import Decimal

import pytest

from layout.engine.placement.answer import answer
from layout.engine.placement.problem import ProblemError

# one row of one light, in the middle of 100 x 60; nothing can move
ONE = {
    "unit": "mm",
    "L": 100,
    "W": 60,
    "rows": 1,
    "cols": 1,
    "light": {"cutout_d": 10},
    "end_setback": {"min": 10, "max": 40, "pref": 25},
    "row_setback": {"min": 10, "max": 25, "pref": 15},
    "spacing_max": 90,
}


def found(**changes):
    return json.loads(answer(json.dumps({**ONE, **changes})), parse_float=Decimal)


def faults(room, rule):
    return [(item["where"], item["short_by"]) for item in room["violations_by_rule"].get(rule, {"items": []})["items"]]


class TestJoists:
    def test_a_hole_may_touch_a_joist(self):
        """Center at 50, rim at 45; a 10 mm joist at 40 ends at 45."""
        joist = {"dir": "across", "oc": 1000, "first": 40, "width": 10}
        assert found(joists=[joist])["status"] == "feasible"
        assert faults(found(joists=[{**joist, "first": 41}]), "joist") == [
            ("row 1, light 1, joist 1 (across)", 1)
        ]

    def test_clear_room_counts_beside_framing(self):
        joist = {"dir": "across", "oc": 1000, "first": 40, "width": 10}
        room = found(joists=[joist], light={"cutout_d": 10, "clear": 3})
        assert faults(room, "joist") == [("row 1, light 1, joist 1 (across)", 3)]

    def test_the_pattern_repeats_both_ways(self):
        """A joist stated at 350 with 100 between also stands at 50, the middle: rim and half the joist are short."""
        room = found(joists=[{"dir": "across", "oc": 100, "first": 350, "width": 10}])
        assert faults(room, "joist") == [("row 1, light 1, joist 1 (across)", 10)]

    def test_one_hole_can_break_two_joists(self):
        """Joists at 42 and 58, 8 off the middle, where 5 and 5 are needed: 2 short of each."""
        room = found(joists=[{"dir": "across", "oc": 16, "first": 42, "width": 10}])
        assert [short for _, short in faults(room, "joist")] == [2, 2]
        assert (room["objective"]["violations"], room["objective"]["excess_ticks"]) == (2, 4)

    def test_a_spacing_of_19_point_2_inches_is_exact(self):
        """The fifth joist past 0.05 stands at 96.05; a 4 in hole at 100 and a 1.5 in joist need 2.75: none short."""
        inch = {"unit": "in", "L": 200, "W": 100, "light": {"cutout_d": 4}}
        joist = {"dir": "across", "oc": "19.2", "first": 0, "width": 1.5}
        assert found(**inch, joists=[joist])["status"] == "feasible"
        near = found(**inch, joists=[{**joist, "first": "1.5"}])
        assert faults(near, "joist") == [("row 1, light 1, joist 6 (across)", Decimal("0.25"))]

    def test_joists_along_the_row_bind_the_rows(self):
        room = found(joists=[{"dir": "along", "oc": 1000, "first": 30, "width": 10}], cols=3, spacing_max=50)
        assert [where[:14] for where, _ in faults(room, "joist")] == [f"row 1, light {n}" for n in (1, 2, 3)]
        assert all(where.endswith("joist 1 (along)") for where, _ in faults(room, "joist"))

    def test_lights_slide_off_a_joist_together_with_their_mirrors(self):
        """Preferred 25; joists at 25 and 75 need 10 each: the nearest clear are 15 and 35, and 50 mm marks none."""
        room = found(cols=2, joists=[{"dir": "across", "oc": 50, "first": 25, "width": 10}])
        assert room["status"] == "feasible"
        assert room["objective"]["setback_off_ticks"] == 10


class TestObstructions:
    def test_distance_is_true_distance_so_corners_are_rounded(self):
        """A corner 7 off on each axis is 9.9 away: clear of a need of 9, though a side 7 away would not be."""
        corner = {"type": "rect", "x0": 57, "y0": 37, "x1": 70, "y1": 50}
        assert found(obstructions=[{**corner, "clear": 4}])["status"] == "feasible"  # 5 + 4 = 9
        room = found(obstructions=[{**corner, "clear": 5}])  # 10 needed
        assert room["objective"]["excess_ticks"] == 1  # 0.1 mm, rounded up
        assert faults(room, "obstruction")[0][0] == "row 1, light 1, obstruction 1"

    def test_the_larger_clearance_counts(self):
        circle = {"type": "circle", "x": 62, "y": 30, "r": 4, "clear": 3}  # its edge is 8 off the center
        assert found(obstructions=[circle])["status"] == "feasible"
        both = found(obstructions=[circle], light={"cutout_d": 10, "clear": 4})
        assert faults(both, "obstruction") == [("row 1, light 1, obstruction 1", 1)]

    def test_inside_a_circle_is_worse_than_inside_a_rectangle(self):
        """Inside a circle the distance is negative, 20 at its center; inside a rectangle it is nothing."""
        circle = found(obstructions=[{"type": "circle", "x": 50, "y": 30, "r": 20}])
        box = found(obstructions=[{"type": "rect", "x0": 30, "y0": 10, "x1": 70, "y1": 50}])
        assert (circle["objective"]["excess_ticks"], box["objective"]["excess_ticks"]) == (25, 5)

    def test_one_hole_can_break_two_obstructions(self):
        circle = {"type": "circle", "x": 50, "y": 30, "r": 1}
        room = found(obstructions=[circle, circle])
        assert [where[-1] for where, _ in faults(room, "obstruction")] == ["1", "2"]

    def test_rows_may_move_so_that_columns_need_not(self):
        """A pipe crosses where row 1 would be, from wall to wall: only the rows can go round it."""
        pipe = {"type": "rect", "x0": 0, "y0": 14, "x1": 100, "y1": 16}
        room = found(rows=2, cols=2, obstructions=[pipe], spacing_max=99)
        assert (room["status"], room["x"]) == ("feasible", [25, 75])
        # 5 off the pipe: at 9 or less the setback of 10 is broken, so 21, and 60 - 21
        assert room["y"] == [21, 39]


class TestTiles:
    def test_every_hole_and_axis_counts(self):
        """Tiles of 20 from 0: centers at 10, 30, 50 ... along, 30 across."""
        assert found(tile={"px": 20, "py": 20})["status"] == "feasible"
        room = found(tile={"px": 20, "py": 20, "ox": 3, "oy": 1})
        assert sorted(faults(room, "tile")) == [
            ("row 1, light 1, across the row", 1),
            ("row 1, light 1, along the row", 3),
        ]

    def test_a_grid_that_does_not_mirror_can_hold_only_one_of_two(self):
        room = found(cols=2, tile={"px": 20, "py": 20, "ox": 5})
        assert set(room["violations_by_rule"]) == {"tile"}


class TestRepairs:
    BUSY = {
        "cols": 2,
        "joists": [{"dir": "across", "oc": 1000, "first": 25, "width": 10}],
        "obstructions": [{"type": "circle", "x": 50, "y": 30, "r": 2}],
    }

    def test_a_light_alone_loses_its_twin(self):
        """Ideal 25 and 75, a joist at 25 needs 10: 10 to move, and two lights without a twin, 16 each."""
        room = found(**self.BUSY, W=20, spacing_max=10)
        ways = {each["way"]: each for each in room["repairs"]}
        alone = ways["each light alone, along its row"]
        assert (alone["cost"], len(alone["moves"])) == (10 + 2 * 16, 1)
        assert (alone["moves"][0]["from"][0], alone["moves"][0]["to"][0]) == (25, 15)
        pair = ways["lights along the rows, with their mirrors, in every row"]
        assert (pair["cost"], len(pair["moves"])) == (20, 2)

    def test_a_middle_row_has_no_way_across(self):
        room = found(cols=2, joists=[{"dir": "along", "oc": 1000, "first": 30, "width": 10}])
        assert (room["status"], room["repairs"]) == ("infeasible", [])

    def test_rows_move_across_with_their_mirrors(self):
        """Rows at 15 and 45; a joist at 15 needs 10: 10 for each of four lights, and one pair of rows, 16."""
        along = {"dir": "along", "oc": 1000, "first": 15, "width": 10}
        room = found(rows=2, cols=2, joists=[along], spacing_max=40, end_setback={"min": 25, "max": 25, "pref": 25})
        assert [(each["way"], each["cost"]) for each in room["repairs"]] == [
            ("rows across, with their mirror rows", 4 * 10 + 16)
        ]

    def test_ideal_lights_that_meet_nothing_need_none(self):
        assert found()["repairs"] == []

    def test_ideal_lights_under_a_joist_need_a_way_though_another_layout_fits(self):
        """Ideal 25 and 75, a joist at 25 needs 10, so both stand 10 nearer the walls or the middle."""
        room = found(cols=2, joists=[{"dir": "across", "oc": 1000, "first": 25, "width": 10}])
        pairs = "lights along the rows, with their mirrors, in every row"
        assert room["status"] == "feasible"
        assert {each["way"]: each["cost"] for each in room["repairs"]}[pairs] == 2 * 10


class TestLimits:
    @pytest.mark.parametrize(
        ("changes", "said"),
        [
            ({"obstructions": [{"type": "circle", "x": 1, "y": 1, "r": 1}] * 2001}, "obstructions: 2,001"),
            ({"joists": [{"dir": "across", "oc": "0.001", "first": 0, "width": 1}]}, "joists: over 10,000"),
            ({"joists": [{"dir": "across", "oc": "1e-9", "first": 0, "width": 1}]}, "joists: over 10,000"),
            ({"web_min": 9_999_999, "cols": 60, "rows": 60}, "too large to add up"),
            ({"polygon": [[0, 0]]}, "polygon is not supported"),
            ({"zones": [{}]}, "zones is not supported"),
            ({"L": 100_000}, "L: 100000 mm"),
        ],
    )
    def test_what_no_ceiling_has_is_refused_in_one_line(self, changes, said):
        with pytest.raises(ProblemError) as refused:
            found(**changes)
        assert said in str(refused.value)
        assert "\n" not in str(refused.value)

    def test_no_number_is_refused_by_the_name_of_its_field(self):
        text = json.dumps({**ONE, "obstructions": [{"type": "circle", "x": 1, "y": 1, "r": float("nan")}]})
        with pytest.raises(ProblemError, match=r"obstructions\[1\]\.r: NaN is not a number"):
            answer(text)

    def test_an_obstruction_and_a_joist_may_stand_past_the_net_edge(self):
        past = {"type": "circle", "x": -10, "y": 70, "r": 5}
        assert found(obstructions=[past], joists=[{"dir": "along", "oc": 400, "first": -7, "width": 2}])["objective"]
