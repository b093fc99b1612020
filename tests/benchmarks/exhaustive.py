"""Every layout of a small rectangular room, tried one by one: what the engine's answers are compared with.

Written from the statement of the problem and sharing no code with the engine: plain, slow and exact. A room is the
dictionary a room file holds. In here every length is a whole number of quarter ticks (a tick is 1/16 in or 1 mm); only
joists, which may stand 19.2 in apart, are fractions of one.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from functools import cache
from itertools import combinations, pairwise, product
from math import ceil, floor, isqrt
from types import SimpleNamespace

TICK, HALF_TICK = 4, 2


def best_vector(room: dict) -> tuple[int, ...] | None:
    """The least of all 7-number vectors, or None when no layout is inside the caps."""
    stated = state(room)
    vectors = (judge(stated, *layout) for layout in layouts(stated))
    return min((vector for vector in vectors if vector is not None), default=None)


def state(room: dict) -> SimpleNamespace:
    """The room as numbers, what is left out filled in."""
    inch = room["unit"] == "in"

    def exact(value) -> Fraction:
        return Fraction(str(value)) * (16 if inch else 1) * TICK

    def quarters(value) -> int:
        assert exact(value).denominator == 1, value
        return exact(value).numerator

    def given(thing, default, key) -> int:
        return quarters(thing[key]) if thing.get(key) is not None else default

    def limits(rule) -> SimpleNamespace:
        return SimpleNamespace(**{key: quarters(value) for key, value in rule.items()})

    def hole(thing) -> SimpleNamespace:
        return SimpleNamespace(r=quarters(thing["cutout_d"]) // 2, clear=given(thing, 0, "clear"))

    def joists(rule) -> SimpleNamespace:
        return SimpleNamespace(
            axis={"across": "x", "along": "y"}[rule["dir"]],
            oc=exact(rule["oc"]),
            first=quarters(rule["first"]),
            half=quarters(rule["width"]) // 2,
        )

    def shape(rule) -> SimpleNamespace:
        """A circle is a rectangle shrunk to its center, with a rim around it."""
        middle = {"x0": "x", "x1": "x", "y0": "y", "y1": "y"} if rule["type"] == "circle" else {}
        sides = {side: quarters(rule[middle.get(side, side)]) for side in ("x0", "y0", "x1", "y1")}
        return SimpleNamespace(**sides, rim=given(rule, 0, "r"), clear=given(rule, 0, "clear"))

    speaker = room.get("speaker") or {"cutout_d": 0, "gaps": []}
    tile = room.get("tile")
    even_tol = given(room, TICK, "even_tol")
    stated = SimpleNamespace(
        inch=inch,
        length=quarters(room["L"]),
        width=quarters(room["W"]),
        cols=int(room["cols"]),
        rows=int(room["rows"]),
        end=limits(room["end_setback"]),
        side=limits(room["row_setback"]),
        spacing=quarters(room["spacing_max"]),
        row_spacing=given(room, None, "row_spacing_max"),
        light=hole(room["light"]),
        speaker=hole(speaker),
        gaps=sorted(speaker["gaps"]),
        off_cap=max(given(speaker, 0, "off_max"), HALF_TICK),
        edge=given(room, 0, "edge_min"),
        web=given(room, 0, "web_min"),
        joists=[joists(rule) for rule in room.get("joists") or []],
        obstructions=[shape(rule) for rule in room.get("obstructions") or []],
        tile=tile and SimpleNamespace(**{key: given(tile, 0, key) for key in ("px", "py", "ox", "oy")}),
        even_tol=even_tol,
        uneven_cap=max(given(room, quarters(6 if inch else 150), "uneven_max"), even_tol),
        row_uneven_cap=max(given(room, even_tol, "row_uneven_max"), even_tol),
    )
    # A light or a speaker at one place is looked at once, however many layouts have it there.
    stated.light.faults_at = cache(lambda x, y: tuple(faults_of_a_hole(stated, stated.light, x, y)))
    stated.speaker.faults_at = cache(lambda x, y: tuple(faults_of_a_hole(stated, stated.speaker, x, y)))
    return stated


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
    x_uneven = max(x_gaps) - min(x_gaps) if x_gaps else 0
    y_uneven = max(y_gaps) - min(y_gaps) if y_gaps else 0
    twice_off = [abs(2 * at - x[gap - 1] - x[gap]) for gap, at in zip(room.gaps, z, strict=True)]
    if x_uneven > room.uneven_cap or y_uneven > room.row_uneven_cap or any(off > 2 * room.off_cap for off in twice_off):
        return None
    near = [2 * gap < len(x) for gap in room.gaps]
    half_x, half_y = x[: len(x) // 2], y[: len(y) // 2]
    half_z = [at for at, mine in zip(z, near, strict=True) if mine]
    off = [twice // 2 for twice, mine in zip(twice_off, near, strict=True) if mine]
    excess = [ticks for _, ticks in faults(room, x, y, z)]
    return (
        len(excess),
        sum(excess),
        max(0, x_uneven - room.even_tol),
        max(0, y_uneven - room.even_tol),
        sum(each for each in off if each > HALF_TICK),
        sum(abs(half[0] - rule.pref) // TICK for half, rule in ((half_x, room.end), (half_y, room.side)) if half),
        sum(fraction_cost(at // TICK, room.inch) for at in (*half_x, *half_y, *half_z)),
    )


def faults(room: SimpleNamespace, x: list[int], y: list[int], z: list[int]) -> list[tuple[str, int]]:
    """Each broken (rule, subject): the rule and how many ticks it is short by, rounded up."""
    found: list[tuple[str, int]] = []

    def at_least(needed, there, rule, subjects=1) -> None:
        if there < needed:
            found.extend([(rule, ceil(Fraction(needed - there, TICK)))] * subjects)

    def at_most(limit, there, rule, subjects=1) -> None:
        at_least(there, limit, rule, subjects)

    web = room.web
    light_to_light, light_to_speaker = 2 * room.light.r + web, room.light.r + room.speaker.r + web
    for setback in (x[0], room.length - x[-1]) if len(x) > 1 else ():
        at_least(room.end.min, setback, "end_setback", len(y))
        at_most(room.end.max, setback, "end_setback", len(y))
    for a, b in pairwise(x):
        at_most(room.spacing, b - a, "spacing", len(y))
        at_least(light_to_light, b - a, "hole_gap", len(y))
    for gap, at in zip(room.gaps, z, strict=True):
        at_least(light_to_speaker, at - x[gap - 1], "hole_gap", len(y))
        at_least(light_to_speaker, x[gap] - at, "hole_gap", len(y))
    for setback in (y[0], room.width - y[-1]) if len(y) > 1 else ():
        at_least(room.side.min, setback, "row_setback")
        at_most(room.side.max, setback, "row_setback")
    for a, b in pairwise(y):
        if room.row_spacing is not None:
            at_most(room.row_spacing, b - a, "row_spacing")
        at_least(light_to_light, b - a, "hole_gap", len(x))
        at_least(2 * room.speaker.r + web, b - a, "hole_gap", len(z))
    for across in y:
        for along in x:
            found.extend(room.light.faults_at(along, across))
        for along in z:
            found.extend(room.speaker.faults_at(along, across))
    return found


def faults_of_a_hole(room: SimpleNamespace, hole: SimpleNamespace, x: int, y: int):
    """What is wrong with one hole where it is, whatever stands beside it."""
    for joists in room.joists:
        at = x if joists.axis == "x" else y
        needed = hole.r + hole.clear + joists.half
        nearest = (at - joists.first) / joists.oc
        reach = needed / joists.oc
        for k in range(floor(nearest - reach), ceil(nearest + reach) + 1):
            there = abs(at - joists.first - k * joists.oc)
            if there < needed:
                yield "joist", ceil((needed - there) / TICK)
    for shape in room.obstructions:
        needed = hole.r + max(hole.clear, shape.clear) + shape.rim
        dx = max(shape.x0 - x, 0, x - shape.x1)
        dy = max(shape.y0 - y, 0, y - shape.y1)
        if dx * dx + dy * dy < needed * needed:
            # needed and ticks are whole, so what is left of the root after its whole part changes nothing
            yield "obstruction", -((isqrt(dx * dx + dy * dy) - needed) // TICK)
    for there in (x, room.length - x, y, room.width - y):
        if there < hole.r + room.edge:
            yield "edge", ceil(Fraction(hole.r + room.edge - there, TICK))
    if room.tile:
        for at, pitch, line in ((x, room.tile.px, room.tile.ox), (y, room.tile.py, room.tile.oy)):
            past = (at - line - pitch // 2) % pitch
            if past:
                yield "tile", ceil(Fraction(min(past, pitch - past), TICK))


def count_by_rule(room: dict, x, y, z) -> dict[str, tuple[int, int]]:
    """{rule: (how many are broken, by how many ticks in all)} of a layout given in the room's own unit."""
    stated = state(room)
    unit = (16 if stated.inch else 1) * TICK
    found = faults(stated, *([int(Fraction(str(at)) * unit) for at in line] for line in (x, y, z)))
    count, ticks = Counter(rule for rule, _ in found), Counter()
    for rule, excess in found:
        ticks[rule] += excess
    return {rule: (count[rule], ticks[rule]) for rule in count}


def fraction_cost(tick: int, inch: bool) -> int:
    """Whole inch 0, half 1, quarter 2, eighth 3, sixteenth 4; or 50 mm 0, 10 mm 1, 5 mm 2, 1 mm 3."""
    if inch:
        return {1: 0, 2: 1, 4: 2, 8: 3, 16: 4}[Fraction(tick, 16).denominator]
    return 0 if tick % 50 == 0 else 1 if tick % 10 == 0 else 2 if tick % 5 == 0 else 3
