"""Reel plans: what to buy for the pieces of a job, against every way to split them and a general solver."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from reports.estimating.reels import Pack, ReelError, plan

COILS = (Pack(50, Decimal("38.00")), Pack(100, Decimal("66.00")), Pack(250, Decimal("139.00")))
WITH_A_THOUSAND = (*COILS, Pack(1000, Decimal("520.00")))

pieces_of_a_room = st.lists(st.integers(1, 120), min_size=1, max_size=6)


def every_split(pieces):
    """Every way to put pieces into groups, one group a reel."""
    if not pieces:
        yield []
        return
    first, *others = pieces
    for split in every_split(others):
        yield [[first], *split]
        for at in range(len(split)):
            yield [*split[:at], [first, *split[at]], *split[at + 1 :]]


def least_by_hand(pieces, packs):
    """(cost, left over) of the best split, each group on the cheapest reel that holds it, then the shortest."""
    found = []
    for split in every_split(list(pieces)):
        reels = []
        for group in split:
            holding = [(pack.price, pack.length) for pack in packs if pack.length >= sum(group)]
            if not holding:
                break
            reels.append(min(holding))
        else:
            found.append((sum(price for price, _ in reels), sum(length for _, length in reels) - sum(pieces)))
    return min(found)


def least_by_solver(pieces, packs):
    """(cost in cents, left over) by a general solver: every piece on one reel, a reel of one kind or not bought."""
    model = cp_model.CpModel()
    bought = [[model.new_bool_var("") for _ in packs] for _ in pieces]
    on = [[model.new_bool_var("") for _ in pieces] for _ in pieces]
    for piece in range(len(pieces)):
        model.add_exactly_one(on[piece])
    for reel, kinds in enumerate(bought):
        model.add_at_most_one(kinds)
        length = sum(pack.length * kind for pack, kind in zip(packs, kinds, strict=True))
        model.add(sum(size * on[piece][reel] for piece, size in enumerate(pieces)) <= length)
        if reel:
            before = sum(pack.length * kind for pack, kind in zip(packs, bought[reel - 1], strict=True))
            model.add(length <= before)
    cost = sum(int(pack.price * 100) * kind for kinds in bought for pack, kind in zip(packs, kinds, strict=True))
    length = sum(pack.length * kind for kinds in bought for pack, kind in zip(packs, kinds, strict=True))
    model.minimize(cost * 100_000 + length)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return solver.value(cost), solver.value(length) - sum(pieces)


def holds_together(pieces, found):
    """Every piece is cut once, and no reel gives more than it has."""
    cut = sorted(place for reel in found.reels for place in reel.which)
    assert cut == list(range(len(pieces)))
    for reel in found.reels:
        assert reel.pieces == tuple(Fraction(pieces[place]) for place in reel.which)
        assert reel.left >= 0


# Sums by hand: 70 and 30 share a 100 ft coil, the other 70 needs one too; two 50s would not hold a 70.
@pytest.mark.parametrize(
    ("pieces", "cost", "left"),
    [
        ([70, 70, 30], "132.00", 30),
        ([55, 45, 40, 35, 25], "132.00", 0),
        ([110, 90, 49, 1], "139.00", 0),
        ([101, 101, 48], "139.00", 0),
    ],
)
def test_worked_coils_of_50_100_and_250(pieces, cost, left):
    found = plan(pieces, COILS)
    assert (found.cost, found.leftover, found.exact, found.lower_bound) == (Decimal(cost), left, True, Decimal(cost))
    holds_together(pieces, found)


@settings(max_examples=40)
@given(pieces_of_a_room)
def test_no_way_to_split_a_few_pieces_is_cheaper_or_leaves_less(pieces):
    found = plan(pieces, COILS)
    assert found.exact
    assert (found.cost, found.leftover) == least_by_hand(pieces, COILS)
    holds_together(pieces, found)


@settings(max_examples=25)
@given(st.lists(st.integers(20, 140), min_size=1, max_size=6), st.lists(st.integers(1, 90), max_size=3))
def test_opened_reels_are_used_wherever_that_saves_a_purchase(pieces, opened):
    """By hand: each set of pieces the opened reels can hold is taken off, and the rest bought as if there were none."""
    found = plan(pieces, COILS, opened)
    holds_together(pieces, found)
    best = min(
        (least_by_hand(rest, COILS) if rest else (Decimal(0), 0))[0] for rest in _rests(tuple(pieces), tuple(opened))
    )
    assert found.cost == best


def _rests(pieces, opened):
    """What is still to be bought for, over all ways to cut some of the pieces from the opened reels."""
    if not opened:
        return {pieces}
    first, others = opened[0], opened[1:]
    rests = set()
    for chosen in range(1 << len(pieces)):
        taken = [piece for place, piece in enumerate(pieces) if chosen >> place & 1]
        if sum(taken) <= first:
            rests |= _rests(tuple(p for place, p in enumerate(pieces) if not chosen >> place & 1), others)
    return rests


@pytest.mark.parametrize(
    "pieces",
    [
        [62, 61, 60, 58, 55, 52, 49, 47, 45, 44, 41, 38, 36, 33],  # no two of the first make a coil
        [101, 101, 101, 99, 84, 84, 84, 51, 51, 51, 49, 26],  # just too long to share
        [126, 126, 126, 126, 124, 124, 101, 101, 51, 51, 51, 51],
        [18, 22, 31, 12, 9, 14, 27, 44, 16, 38, 21, 19, 52, 11, 25],
    ],
)
@pytest.mark.parametrize("packs", [COILS, WITH_A_THOUSAND])
def test_a_general_solver_finds_nothing_better_for_a_house_of_runs(pieces, packs):
    found = plan(pieces, packs)
    holds_together(pieces, found)
    assert found.exact
    assert (int(found.cost * 100), found.leftover) == least_by_solver(pieces, packs)


@settings(max_examples=25)
@given(st.lists(st.integers(5, 250), min_size=11, max_size=60))
def test_what_is_not_proved_is_bounded(pieces):
    found = plan(pieces, COILS)
    holds_together(pieces, found)
    assert found.lower_bound <= found.cost
    assert found.gap <= Fraction(15, 100)
    if found.exact:
        assert found.lower_bound == found.cost
    # No coil costs less than 139 for 250 ft.
    assert found.lower_bound >= Decimal(sum(pieces) * 139) / 250 - Decimal("0.01")


@settings(max_examples=25)
@given(
    st.lists(st.integers(1, 60), min_size=1, max_size=6),
    st.dictionaries(st.integers(60, 200), st.integers(0, 90), min_size=1, max_size=3),
)
def test_whatever_packs_there_are(pieces, prices):
    """One kind alone, a long one cheaper than a short one, one for nothing."""
    packs = [Pack(length, Decimal(price)) for length, price in prices.items()]
    found = plan(pieces, packs)
    assert (found.cost, found.leftover) == least_by_hand(pieces, packs)


def test_two_pieces_too_long_to_share_take_a_reel_each():
    assert plan([60, 60], [Pack(100, Decimal("50"))]).cost == 100


def test_sixteenths_stay_exact():
    found = plan([Fraction(99 * 16 + 15, 16), Fraction(1, 16)], COILS)
    assert (found.cost, found.leftover) == (Decimal("66.00"), 0)


def test_without_prices_least_is_bought_then_fewest_reels():
    found = plan([70, 70, 30], [Pack(50), Pack(100), Pack(250)])
    assert found.cost is None
    assert found.lower_bound is None
    assert [reel.length for reel in found.reels] == [100, 100]


def test_an_opened_reel_comes_first():
    found = plan([40, 30, 20], COILS, opened=[25, 75])
    assert found.cost == 0
    assert sorted((reel.number, reel.pieces) for reel in found.reels) == [(0, (20,)), (1, (40, 30))]
    assert found.leftover == 10


def test_nothing_to_pull_buys_nothing():
    assert plan([], COILS).cost == 0
    assert plan([], COILS).reels == ()


@pytest.mark.parametrize(
    ("pieces", "packs", "field", "words"),
    [
        ([300], COILS, "pieces", "Add a longer pack, or split the run at a box"),
        ([0], COILS, "pieces", "Piece 1: 0 is no length"),
        ([5, -1], COILS, "pieces", "Piece 2"),
        ([5], [], "pieces", "no reel to cut it from"),
        ([5], [Pack(0, Decimal(1))], "packs", "no length of a reel"),
        ([5], [Pack(10, Decimal(-1))], "packs", "Enter 0 or more"),
        ([5], [Pack(10, Decimal("NaN"))], "packs", "no price"),
        ([5], [Pack(10, Decimal(1)), Pack(20, None)], "packs", "some have a price"),
    ],
)
def test_what_cannot_be_planned_says_what_to_do(pieces, packs, field, words):
    with pytest.raises(ReelError, match=words) as refused:
        plan(pieces, packs)
    assert refused.value.field == field


def test_a_long_piece_on_an_opened_reel_and_another_just_like_it_is_refused():
    assert plan([300], COILS, opened=[300]).cost == 0
    with pytest.raises(ReelError, match="Add a longer pack"):
        plan([300, 300], COILS, opened=[300])
    with pytest.raises(ReelError, match="Add a longer pack"):
        plan([300] * 2 + [10] * 12, COILS, opened=[300])
