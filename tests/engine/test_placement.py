"""Placement against every layout there is: on small rooms the engine equals an exhaustive search, number by number."""

import json
from itertools import pairwise
from math import comb

import pytest
from hypothesis import HealthCheck, assume, example, given, settings
from hypothesis import strategies as st

from layout.engine.placement.measure import Objective
from layout.engine.placement.problem import ProblemError
from layout.engine.placement.read import read_json, read_problem
from layout.engine.placement.solve import Status, solve
from tests.benchmarks.exhaustive import best_vector

MOST_LAYOUTS = 8000  # in one room


def vector(room):
    placed = solve(read_problem(read_json(json.dumps(room))))
    objective = placed.objective
    assert (objective is None) == (placed.status is Status.NO_LAYOUT)
    if objective is None:
        return None
    assert (placed.status is Status.FEASIBLE) == (objective.violations == 0)
    return tuple(getattr(objective, name) for name in Objective.__slots__)


def layouts_in(length, width, cols, rows, gaps):
    near = sum(2 * gap < cols for gap in gaps)
    return (
        comb((length + 1) // 2, cols // 2)
        * comb((width + 1) // 2, rows // 2)
        * max(1, length // (cols + 1)) ** near
    )


@st.composite
def small_rooms(draw, most=MOST_LAYOUTS, longest=44):
    """Rooms of a few ticks, where limits pull against each other. Sizes are in ticks until the last lines."""
    unit = draw(st.sampled_from(["in", "mm"]))
    tick = 0.0625 if unit == "in" else 1
    roomy = draw(st.booleans())  # else nearly nothing is feasible in a room this small
    length, width = sorted((draw(st.integers(1, longest)), draw(st.integers(1, 26))), reverse=True)
    cols, rows = draw(st.integers(1, 7)), draw(st.integers(1, 5))
    near_gaps = draw(st.sets(st.integers(1, max(1, cols // 2)))) if cols > 1 else set()
    gaps = sorted(near_gaps | {cols - gap for gap in near_gaps})
    assume(layouts_in(length, width, cols, rows, gaps) <= most)

    def ticks(low, high, parts=1):
        return draw(st.integers(low * parts, high * parts)) * tick / parts

    def setback(high):
        least, most_ = sorted((ticks(0, high), ticks(0, high)))
        return {"min": 0 if roomy else least, "max": most_, "pref": ticks(0, high)}

    room = {
        "unit": unit,
        "L": length * tick,
        "W": width * tick,
        "rows": rows,
        "cols": cols,
        "light": {"cutout_d": max(tick / 2, ticks(0, 2 if roomy else 8, parts=2))},
        "end_setback": setback(12),
        "row_setback": setback(8),
        "spacing_max": ticks(8 if roomy else 1, 24),
    }
    if gaps:
        size = max(tick / 2, ticks(0, 3 if roomy else 8, parts=2))
        room["speaker"] = {"cutout_d": size, "gaps": gaps, "off_max": ticks(0, 4)}
    optional = {
        "edge_min": (0, 2 if roomy else 7, 4),
        "web_min": (0, 2 if roomy else 7, 4),
        "even_tol": (0, 3, 1),
        "uneven_max": (0, 12, 1),
        "row_uneven_max": (0, 8, 1),
        "row_spacing_max": (1, 12, 1),
    }
    for key in draw(st.sets(st.sampled_from(sorted(optional)))):
        low, high, parts = optional[key]
        room[key] = ticks(low, high, parts)
    return room


DEN = {
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

slow_is_fine = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large]


@settings(max_examples=300, deadline=None, suppress_health_check=slow_is_fine)
@given(small_rooms())
def test_no_layout_of_a_small_room_beats_the_engines(room):
    assert vector(room) == best_vector(room)


@pytest.mark.long
@settings(max_examples=3000, deadline=None, suppress_health_check=slow_is_fine)
@given(small_rooms(most=30_000, longest=120))
def test_no_layout_of_three_thousand_small_rooms_beats_the_engines(room):
    assert vector(room) == best_vector(room)


def test_the_worked_example():
    """187.5 x 98.5 in: 15 off the ends leaves 157.5, three gaps of 52.5; rows 18 off the sides. Common practice."""
    placed = solve(read_problem(read_json(json.dumps(DEN))))
    inches = [[at / 64 for at in line] for line in (placed.layout.columns, placed.layout.rows, placed.layout.speakers)]
    assert inches == [[15, 67.5, 120, 172.5], [18, 80.5], [41.25, 146.25]]
    # a half inch, 67.5, and a quarter inch, 41.25; all else whole
    assert vector(DEN) == (0, 0, 0, 0, 0, 0, 1 + 2)


class TestByHand:
    """Rooms small enough to see through. Ticks are millimeters."""

    room = {
        "unit": "mm",
        "L": 20,
        "W": 10,
        "rows": 1,
        "cols": 2,
        "light": {"cutout_d": 2},
        "end_setback": {"min": 3, "max": 8, "pref": 5},
        "row_setback": {"min": 3, "max": 8, "pref": 5},
        "spacing_max": 12,
    }

    def test_the_preferred_setback_is_kept_when_nothing_forbids_it(self):
        assert vector(self.room) == (0, 0, 0, 0, 0, 0, 2)  # 5 mm marks cost 2

    def test_one_light_cannot_move_and_has_no_setback(self):
        assert vector({**self.room, "cols": 1}) == (0, 0, 0, 0, 0, 0, 0)

    def test_every_end_of_every_row_counts(self):
        """Spacing asks for 4 or more off the wall, the setback for 3 or less: two gaps or four ends, so two gaps."""
        tight = {**self.room, "rows": 2, "spacing_max": 12, "end_setback": {"min": 0, "max": 3, "pref": 3}}
        tight["row_setback"] = {"min": 0, "max": 5, "pref": 3}
        assert vector(tight)[:2] == (2, 2 * (20 - 3 - 3 - 12))

    def test_an_excess_finer_than_a_tick_counts_as_one(self):
        """A rim 2 mm around the center at 5, and 3.25 of edge: a quarter millimeter short at both edges."""
        assert vector({**self.room, "cols": 1, "light": {"cutout_d": 4}, "edge_min": 3.25})[:2] == (2, 2)

    def test_too_many_lights_for_the_tape_is_no_layout(self):
        assert vector({**self.room, "L": 10, "cols": 12}) is None

    def test_a_gap_without_a_mark_for_its_speaker_is_no_layout(self):
        """Columns 0, 1, 2 and their mirrors: no whole mark lies strictly between 0 and 1."""
        full = {**self.room, "L": 5, "W": 5, "cols": 6, "speaker": {"cutout_d": 1, "gaps": [1, 5]}}
        assert vector(full) is None

    def test_the_cap_on_uneven_gaps_is_never_passed(self):
        """Odd lengths and even counts: 1 mm of difference is tolerated, so a cap of nothing is a cap of 1."""
        assert vector({**self.room, "L": 21, "cols": 4, "uneven_max": 0})[2] == 0
        assert vector({**self.room, "L": 4, "W": 4, "cols": 3, "uneven_max": 0, "even_tol": 0}) is not None

    @pytest.mark.parametrize("unit", ["in", "mm"])
    def test_marks_cost_what_a_tape_shows(self, unit):
        """pref 12 1/16 beats a whole inch; 7 mm beats 10: setback comes before the fraction."""
        off = 12.0625 if unit == "in" else 7
        room = {**self.room, "unit": unit, "L": 100, "W": 90, "spacing_max": 99, "light": {"cutout_d": 1}}
        room["end_setback"] = {"min": 0, "max": 20, "pref": off}
        assert vector(room)[5:] == (0, 4 if unit == "in" else 3)


@pytest.mark.parametrize(
    "change",
    [
        {"L": 3600, "cols": 40, "spacing_max": 100, "speaker": None},
        {"L": 3600, "cols": 40, "spacing_max": 72, "speaker": None},  # too few lights for the length
        {"L": 3599.9375, "cols": 39, "spacing_max": 100, "even_tol": 0, "speaker": None},
        {"L": 360, "cols": 40, "speaker": None},  # too many
    ],
)
def test_three_hundred_feet_are_laid_out_mirrored_and_within_the_caps(change):
    placed = solve(read_problem(read_json(json.dumps({**DEN, **change}))))
    columns, length = placed.layout.columns, int(change["L"] * 64)
    assert [length - at for at in reversed(columns)] == list(columns)
    gaps = [b - a for a, b in pairwise(columns)]
    assert max(gaps) - min(gaps) <= 6 * 64


@given(small_rooms())
@example(DEN)
@settings(max_examples=40, deadline=None, suppress_health_check=slow_is_fine)
def test_the_same_room_gets_the_same_answer(room):
    problem = read_problem(read_json(json.dumps(room)))
    assert solve(problem) == solve(problem)


def test_counts_out_of_bounds_are_refused():
    for key in ("rows", "cols"):
        with pytest.raises(ProblemError, match=f"{key}: 61"):
            read_problem(read_json(json.dumps({**DEN, key: 61, "speaker": None})))
