"""A response against frequency, a line for each seat, told apart by dashes and by the number at its end."""

from __future__ import annotations

from collections.abc import Sequence
from math import log10

from layout.drawing.ink import INK, add, drawing, line, number, words, written
from layout.drawing.picture import Picture, Table
from layout.drawing.text import MM_PER_POINT, spread, width

WIDE, HIGH = 180.0, 92.0
LEFT, RIGHT, TOP, BOTTOM = 13.0, 16.0, 4.0, 12.0
PT = 8.0
TICKS_HZ = (20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200)
STEP_DB = 6
MOST_DEEP_DB = 36.0  # a notch is drawn no deeper below the highest point
DASHES = ("", "3 1", "1 1", "4 1 1 1", "2 2", "6 1.5", "1 2.5", "5 1 1 1 1 1")


def response_chart(
    key: str, title: str, words_for: str, hz: Sequence[float], levels: Sequence[Sequence[float]],
    names: Sequence[str], *, heads: tuple[str, str],
) -> Picture:  # fmt: skip
    """levels: a row for each name, dB at each of hz. heads: of the table's first column, and of each seat, with %s."""
    top = (int(max(map(max, levels)) // STEP_DB) + 1) * STEP_DB
    low = max(min(map(min, levels)), top - MOST_DEEP_DB)
    bottom = int(low // STEP_DB) * STEP_DB
    svg = drawing(WIDE, HIGH, key=key, title=title, description=words_for)

    def x_of(f: float) -> float:
        return LEFT + log10(f / hz[0]) / log10(hz[-1] / hz[0]) * (WIDE - LEFT - RIGHT)

    def y_of(db: float) -> float:
        return TOP + (top - max(db, bottom)) / (top - bottom) * (HIGH - TOP - BOTTOM)

    for db in range(bottom, top + 1, STEP_DB):
        line(svg, "hatch", LEFT, y_of(db), WIDE - RIGHT, y_of(db))
        words(svg, f"{db}", LEFT - 4, y_of(db), PT, kind="axis")
    for tick in (tick for tick in TICKS_HZ if hz[0] <= tick <= hz[-1]):
        line(svg, "hatch", x_of(tick), TOP, x_of(tick), HIGH - BOTTOM)
        words(svg, f"{tick:g}", x_of(tick), HIGH - BOTTOM + 3.4, PT, kind="axis")
    words(svg, "Hz", WIDE - RIGHT + 5, HIGH - BOTTOM + 3.4, PT, kind="axis")
    words(svg, "dB", LEFT - 4, HIGH - BOTTOM + 3.4, PT, kind="axis")
    for place, row in enumerate(levels):
        drawn = " ".join(f"{number(x_of(f))},{number(y_of(db))}" for f, db in zip(hz, row, strict=True))
        dashes = {"stroke_dasharray": DASHES[place % len(DASHES)]} if place % len(DASHES) else {}
        add(svg, "polyline", points=drawn, fill="none", stroke=INK, stroke_width=0.5, kind="response", **dashes)
    _ends(svg, levels, names, y_of)
    return Picture(key, title, words_for, written(svg), _table(title, hz, levels, names, heads))


def _ends(svg, levels, names, y_of) -> None:
    """Each line's name at its right end, moved apart where they crowd."""
    order = sorted(range(len(names)), key=lambda place: y_of(levels[place][-1]))
    high = PT * MM_PER_POINT + 0.4
    centers = spread([y_of(levels[place][-1]) for place in order], [high] * len(order), 0, HIGH - BOTTOM)
    for place, center in zip(order, centers, strict=True):
        end = WIDE - RIGHT
        line(svg, "leader", end, y_of(levels[place][-1]), end + 3, center)
        words(svg, names[place], end + 4 + width(names[place], PT * MM_PER_POINT) / 2, center, PT, bold=True)


def _table(title, hz, levels, names, heads) -> Table:
    near = [min(range(len(hz)), key=lambda at: abs(hz[at] - tick)) for tick in TICKS_HZ if hz[0] <= tick <= hz[-1]]
    rows = tuple((f"{hz[at]:.0f}", *(f"{row[at]:.1f}" for row in levels)) for at in near)
    return Table(title, (heads[0], *(heads[1] % name for name in names)), rows)
