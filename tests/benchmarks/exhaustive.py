"""Every layout of a small rectangular room, tried one by one: what the engine's answers are compared with.

Written from the statement of the problem and sharing no code with the engine: plain, slow and exact. A room is the
dictionary a room file holds. In here every length is a whole number of quarter ticks (a tick is 1/16 in or 1 mm).
"""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations, pairwise, product
from types import SimpleNamespace

TICK, HALF_TICK = 4, 2


def best_vector(room: dict) -> tuple[int, ...] | None:
    """The least of all 7-number vectors, or None when no layout is inside the caps."""
    stated = state(room)
    vectors = (judge(stated, *layout) for layout in layouts(stated))
    return min((vector for vector in vectors if vector is not None), default=None)


def state(room: dict) -> SimpleNamespace:
    inch = room["unit"] == "in"

    def quarters(value) -> int:
        exact = Fraction(str(value)) * (16 if inch else 1) * TICK
        assert exact.denominator == 1, value
        return exact.numerator

    def setback(rule) -> SimpleNamespace:
        return SimpleNamespace(**{key: quarters(value) for key, value in rule.items()})

    speaker = room.get("speaker") or {"cutout_d": 0, "gaps": []}
    even_tol = quarters(room["even_tol"]) if "even_tol" in room else TICK
    uneven_max = quarters(room["uneven_max"]) if "uneven_max" in room else quarters(6 if inch else 150)
    row_uneven_max = quarters(room["row_uneven_max"]) if "row_uneven_max" in room else even_tol
    return SimpleNamespace(
        inch=inch,
        length=quarters(room["L"]),
        width=quarters(room["W"]),
        cols=room["cols"],
        rows=room["rows"],
        end=setback(room["end_setback"]),
        side=setback(room["row_setback"]),
        spacing=quarters(room["spacing_max"]),
        row_spacing=quarters(room["row_spacing_max"]) if "row_spacing_max" in room else None,
        r_light=quarters(room["light"]["cutout_d"]) // 2,
        r_speaker=quarters(speaker["cutout_d"]) // 2,
        gaps=sorted(speaker["gaps"]),
        off_cap=max(quarters(speaker.get("off_max", 0)), HALF_TICK),
        edge=quarters(room.get("edge_min", 0)),
        web=quarters(room.get("web_min", 0)),
        even_tol=even_tol,
        uneven_cap=max(uneven_max, even_tol),
        row_uneven_cap=max(row_uneven_max, even_tol),
    )


def layouts(room: SimpleNamespace):
    """All (x, y, z): whole-tick choices for half the room, completed by mirroring."""
    for x in halves(room.length, room.cols):
        choices = [
            [z for z in range(0, room.length, TICK) if x[gap - 1] < z < x[gap]]
            for gap in room.gaps
            if 2 * gap < room.cols
        ]
        for near in product(*choices):
            middle = [room.length // 2] if room.cols % 2 == 0 and room.cols // 2 in room.gaps else []
            z = [*near, *middle, *(room.length - at for at in reversed(near))]
            for y in halves(room.width, room.rows):
                yield x, y, z


def halves(length: int, number: int):
    for near in combinations(range(0, (length + 1) // 2, TICK), number // 2):
        middle = [length // 2] if number % 2 else []
        yield [*near, *middle, *(length - at for at in reversed(near))]


def judge(room: SimpleNamespace, x: list[int], y: list[int], z: list[int]) -> tuple[int, ...] | None:
    """The 7-number vector of one layout; None outside the caps."""
    x_gaps = [b - a for a, b in pairwise(x)]
    y_gaps = [b - a for a, b in pairwise(y)]
    if x_gaps and max(x_gaps) - min(x_gaps) > room.uneven_cap:
        return None
    if y_gaps and max(y_gaps) - min(y_gaps) > room.row_uneven_cap:
        return None
    twice_off = [abs(2 * at - x[gap - 1] - x[gap]) for gap, at in zip(room.gaps, z, strict=True)]
    if any(twice > 2 * room.off_cap for twice in twice_off):
        return None

    short = []  # one entry for each broken (rule, subject)

    def at_least(needed, there) -> None:
        if there < needed:
            short.append(needed - there)

    def at_most(limit, there) -> None:
        if there > limit:
            short.append(there - limit)

    for row in y:
        if len(x) >= 2:
            for setback in (x[0], room.length - x[-1]):
                at_least(room.end.min, setback)
                at_most(room.end.max, setback)
        for gap in x_gaps:
            at_most(room.spacing, gap)
            at_least(2 * room.r_light + room.web, gap)
        for column in x:
            for there in (column, room.length - column, row, room.width - row):
                at_least(room.r_light + room.edge, there)
        for gap, at in zip(room.gaps, z, strict=True):
            for there in (at, room.length - at, row, room.width - row):
                at_least(room.r_speaker + room.edge, there)
            at_least(room.r_light + room.r_speaker + room.web, at - x[gap - 1])
            at_least(room.r_light + room.r_speaker + room.web, x[gap] - at)
    if len(y) >= 2:
        for setback in (y[0], room.width - y[-1]):
            at_least(room.side.min, setback)
            at_most(room.side.max, setback)
    for gap in y_gaps:
        if room.row_spacing is not None:
            at_most(room.row_spacing, gap)
        for _ in x:
            at_least(2 * room.r_light + room.web, gap)
        for _ in z:
            at_least(2 * room.r_speaker + room.web, gap)

    near = [2 * gap < len(x) for gap in room.gaps]
    half_x, half_y = x[: len(x) // 2], y[: len(y) // 2]
    half_z = [at for at, mine in zip(z, near, strict=True) if mine]
    off = [twice // 2 for twice, mine in zip(twice_off, near, strict=True) if mine]
    return (
        len(short),
        sum(-(-each // TICK) for each in short),
        max(0, max(x_gaps) - min(x_gaps) - room.even_tol) if x_gaps else 0,
        max(0, max(y_gaps) - min(y_gaps) - room.even_tol) if y_gaps else 0,
        sum(each for each in off if each > HALF_TICK),
        sum(abs(half[0] - rule.pref) // TICK for half, rule in ((half_x, room.end), (half_y, room.side)) if half),
        sum(fraction_cost(at // TICK, room.inch) for at in (*half_x, *half_y, *half_z)),
    )


def fraction_cost(tick: int, inch: bool) -> int:
    """Whole inch 0, half 1, quarter 2, eighth 3, sixteenth 4; or 50 mm 0, 10 mm 1, 5 mm 2, 1 mm 3."""
    if inch:
        return {1: 0, 2: 1, 4: 2, 8: 3, 16: 4}[Fraction(tick, 16).denominator]
    return 0 if tick % 50 == 0 else 1 if tick % 10 == 0 else 2 if tick % 5 == 0 else 3
