"""The least moves of lines, against trying every one. Small axes: a tick is 2, so that half a tick is whole."""

from itertools import pairwise, product

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from layout.engine.ways import search
from layout.engine.ways.chain import Rules, stand
from layout.engine.ways.lines import Between, Lines

TICK, MOST = 2, 5


@st.composite
def stretches(draw, size):
    ends = sorted(draw(st.sets(st.integers(0, size), min_size=2, max_size=8)))
    return tuple(zip(ends[::2], ends[1::2], strict=False))


@st.composite
def axes(draw, most_lines=4):
    count, ticks = draw(st.integers(1, most_lines)), draw(st.integers(16, 30))
    size = ticks * TICK
    end = draw(st.integers(0, ticks // 3)) * TICK
    at = search.spread(end, count, size, TICK) if count > 1 else (size // 2,)
    assume(all(b > a for a, b in pairwise(at)))
    between = tuple(
        Between(gap, draw(stretches(size))) for gap in range(count - 1) if draw(st.integers(0, 3)) == 0
    )
    return Lines(
        size=size,
        tick=TICK,
        at=at,
        may_stand=tuple(draw(stretches(size)) for _ in at),
        between=between,
        least=tuple(draw(st.sampled_from([2, 4])) for _ in at[1:]),
        most=draw(st.sampled_from([size, max((b - a for a, b in pairwise(at)), default=size)])),
        held=frozenset(draw(st.sets(st.integers(0, count - 1), max_size=1))) if draw(st.booleans()) else frozenset(),
    )


def inside(place, free):
    return any(low <= place <= high for low, high in free)


def half_way(lines, low, high):
    """The nearest tick, halves toward the middle; the middle itself may stand on half a tick."""
    half = (low + high) / 2
    if half * 2 == lines.size:
        return half
    below = half // TICK * TICK
    return min((below, below + TICK), key=lambda at: (abs(at - half), abs(at - lines.size / 2)))


def clear(lines, at):
    held = all(at[n] == lines.at[n] for n in lines.held)
    free = all(inside(place, each) for place, each in zip(at, lines.may_stand, strict=True))
    gaps = all(least <= b - a <= lines.most for least, (a, b) in zip(lines.least, pairwise(at), strict=True))
    midway = all(inside(half_way(lines, *at[each.gap : each.gap + 2]), each.may_stand) for each in lines.between)
    return held and free and gaps and midway


@settings(max_examples=120, deadline=None)
@given(axes())
def test_pairs_move_the_least_at_most_and_then_the_least_in_all(lines):
    half, count = len(lines.at) // 2, len(lines.at)
    best = None
    for moves in product(range(-MOST, MOST + 1), repeat=half):
        near = [at + move * TICK for at, move in zip(lines.at, moves, strict=False)]
        middle = lines.at[half : half + count % 2]
        at = (*near, *middle, *(lines.size - each for each in reversed(near)))
        if clear(lines, at):
            cost = max(map(abs, moves), default=0), sum(map(abs, moves))
            best = cost if best is None else min(best, cost)
    found = search.paired(lines, MOST)
    if count < 2 or best is None:
        assert found is None
        return
    assert found is not None
    moved = [abs(move) // TICK for move in lines.moves(found)[:half]]
    assert (max(moved), sum(moved)) == best
    assert clear(lines, found)


@settings(max_examples=120, deadline=None)
@given(axes())
def test_a_shift_is_the_nearest_that_clears(lines):
    every = [
        abs(move)
        for move in range(-8, 9)
        if move and clear(lines, tuple(at + move * TICK for at in lines.at)) and not lines.held
    ]
    found = next(iter(search.shifts(lines, 8)), None)
    assert (abs(found[0] - lines.at[0]) // TICK if found else None) == min(every, default=None)


@settings(max_examples=120, deadline=None)
@given(axes())
def test_one_line_alone_moves_the_least(lines):
    for number, here in enumerate(lines.at):
        every = []
        for move in range(-8, 9):
            at = (*lines.at[:number], here + move * TICK, *lines.at[number + 1 :])
            gaps = [gap for gap in (number - 1, number) if 0 <= gap < len(at) - 1]
            if (
                move
                and number not in lines.held
                and inside(at[number], lines.may_stand[number])
                and all(lines.least[gap] <= at[gap + 1] - at[gap] <= lines.most for gap in gaps)
                and all(
                    inside(half_way(lines, at[each.gap], at[each.gap + 1]), each.may_stand)
                    for each in lines.between
                    if each.gap in gaps
                )
            ):
                every.append(abs(move))
        found = search.alone(lines, number, 8)
        assert (abs(found[number] - here) // TICK if found else None) == min(every, default=None)


@settings(max_examples=120, deadline=None)
@given(axes())
def test_ends_change_the_least_with_gaps_alike(lines):
    """Every mirrored set of lines whose gaps differ by a tick at most, by trying them all."""
    half, count = len(lines.at) // 2, len(lines.at)
    assume(count >= 2 and not lines.held)
    best = None
    places = range(0, lines.size // 2, TICK)
    for near in product(places, repeat=half):
        middle = (lines.size // 2,) if count % 2 else ()
        at = (*near, *middle, *(lines.size - each for each in reversed(near)))
        gaps = [b - a for a, b in pairwise(at)]
        if min(gaps) <= 0 or max(gaps) - min(gaps) > TICK or at[0] == lines.at[0]:
            continue
        if clear(lines, at):
            off = abs(at[0] - lines.at[0])
            best = off if best is None else min(best, off)
    found = next(iter(search.respaced(lines)), None)
    assert (abs(found[0] - lines.at[0]) if found else None) == best


@settings(max_examples=120, deadline=None)
@given(st.data())
def test_lines_stand_under_rules_exactly_when_some_do(data):
    """In ticks; mirrored, gaps alike and held ends or not, against trying every place."""
    size, count = data.draw(st.integers(8, 14)), data.draw(st.integers(1, 4))
    free = tuple(data.draw(stretches(size)) for _ in range(count))
    mirrored, alike = data.draw(st.booleans()), data.draw(st.booleans())
    first = data.draw(st.none() | st.integers(0, size // 2 - 1)) if count > 1 else None
    rules = Rules(
        size=size,
        free=free,
        least=(data.draw(st.integers(1, 3)),) * (count - 1),
        most=data.draw(st.integers(3, size)),
        mirrored=mirrored,
        alike=alike and count > 2,
        first=first,
        last=None if first is None else size - first,
        middle_stands=data.draw(st.booleans()),
    )

    def keeps(at):
        gaps = [b - a for a, b in pairwise(at)]
        lines = list(zip(at, free, strict=True))
        if mirrored and count % 2:
            if not rules.middle_stands:
                return False
            lines.pop(count // 2)
        return (
            all(inside(place, each) for place, each in lines)
            and all(low <= gap <= rules.most for low, gap in zip(rules.least, gaps, strict=True))
            and (not rules.alike or max(gaps) - min(gaps) <= 1)
            and (first is None or (at[0] == first and at[-1] == size - first))
        )

    if mirrored:
        near = product(range(size + 1), repeat=count // 2)
        middle = [size / 2] if count % 2 else []
        every = ((*half, *middle, *(size - each for each in reversed(half))) for half in near)
    else:
        every = product(range(size + 1), repeat=count)
    assert (stand(rules, 3) is not None) == any(keeps(at) for at in every)
