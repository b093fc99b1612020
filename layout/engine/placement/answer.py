"""A room file's answer as one line of JSON, every length an exact decimal in the room's own unit. Knows no files.
"""

from __future__ import annotations

import json
from decimal import Decimal
from fractions import Fraction
from time import perf_counter_ns
from typing import Any

from layout.engine.placement.measure import Broken, Objective
from layout.engine.placement.problem import QUARTERS
from layout.engine.placement.read import TICKS_PER_UNIT, Number, read_json, read_problem
from layout.engine.placement.solve import Placement, solve


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
        "repairs": [],
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


def _written(value: Any) -> str:
    """JSON with fractions as plain decimals, and numbers passed through as they were written."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{json.dumps(key)}: {_written(each)}" for key, each in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_written(each) for each in value) + "]"
    if isinstance(value, Fraction):
        # only halves of halves and tenths of tenths come here: both end
        decimal = Decimal(value.numerator) / value.denominator
        return f"{decimal:f}"
    return str(value) if isinstance(value, Number) else json.dumps(value)
