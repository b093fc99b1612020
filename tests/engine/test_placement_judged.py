"""The engine is held to the statement by two judges that share nothing with it: every layout, and a general solver.

Joists, obstructions, tiles, speakers, both units: on small rooms each layout there is has been tried; on larger ones
CP-SAT proves each goal the least there is. Ties beyond the seven numbers are the engine's to choose.
"""

import pytest
from hypothesis import HealthCheck, given, settings

from tests.benchmarks.exhaustive import best_vector
from tests.engine.judge_cpsat import least_vector
from tests.engine.judge_medium import ROOMS
from tests.engine.judge_rooms import answered, hold_to_account, small_rooms, vector_of

slow_is_fine = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large]


def held(room):
    found = answered(room)
    assert vector_of(found) == best_vector(room)
    hold_to_account(room, found)


@settings(max_examples=500, deadline=None, suppress_health_check=slow_is_fine)
@given(small_rooms())
def test_no_layout_of_five_hundred_small_rooms_beats_the_engines(room):
    held(room)


@pytest.mark.long
@settings(max_examples=5000, deadline=None, suppress_health_check=slow_is_fine)
@given(small_rooms(most=4000, longest=60, widest=36))
def test_no_layout_of_five_thousand_small_rooms_beats_the_engines(room):
    held(room)


@settings(max_examples=25, deadline=None, suppress_health_check=slow_is_fine)
@given(small_rooms(most=200))
def test_the_two_judges_agree(room):
    assert least_vector(room) == best_vector(room)


QUICK = [
    "a den, joists across",
    "a den, joists along",
    "a den, a fan off its middle",
    "a den, a post where a light would be",
    "media, a fan and a register",
    "a hall, one row under a joist",
]


def proven(room):
    found = answered(room)
    assert vector_of(found) == least_vector(room)
    hold_to_account(room, found)


@pytest.mark.parametrize("name", QUICK)
def test_the_engine_reaches_what_a_general_solver_proves_least(name):
    proven(ROOMS[name])


@pytest.mark.long
@pytest.mark.parametrize("name", [name for name in ROOMS if name not in QUICK])
def test_the_engine_reaches_it_in_the_other_rooms_too(name):
    proven(ROOMS[name])
