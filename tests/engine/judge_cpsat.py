"""The placement problem as a model for a general solver (CP-SAT), goal after goal; shares no code with the engine.

For rooms too large to try every layout of. Lengths are quarter ticks (q), but for the variables: those are the whole
ticks a tape can mark, so a mark stands at 4 * t. A fault is a yes or no and a number of ticks that may be larger than
it must be: each goal is made as small as it goes, which makes them exact.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations, pairwise
from math import ceil

from ortools.sat.python import cp_model


class Stated:
    """A room's model: `vector()` is the least 7-number vector, None when no layout is inside the caps."""

    def __init__(self, room: dict):
        self.room = room
        self.per_unit = 64 if room["unit"] == "in" else 4
        self.model = cp_model.CpModel()
        self.goals = [[] for _ in range(7)]
        self.length, self.width = self.q("L"), self.q("W")
        self.cols, self.rows = int(room["cols"]), int(room["rows"])
        self.reach = self.length + self.width
        self.x_marks, self.x = self.line(self.cols, self.length)
        self.y_marks, self.y = self.line(self.rows, self.width)
        self.light = (self.q("cutout_d", room["light"]) // 2, self.q("clear", room["light"], 0))
        self.place_speakers(room.get("speaker") or {"cutout_d": 0, "gaps": []})
        self.even()
        self.setbacks_and_gaps()
        for x, (r, clear), y in self.holes():
            self.each_hole(x, y, r, clear)
        for mark in (*self.x_marks, *self.y_marks, *self.z_marks):
            self.goals[6].append(self.read(mark, [self.fraction(tick) for tick in range(self.reach // 4)]))

    def q(self, key, thing=None, default=None) -> int:
        thing = self.room if thing is None else thing
        if thing.get(key) is None:
            assert default is not None, f"{key} must be given"
            return default
        value = Fraction(str(thing[key])) * self.per_unit
        assert value.denominator == 1
        return int(value)

    def line(self, number: int, length: int):
        """Half a line of marks in order, and the whole line they make by mirroring."""
        marks = [self.model.new_int_var(0, (length // 2 - 1) // 4, "") for _ in range(number // 2)]
        for a, b in pairwise(marks):
            self.model.add(a + 1 <= b)
        middle = [length // 2] if number % 2 else []
        return marks, [*(4 * t for t in marks), *middle, *(length - 4 * t for t in reversed(marks))]

    def place_speakers(self, speaker: dict) -> None:
        self.speaker = (self.q("cutout_d", speaker) // 2, self.q("clear", speaker, 0))
        cap = max(self.q("off_max", speaker, 0), 2)
        self.z_marks, self.z = [], {}
        for gap in sorted(speaker["gaps"]):
            if 2 * gap == self.cols:
                self.z[gap] = self.length // 2
            elif 2 * gap < self.cols:
                mark = self.model.new_int_var(0, self.length // 4, "")
                left, right = self.x[gap - 1], self.x[gap]
                self.model.add(4 * mark >= left + 1)
                self.model.add(4 * mark <= right - 1)
                twice = self.size(8 * mark - left - right)
                self.model.add(twice <= 2 * cap)
                counted, off = self.model.new_bool_var(""), self.model.new_int_var(0, self.reach, "")
                self.model.add(twice <= 4).only_enforce_if(~counted)
                self.model.add(2 * off >= twice).only_enforce_if(counted)
                self.goals[4].append(off)
                self.z_marks.append(mark)
                self.z[gap], self.z[self.cols - gap] = 4 * mark, self.length - 4 * mark

    def even(self) -> None:
        even_tol = self.q("even_tol", default=4)
        caps = (
            self.q("uneven_max", default=6 * 64 if self.per_unit == 64 else 150 * 4),
            self.q("row_uneven_max", default=even_tol),
        )
        for goal, line, cap in zip(self.goals[2:4], (self.x, self.y), caps, strict=True):
            over = self.model.new_int_var(0, self.reach, "")
            gaps = [b - a for a, b in pairwise(line)]
            for gap, other in combinations(gaps, 2):
                for difference in (gap - other, other - gap):
                    self.model.add(difference <= max(cap, even_tol))
                    self.model.add(over >= difference - even_tol)
            goal.append(over)

    def setbacks_and_gaps(self) -> None:
        web, (r, _), (speaker_r, _) = self.q("web_min", default=0), self.light, self.speaker
        for line, marks, key, subjects in (
            (self.x, self.x_marks, "end_setback", 2 * self.rows),
            (self.y, self.y_marks, "row_setback", 2),
        ):
            if marks:
                rule = {side: self.q(side, self.room[key]) for side in ("min", "max", "pref")}
                self.short(rule["min"] - line[0], subjects)
                self.short(line[0] - rule["max"], subjects)
                ticks = self.model.new_int_var(0, self.reach, "")
                self.model.add(4 * ticks == self.size(line[0] - rule["pref"]))
                self.goals[5].append(ticks)
        for a, b in pairwise(self.x):
            self.short(b - a - self.q("spacing_max"), self.rows)
            self.short(2 * r + web - (b - a), self.rows)
        for gap, at in self.z.items():
            self.short(r + speaker_r + web - (at - self.x[gap - 1]), self.rows)
            self.short(r + speaker_r + web - (self.x[gap] - at), self.rows)
        for a, b in pairwise(self.y):
            if self.room.get("row_spacing_max") is not None:
                self.short(b - a - self.q("row_spacing_max"), 1)
            self.short(2 * r + web - (b - a), self.cols)
            self.short(2 * speaker_r + web - (b - a), len(self.z))

    def holes(self):
        for y in self.y:
            for x in self.x:
                yield x, self.light, y
            for x in self.z.values():
                yield x, self.speaker, y

    def each_hole(self, x, y, r: int, clear: int) -> None:
        edge = r + self.q("edge_min", default=0)
        for there in (x, self.length - x, y, self.width - y):
            self.short(edge - there, 1)
        for joists in self.room.get("joists") or []:
            at, far = (x, self.length) if joists["dir"] == "across" else (y, self.width)
            needed = r + clear + self.q("width", joists) // 2
            self.off_a_list(at, far, lambda p, joists=joists, needed=needed: self.joists_hit(joists, needed, p))
        if self.room.get("tile"):
            tile = self.room["tile"]
            for at, far, axis in ((x, self.length, "x"), (y, self.width, "y")):
                pitch = self.q("p" + axis, tile)
                center = self.q("o" + axis, tile, 0) + pitch // 2
                self.off_a_list(at, far, lambda p, c=center, pitch=pitch: [min((p - c) % pitch, (c - p) % pitch)])
        for shape in self.room.get("obstructions") or []:
            self.clear_of(shape, x, y, r + max(clear, self.q("clear", shape, 0)))

    def joists_hit(self, joists: dict, needed: int, at: int) -> list[Fraction]:
        """How much each joist of a set lacks to a hole at `at`; members are walked to from the first, both ways."""
        apart, first = Fraction(str(joists["oc"])) * self.per_unit, self.q("first", joists)
        nearest = first + round((at - first) / apart) * apart
        found = [needed - abs(at - nearest)]
        for step in (apart, -apart):
            member = nearest + step
            while abs(at - member) < needed:
                found.append(needed - abs(at - member))
                member += step
        return found

    def off_a_list(self, at, far: int, shortfalls) -> None:
        """Faults that hang on one coordinate alone, from a list of every place it can be."""
        places = range(0, far + 1, 2)  # marks are multiples of 4, a middle of 2
        lacks = [[short for short in shortfalls(place) if short > 0] for place in places]
        half = self.model.new_int_var(0, len(places) - 1, "")
        self.model.add(2 * half == at)
        self.goals[0].append(self.read(half, [len(each) for each in lacks]))
        self.goals[1].append(self.read(half, [sum(ceil(Fraction(short) / 4) for short in each) for each in lacks]))

    def clear_of(self, shape: dict, x, y, needed: int) -> None:
        if shape["type"] == "circle":
            dx, dy = (self.size(at - self.q(key, shape)) for at, key in ((x, "x"), (y, "y")))
            needed += self.q("r", shape)
        else:
            dx = self.outside(x, self.q("x0", shape), self.q("x1", shape))
            dy = self.outside(y, self.q("y0", shape), self.q("y1", shape))
        there = self.model.new_int_var(0, needed, "")
        squares = [self.model.new_int_var(0, self.reach**2, "") for _ in range(3)]
        for square, side in zip(squares, (dx, dy, there), strict=True):
            self.model.add_multiplication_equality(square, [side, side])
        self.model.add(squares[2] <= squares[0] + squares[1])
        self.short(needed - there, 1)

    def outside(self, at, low: int, high: int):
        """How far outside an interval: never more than it is."""
        away = self.model.new_int_var(0, self.reach, "")
        self.model.add_max_equality(away, [low - at, at - high, 0])
        return away

    def size(self, expression):
        size = self.model.new_int_var(0, 4 * self.reach, "")
        self.model.add_abs_equality(size, expression)
        return size

    def short(self, shortfall, subjects: int) -> None:
        """A rule that is broken for `subjects` alike when more than 0 q are missing."""
        if isinstance(shortfall, int):
            if shortfall > 0:
                self.goals[0].append(subjects)
                self.goals[1].append(subjects * ceil(Fraction(shortfall, 4)))
            return
        broken, ticks = self.model.new_bool_var(""), self.model.new_int_var(0, self.reach, "")
        self.model.add(4 * ticks >= shortfall)
        self.model.add(ticks <= self.reach * broken)
        self.goals[0].append(subjects * broken)
        self.goals[1].append(subjects * ticks)

    def read(self, at, table: list[int]):
        value = self.model.new_int_var(min(table), max(table), "")
        self.model.add_element(at, table, value)
        return value

    def fraction(self, tick: int) -> int:
        coarser = (16, 8, 4, 2) if self.per_unit == 64 else (50, 10, 5)
        return next((cost for cost, ticks in enumerate(coarser) if tick % ticks == 0), len(coarser))

    def vector(self) -> tuple[int, ...] | None:
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 2
        solver.parameters.random_seed = 1
        least = []
        for goal in self.goals:
            total = self.model.new_int_var(0, 10**9, "")
            self.model.add(total == sum(goal))
            if not (least and solver.value(sum(goal)) == 0):
                self.model.minimize(total)
                ended = solver.solve(self.model)
                if ended == cp_model.INFEASIBLE:
                    return None
                assert ended == cp_model.OPTIMAL, solver.status_name(ended)
                self.model.clear_hints()
                for index in range(len(self.model.proto.variables) - 1):
                    variable = self.model.get_int_var_from_proto_index(index)
                    self.model.add_hint(variable, solver.value(variable))
            least.append(solver.value(sum(goal)))
            self.model.add(total == least[-1])
        return tuple(least)


def least_vector(room: dict) -> tuple[int, ...] | None:
    return Stated(room).vector()
