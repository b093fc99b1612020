"""Every layout of a small rectangular room, tried one by one: what the engine's answers are compared with.

Written from the statement of the problem and sharing no code with the engine: plain, slow, exact fractions. A room is
the dictionary a room file holds. Positions, lengths and limits below are ticks (1/16 in or 1 mm) unless said.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations, pairwise, product
from math import ceil, floor


def best_vector(room: dict) -> tuple[int, ...] | None:
    """The least of all 7-number vectors, or None when no layout is inside the caps."""
    return min((vector for vector in (judge(room, *layout) for layout in layouts(room)) if vector), default=None)


def layouts(room: dict):
    """All (x, y, z): whole-tick choices for half the room, completed by mirroring."""
    tick = 16 if room["unit"] == "in" else 1
    length, width = Fraction(str(room["L"])) * tick, Fraction(str(room["W"])) * tick
    cols, rows = room["cols"], room["rows"]
    gaps = sorted((room.get("speaker") or {}).get("gaps", []))
    for half_x in combinations(range(ceil(length / 2)), cols // 2):
        x = mirror(half_x, length, cols)
        choices = []
        for gap in gaps:
            left, right = x[gap - 1], x[gap]
            if 2 * gap < cols:
                choices.append([Fraction(z) for z in range(floor(left), ceil(right)) if left < z < right])
        for half_z in product(*choices):
            z = list(half_z) + [length / 2] * (Fraction(cols, 2) in gaps) + [length - at for at in reversed(half_z)]
            for half_y in combinations(range(ceil(width / 2)), rows // 2):
                yield x, mirror(half_y, width, rows), z


def mirror(half: tuple[int, ...], length: Fraction, number: int) -> list[Fraction]:
    middle = [length / 2] if number % 2 else []
    return [Fraction(at) for at in half] + middle + [length - at for at in reversed(half)]


def judge(room: dict, x: list[Fraction], y: list[Fraction], z: list[Fraction]) -> tuple[int, ...] | None:
    """The 7-number vector of one layout; None outside the caps."""
    tick = 16 if room["unit"] == "in" else 1

    def ticks(value) -> Fraction:
        return Fraction(str(value)) * tick

    length, width = ticks(room["L"]), ticks(room["W"])
    speaker = room.get("speaker") or {"cutout_d": 0, "gaps": []}
    gaps = sorted(speaker["gaps"])
    even_tol = ticks(room["even_tol"]) if "even_tol" in room else Fraction(1)
    uneven_max = ticks(room["uneven_max"]) if "uneven_max" in room else ticks(6 if tick == 16 else 150)
    row_uneven_max = ticks(room["row_uneven_max"]) if "row_uneven_max" in room else even_tol
    half_tick = Fraction(1, 2)

    x_gaps = [b - a for a, b in pairwise(x)]
    y_gaps = [b - a for a, b in pairwise(y)]
    if x_gaps and max(x_gaps) - min(x_gaps) > max(uneven_max, even_tol):
        return None
    if y_gaps and max(y_gaps) - min(y_gaps) > max(row_uneven_max, even_tol):
        return None
    offsets = {gap: abs(at - (x[gap - 1] + x[gap]) / 2) for gap, at in zip(gaps, z, strict=True)}
    if any(offset > max(ticks(speaker.get("off_max", 0)), half_tick) for offset in offsets.values()):
        return None

    short = []  # one entry for each broken (rule, subject)

    def at_least(needed, there) -> None:
        if there < needed:
            short.append(needed - there)

    def at_most(limit, there) -> None:
        if there > limit:
            short.append(there - limit)

    edge, web = ticks(room.get("edge_min", 0)), ticks(room.get("web_min", 0))
    r_light, r_speaker = ticks(room["light"]["cutout_d"]) / 2, ticks(speaker["cutout_d"]) / 2
    end, side = room["end_setback"], room["row_setback"]
    for row in y:
        if len(x) >= 2:
            for setback in (x[0], length - x[-1]):
                at_least(ticks(end["min"]), setback)
                at_most(ticks(end["max"]), setback)
        for gap in x_gaps:
            at_most(ticks(room["spacing_max"]), gap)
            at_least(2 * r_light + web, gap)
        for column in x:
            for there in (column, length - column, row, width - row):
                at_least(r_light + edge, there)
        for gap, at in zip(gaps, z, strict=True):
            for there in (at, length - at, row, width - row):
                at_least(r_speaker + edge, there)
            at_least(r_light + r_speaker + web, at - x[gap - 1])
            at_least(r_light + r_speaker + web, x[gap] - at)
    if len(y) >= 2:
        for setback in (y[0], width - y[-1]):
            at_least(ticks(side["min"]), setback)
            at_most(ticks(side["max"]), setback)
    for gap in y_gaps:
        if "row_spacing_max" in room:
            at_most(ticks(room["row_spacing_max"]), gap)
        for _ in x:
            at_least(2 * r_light + web, gap)
        for _ in z:
            at_least(2 * r_speaker + web, gap)

    half_z = [at for gap, at in zip(gaps, z, strict=True) if 2 * gap < len(x)]
    half_x, half_y = x[: len(x) // 2], y[: len(y) // 2]
    return (
        len(short),
        sum(ceil(each) for each in short),
        int(4 * max(0, max(x_gaps) - min(x_gaps) - even_tol)) if x_gaps else 0,
        int(4 * max(0, max(y_gaps) - min(y_gaps) - even_tol)) if y_gaps else 0,
        int(4 * sum(off for gap, off in offsets.items() if 2 * gap < len(x) and off > half_tick)),
        sum(int(abs(half[0] - ticks(rule["pref"]))) for half, rule in ((half_x, end), (half_y, side)) if half),
        sum(fraction_cost(at, tick) for at in (*half_x, *half_y, *half_z)),
    )


def fraction_cost(at: Fraction, tick: int) -> int:
    """Whole inch 0, half 1, quarter 2, eighth 3, sixteenth 4; or 50 mm 0, 10 mm 1, 5 mm 2, 1 mm 3."""
    if tick == 16:
        return {1: 0, 2: 1, 4: 2, 8: 3, 16: 4}[(at / 16).denominator]
    return 0 if at % 50 == 0 else 1 if at % 10 == 0 else 2 if at % 5 == 0 else 3
