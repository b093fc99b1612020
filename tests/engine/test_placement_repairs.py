"""Moving few lights, not far: each way to clear the ideal lights is worked out again here, from the statement alone.

The ideal lights stand at their preferred setbacks, evenly between, on the nearest tape mark. One that meets a joist, an
obstruction or an edge, or is off its tile, is bad. Each way is looked for nearest first, to 12 in each way.
"""

from fractions import Fraction

import pytest

from tests.benchmarks.exhaustive import state
from tests.engine.judge_medium import DEN, FLAT, HALL
from tests.engine.judge_rooms import answered

ALONE, ROWS, PAIRS = (
    "each light alone, along its row",
    "rows across, with their mirror rows",
    "lights along the rows, with their mirrors, in every row",
)
LOST_TWIN = 16
TIGHT = {"spacing_max": 20}  # gaps too wide: the room never fits, so ways are told
POST = {"type": "rect", "x0": 20.5, "y0": 21, "x1": 26, "y1": 26.5, "clear": 0.5}


def joists(direction, first, oc=16, width=1.5):
    return {"dir": direction, "oc": oc, "first": first, "width": width}


ROOMS = {
    "joists across, under the ends": {**DEN, **TIGHT, "joists": [joists("across", 8)]},
    "joists across, an even count": {**DEN, **TIGHT, "cols": 4, "joists": [joists("across", 7.5)]},
    "joists across at 19.2": {**DEN, **TIGHT, "cols": 4, "joists": [joists("across", 6, oc="19.2")]},
    "joists across, under the center": {**DEN, **TIGHT, "joists": [joists("across", 10.25)]},
    "joists along, under both rows": {**DEN, **TIGHT, "joists": [joists("along", 8)]},
    "joists along, one row near one": {**DEN, **TIGHT, "joists": [joists("along", 4.5)]},
    "joists along, under the middle row": {**DEN, **TIGHT, "rows": 3, "joists": [joists("along", 7)]},
    "a post at one light": {**DEN, **TIGHT, "obstructions": [POST]},
    "a post at one light of five": {**DEN, **TIGHT, "cols": 5, "obstructions": [POST]},
    "a fan between two lights, near one row": {
        **DEN,
        **TIGHT,
        "obstructions": [{"type": "circle", "x": 48, "y": 25, "r": 26, "clear": 0}],
    },
    "a duct along a row": {
        **DEN,
        **TIGHT,
        "obstructions": [{"type": "rect", "x0": 0, "y0": 20, "x1": 148.5, "y1": 27.5, "clear": 1}],
    },
    "a hall under a joist": {**HALL, "joists": [joists("along", 7)]},
    "a hall, too few lights": {**HALL, "cols": 3, "spacing_max": 60, "joists": [joists("across", 2)]},
    "a flat, joists and a beam": {
        **FLAT,
        "uneven_max": 10,
        "joists": [joists("across", 0, oc="406.4", width=38)],
        "obstructions": [{"type": "rect", "x0": 560, "y0": 650, "x1": 700, "y1": 720, "clear": 10}],
    },
    "edges wider than the setback": {**DEN, "edge_min": 23.5, "row_setback": {"min": 14, "max": 24, "pref": 24}},
    "a grid off by five": {**DEN, **TIGHT, "tile": {"px": 24, "py": 24, "ox": 5, "oy": 0}},
}


def line(count, pref, far):
    """Ideal marks in quarter ticks: evenly from one preferred setback to the other, on the nearest whole tick."""
    if count == 1:
        return [far // 2]
    exact = [Fraction(pref + Fraction(i * (far - 2 * pref), count - 1), 4) for i in range(count // 2)]
    near = [4 * round(at) for at in exact]
    return [*near, *([far // 2] if count % 2 else []), *(far - at for at in reversed(near))]


class Ways:
    def __init__(self, room):
        self.stated = stated = state(room)
        self.x = line(stated.cols, stated.end.pref, stated.length)
        self.y = line(stated.rows, stated.side.pref, stated.width)
        self.farthest = 12 * 16 if stated.inch else 304
        self.bad = [(r, c) for r in range(stated.rows) for c in range(stated.cols) if not self.clear(r, c)]

    def clear(self, row, column, dx=0, dy=0):
        return not self.stated.light.faults_at(self.x[column] + 4 * dx, self.y[row] + 4 * dy)

    def nearest(self, clear):
        return next((d for d in range(1, self.farthest + 1) if clear(d) or clear(-d)), None)

    def alone(self):
        """How far each bad light goes; None for one that finds no place."""
        return {(r, c): self.nearest(lambda d, r=r, c=c: self.clear(r, c, dx=d)) for r, c in self.bad}

    def rows(self):
        """How far each pair of rows goes that has a bad light; a middle row can't."""
        last, all_columns = self.stated.rows - 1, range(self.stated.cols)
        return {
            pair: None
            if 2 * pair == last
            else self.nearest(
                lambda d, pair=pair: all(
                    self.clear(pair, c, dy=d) and self.clear(last - pair, c, dy=-d) for c in all_columns
                )
            )
            for pair in {min(r, last - r) for r, _ in self.bad}
        }

    def pairs(self):
        """How far each pair of columns goes that has a bad light; a middle column can't."""
        last, all_rows = self.stated.cols - 1, range(self.stated.rows)
        return {
            pair: None
            if 2 * pair == last
            else self.nearest(
                lambda d, pair=pair: all(
                    self.clear(r, pair, dx=d) and self.clear(r, last - pair, dx=-d) for r in all_rows
                )
            )
            for pair in {min(c, last - c) for _, c in self.bad}
        }


def told(room):
    """{way: (cost, {(row, column): (ticks along, ticks across)})} as the engine has it."""
    ticks = 16 if room["unit"] == "in" else 1
    ways = {}
    for repair in answered(room)["repairs"]:
        moves = {}
        for move in repair["moves"]:
            row, light = move["where"].removeprefix("row ").split(", light ")
            by = [(Fraction(b) - Fraction(a)) * ticks for a, b in zip(move["from"], move["to"], strict=True)]
            moves[int(row) - 1, int(light) - 1] = tuple(by)
        ways[repair["way"]] = (repair["cost"], moves)
    return ways


@pytest.mark.parametrize("name", ROOMS)
def test_each_way_moves_as_little_as_it_can(name):
    ways, found = Ways(ROOMS[name]), told(ROOMS[name])
    cols, rows = ways.stated.cols, ways.stated.rows
    alone, by_rows, by_pairs = ways.alone(), ways.rows(), ways.pairs()
    possible = {
        way for way, far in ((ALONE, alone), (ROWS, by_rows), (PAIRS, by_pairs)) if far and None not in far.values()
    }
    assert found.keys() == possible
    for cost, moves in found.values():
        for (r, c), (dx, dy) in moves.items():
            assert ways.clear(r, c, dx=int(dx), dy=int(dy))
            assert cost >= abs(dx) + abs(dy)
    if ALONE in found:
        cost, moves = found[ALONE]
        assert moves.keys() == alone.keys()
        for light, (dx, dy) in moves.items():
            assert (abs(dx), dy) == (alone[light], 0)
        by = {(r, c): moves.get((r, c), (0, 0))[0] for r in range(rows) for c in range(cols)}
        lost = sum(by[r, c] != -by[r, cols - 1 - c] for r, c in by)
        assert cost == sum(alone.values()) + LOST_TWIN * lost
    if ROWS in found:
        cost, moves = found[ROWS]
        assert cost == sum(2 * cols * far + LOST_TWIN for far in by_rows.values())
        assert len(moves) == 2 * cols * len(by_rows)
        for (r, _), (dx, dy) in moves.items():
            assert (dx, abs(dy)) == (0, by_rows[min(r, rows - 1 - r)])
    if PAIRS in found:
        cost, moves = found[PAIRS]
        assert cost == sum(2 * rows * far for far in by_pairs.values())
        assert len(moves) == 2 * rows * len(by_pairs)
        for (_, c), (dx, dy) in moves.items():
            assert (abs(dx), dy) == (by_pairs[min(c, cols - 1 - c)], 0)


def test_these_rooms_know_each_way_and_the_lack_of_it():
    ways = [told(room).keys() for room in ROOMS.values()]
    for way in (ALONE, ROWS, PAIRS):
        assert sum(way in each for each in ways) >= 3
        assert sum(way not in each for each in ways) >= 3


def test_a_post_at_one_light_by_hand():
    """A cut of 4-1/4 needs 2-1/8 + 1/2 = 2-5/8 off a post from 20-1/2 to 26 and 21 to 26-1/2; its light is at 24, 24.

    Along its row: on to 28-5/8, 74 ticks (back to 17-7/8 it would be 98), and it and its twin at 124-1/2 have no mirror
    any more: 74 + 2 x 16 = 106. Across: up to 29-1/8, 82 ticks (down to 18-3/8 it would be 90), six lights: 492 + 16.
    With its twin, in both rows: 4 x 74 = 296.
    """
    found = told(ROOMS["a post at one light"])
    assert {way: cost for way, (cost, _) in found.items()} == {ALONE: 106, ROWS: 508, PAIRS: 296}
    assert found[ALONE][1] == {(0, 0): (74, 0)}
