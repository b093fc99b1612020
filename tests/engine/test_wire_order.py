"""The shortest chain and the least tree, held against every order, every tree and a general solver."""

from fractions import Fraction
from itertools import permutations
from random import Random

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from layout.engine.wiring.bounds import least_tree_bound
from layout.engine.wiring.chain import distances, shortest_chain
from layout.engine.wiring.improve import improved
from layout.engine.wiring.order import length_of, shortest
from layout.engine.wiring.subsets import MOST, by_subsets
from layout.engine.wiring.tree import ROOT, grown, least_tree
from tests.engine.judge_wire import by_circuit, by_every_order, by_every_tree, length, steps

spots = st.tuples(st.integers(0, 40), st.integers(0, 40))
few = st.lists(spots, min_size=1, max_size=6)
some = st.lists(spots, min_size=1, max_size=10)


def scattered(count, seed, size=300):
    draw = Random(seed)
    return [(draw.randrange(size), draw.randrange(size)) for _ in range(count)]


def in_rows(rows, columns, gap=57, row_gap=56):
    return [(gap * column, row_gap * row) for row in range(rows) for column in range(columns)]


@settings(max_examples=60, deadline=None)
@given(few, st.one_of(st.none(), spots))
def test_no_order_is_shorter_than_the_chain(points, start):
    found = shortest_chain(points, start)
    assert found.exact
    assert found.length == by_every_order(points, start)
    assert sorted(found.order) == list(range(len(points)))
    ahead = [start] if start is not None else []
    assert length([*ahead, *(points[index] for index in found.order)]) == found.length


@pytest.mark.parametrize("count, seed", [(10, 1), (12, 2), (12, 3), (15, 4)])
def test_a_general_solver_finds_no_shorter_chain(count, seed):
    points, start = scattered(count, seed), (150, -20)
    found = shortest_chain(points, start)
    assert found.exact
    assert by_circuit(points, start) == (found.length, found.length)


@pytest.mark.parametrize("start", [(85, -30), (-40, 60), (400, 400)])
def test_a_general_solver_finds_no_shorter_chain_through_rows_from_a_switch_anywhere(start):
    points = in_rows(3, 4)
    assert by_circuit(points, start)[0] == shortest_chain(points, start).length


@pytest.mark.long
@pytest.mark.parametrize("count, seed", [(20, 5), (24, 6), (28, 7), (32, 8)])
def test_past_what_is_always_proven_the_solver_lies_between_bound_and_chain(count, seed):
    points, start = scattered(count, seed), (0, 0)
    found = shortest_chain(points, start)
    best, proved = by_circuit(points, start, seconds=120)
    assert found.lower_bound <= best  # the bound is below every chain there is
    assert proved <= found.length  # and so is the solver's
    assert not (found.exact and best < found.length)


@pytest.mark.parametrize("rows, columns", [(4, 5), (5, 10), (10, 20)])
def test_rows_from_a_corner_take_each_short_gap_and_one_long_one_a_row_however_many(rows, columns):
    """Every light takes at least its nearest step: rows x (columns - 1) short gaps, then one to each further row."""
    found = shortest_chain(in_rows(rows, columns, gap=48, row_gap=60), (0, -10))
    assert found.exact
    assert found.length == 10 + rows * (columns - 1) * 48 + (rows - 1) * 60


@pytest.mark.parametrize("count", [17, 25, 60])
def test_a_long_chain_is_within_3_percent_of_what_no_chain_is_below(count):
    points = scattered(count, count)
    found = shortest_chain(points, (0, 0))
    assert sorted(found.order) == list(range(count))
    assert length([(0, 0), *(points[index] for index in found.order)]) == found.length
    assert found.lower_bound <= found.length <= found.lower_bound * Fraction(103, 100)


@settings(max_examples=15, deadline=None)
@given(st.lists(spots, min_size=17, max_size=40), st.integers(0, 60))
def test_an_order_made_shorter_is_as_long_as_it_says_and_no_longer_than_it_was(points, tries):
    between, from_start = distances(points, (0, 0))
    given_order = list(range(len(points)))
    order, told = improved(between, from_start, given_order, 0, tries)
    assert sorted(order) == given_order
    assert told == length_of(order, between, from_start) <= length_of(given_order, between, from_start)


@settings(max_examples=30, deadline=None)
@given(some, spots, st.integers(-100, 100), st.integers(1, 9))
def test_moved_mirrored_turned_or_scaled_a_chain_and_a_tree_stay_as_long(points, start, by, times):
    chain, tree = shortest_chain(points, start).length, least_tree(points, start).length
    for change, grown_by in (
        (lambda p: (p[0] + by, p[1] - by), 1),
        (lambda p: (-p[0], p[1]), 1),
        (lambda p: (p[1], p[0]), 1),
        (lambda p: (Fraction(p[0] * times, 7), Fraction(p[1] * times, 7)), Fraction(times, 7)),
    ):
        there = [change(point) for point in points], change(start)
        assert shortest_chain(*there).length == chain * grown_by
        assert least_tree(*there).length == tree * grown_by


@settings(max_examples=25, deadline=None)
@given(st.lists(spots, min_size=1, max_size=12, unique=True), spots, st.randoms(use_true_random=False))
@example(scattered(24, 11), (0, 0), Random(2))
def test_the_sequence_the_points_come_in_changes_neither_chain_nor_tree(points, start, shuffler):
    mixed = points[:]
    shuffler.shuffle(mixed)
    one, other = shortest_chain(points, start), shortest_chain(mixed, start)
    assert [points[index] for index in one.order] == [mixed[index] for index in other.order]
    trees = []
    for given_points in (points, mixed):
        places = [*given_points, start]
        trees.append([(places[a], places[b]) for a, b in least_tree(given_points, start).edges])
    assert trees[0] == trees[1]


@settings(max_examples=30, deadline=None)
@given(st.lists(spots, min_size=2, max_size=9), spots, st.data())
def test_one_light_fewer_never_lengthens_a_chain(points, start, data):
    gone = data.draw(st.integers(0, len(points) - 1))
    assert shortest_chain(points[:gone] + points[gone + 1 :], start).length <= shortest_chain(points, start).length


@settings(max_examples=30, deadline=None)
@given(some, spots)
def test_a_tree_takes_no_more_than_a_chain_and_a_chain_less_than_two_trees(points, start):
    chain, tree = shortest_chain(points, start).length, least_tree(points, start).length
    assert tree <= chain <= 2 * tree


@settings(max_examples=40, deadline=None)
@given(st.lists(spots, min_size=1, max_size=5), spots)
def test_no_tree_is_less_than_the_least_tree(points, root):
    tree = least_tree(points, root)
    assert tree.length == by_every_tree([*points, root])
    assert len(tree.edges) == len(points)
    reached = {ROOT}
    for from_point, to_point in tree.edges:  # each light once, from what is reached already
        assert from_point in reached and to_point not in reached
        reached.add(to_point)
    places = [*points, root]
    assert sum(steps(places[a], places[b]) for a, b in tree.edges) == tree.length
    assert least_tree(points).length == by_every_tree(points)


def test_no_points_take_no_cable():
    assert (shortest_chain([]).order, shortest_chain([], (3, 4)).length) == ((), 0)
    assert least_tree([], (0, 0)).edges == ()
    assert shortest_chain([(5, 5)], (1, 1)).length == 8


@pytest.mark.parametrize("wrong", [float("nan"), float("inf"), True])
def test_a_point_that_is_no_number_is_refused(wrong):
    with pytest.raises(ValueError, match="finite"):
        shortest_chain([(0, 0), (wrong, 1)], (0, 0))
    with pytest.raises(ValueError, match="finite"):
        least_tree([(wrong, 1)], (0, 0))


def test_numbers_too_long_for_64_bits_are_still_exact():
    tiny = Fraction(1, 3**60)
    points = [(x * tiny, y + tiny) for x, y in scattered(9, 9, size=30)]
    found = shortest_chain(points, (0, 0))
    assert found.exact
    scale = 3**60
    whole = [(int(x * scale), int(y * scale)) for x, y in points]
    assert found.length * scale == shortest_chain(whole, (0, 0)).length
    long = shortest_chain([(x * tiny, y) for x, y in scattered(30, 10)], (0, 0))
    assert 0 < long.lower_bound <= long.length


def test_of_equally_short_orders_through_all_subsets_the_first_as_a_list_is_taken():
    square, from_start = distances([(0, 0), (0, 1), (1, 1), (1, 0)], (0, 0))
    assert by_subsets(square, from_start) == ((0, 1, 2, 3), 3)  # 0, 3, 2, 1 is as short
    with pytest.raises(ValueError, match=f"{MOST} points"):
        by_subsets([[0] * (MOST + 1)] * (MOST + 1), [0] * (MOST + 1))


@settings(max_examples=20, deadline=None)
@given(st.lists(st.lists(st.integers(1, 50), min_size=6, max_size=6), min_size=6, max_size=6))
def test_any_table_of_distances_is_solved_also_one_with_detours_in_it(rows):
    table = [[0 if i == j else rows[min(i, j)][max(i, j)] for j in range(6)] for i in range(6)]
    found = shortest(table, rows[0])
    assert found.length == min(length_of(order, table, rows[0]) for order in permutations(range(6)))
    assert least_tree_bound(table, rows[0]) <= found.length
    assert len(grown(table, None)) == 5
