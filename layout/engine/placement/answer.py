"""A room file's answer as one line of JSON, every length an exact decimal in the room's own unit. Knows no files."""

from __future__ import annotations

import json
from decimal import Context, Decimal
from fractions import Fraction
from time import perf_counter_ns
from typing import Any

from layout.engine.placement.measure import Broken, Objective
from layout.engine.placement.problem import QUARTERS, Problem
from layout.engine.placement.read import TICKS_PER_UNIT, Number, read_json, read_problem
from layout.engine.placement.repairs import Repair, repairs
from layout.engine.placement.solve import Placement, solve

_EVERY_DIGIT = Context(prec=200)


def answer(text: str) -> str:
    """Lay out the room a file states. Raises ProblemError when the file can't be taken as it stands."""
    begun = perf_counter_ns()
    room = read_json(text)
    problem = read_problem(room)
    placed = solve(problem)
    quarter = Fraction(1, TICKS_PER_UNIT[problem.unit] * QUARTERS)
    layout = placed.layout
    result: dict[str, Any] = {key: room[key] for key in ("id", "note") if key in room}
    result |= {
        "status": placed.status.value,
        "objective": _objective(placed.objective),
        "x": [at * quarter for at in layout.columns] if layout else [],
        "y": [at * quarter for at in layout.rows] if layout else [],
        "z": [at * quarter for at in layout.speakers] if layout else [],
        "violations_by_rule": _by_rule(placed, quarter),
        "repairs": _repairs(problem, quarter),
        "seconds": Fraction((perf_counter_ns() - begun) // 1000, 1_000_000),
    }
    return _written(result)


def _objective(objective: Objective | None) -> dict[str, int] | None:
    return {name: getattr(objective, name) for name in Objective.__slots__} if objective else None


def _by_rule(placed: Placement, quarter: Fraction) -> dict[str, Any]:
    """Only the rules that are broken."""
    rules: dict[str, list[Broken]] = {}
    for broken in placed.broken:
        rules.setdefault(broken.rule.value, []).append(broken)
    return {
        rule: {
            "count": len(items),
            "items": [{"where": item.where, "short_by": item.short_by * quarter} for item in items],
        }
        for rule, items in rules.items()
    }


def _repairs(problem: Problem, quarter: Fraction) -> list[dict[str, Any]]:
    """What may be moved instead, from the ideal lights; cost in ticks."""
    return [{"way": each.way.value, "cost": each.cost, "moves": _moves(each, quarter)} for each in repairs(problem)]


def _moves(repair: Repair, quarter: Fraction) -> list[dict[str, Any]]:
    def place(at: tuple[int, int]) -> list[Fraction]:
        return [each * quarter for each in at]

    return [
        {"where": f"row {move.row}, light {move.light}", "from": place(move.start), "to": place(move.end)}
        for move in repair.moves
    ]


def _written(value: Any) -> str:
    """JSON with fractions as plain decimals, and numbers passed through as they were written."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{json.dumps(key)}: {_written(each)}" for key, each in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_written(each) for each in value) + "]"
    if isinstance(value, Fraction):
        return _decimal(value)
    return str(value) if isinstance(value, Number) else json.dumps(value)


def _decimal(value: Fraction) -> str:
    """A fraction of twos and fives, as halves of halves and tenths of tenths are, to its last digit."""
    digits, scale = value, 0
    while digits.denominator != 1:
        digits, scale = digits * 10, scale + 1
    return f"{Decimal(digits.numerator).scaleb(-scale, _EVERY_DIGIT):f}"
