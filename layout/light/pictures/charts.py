"""Charts of what was computed for other layouts: walls against setback, and what is traded for what. Knows no room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, log10
from xml.etree.ElementTree import Element

from django.utils.translation import gettext as _

from layout.drawing.ink import add, drawing, line, number, solid, words, written
from layout.drawing.picture import Picture, Table
from layout.drawing.text import MM_PER_POINT, Box, spread, width
from layout.light.pictures.values import INCHES_IN_A_METER, Told

TEXT_PT = 9.0
HIGH = TEXT_PT * MM_PER_POINT
LEFT, NAMES = 15.0, 9.0  # mm: for the numbers, and for marks and leaders before the names of the lines
LEAST_AXIS = 60.0  # mm: as short as an axis gets beside long names
MARK = 1.5  # mm: half a point's size
# By place: the mark's shape and the line's dashes tell modes apart, not a color.
DASHES = (None, "3 1.2", "0.6 1", "3 1 0.6 1")


@dataclass(frozen=True, slots=True)
class ChartPoint:
    """One computed layout. mode: what people call how it was set out; wall_over_plane: a ratio; lux elsewhere."""

    mode: str
    setback_m: float
    wall_over_plane: float
    worst_strip_lx: float
    plane_avg_lx: float
    lights: int = 0


@dataclass(frozen=True, slots=True)
class Choice:
    """A proposed layout. name: how the page calls it; chosen: offered, rather than only on the curve."""

    name: str
    wall_over_plane: float
    plane_avg_lx: float
    said: str = ""
    chosen: bool = True


@dataclass(frozen=True, slots=True)
class Axes:
    """Where numbers land: low and high ends, and the sheet's own."""

    x: tuple[float, float]
    y: tuple[float, float]
    box: Box

    def at(self, x: float, y: float) -> tuple[float, float]:
        (x0, x1), (y0, y1), box = self.x, self.y, self.box
        return (
            box.left + (x - x0) / (x1 - x0) * (box.right - box.left),
            box.bottom - (y - y0) / (y1 - y0) * (box.bottom - box.top),
        )


def wall_chart(
    points: Sequence[ChartPoint],
    chosen: ChartPoint | None = None,
    *,
    told: Told,
    key: str = "wall-chart",
    width_mm: float = 115,
) -> Picture:
    """How bright the walls are against how far the lights stand off them; every mode a line, the chosen layout marked.

    Two panels over one another: wall average over plane average, and the worst strip of any wall. Raises ValueError
    without points.
    """
    if not points:
        raise ValueError("A chart needs at least one computed layout.")
    title = _("Walls against setback")
    said = _said(points, chosen, told)
    modes = list(dict.fromkeys(point.mode for point in points))
    right = NAMES + max(width(mode, HIGH) for mode in modes)
    width_mm = max(width_mm, LEFT + LEAST_AXIS + right)
    svg = drawing(width_mm, 112, key=key, title=title, description=said)
    svg.set("role", "img")
    svg.set("class", "plan-drawing light-picture light-chart")
    together = (*points, chosen) if chosen else points
    setbacks = [_off(point, told) for point in together]
    x = _ends(setbacks, least_span=2 if told.feet else 50)
    panels = (
        (_("wall average over plane average"), 5.0, lambda point: point.wall_over_plane),
        (_("worst wall strip, %(unit)s") % {"unit": told.unit}, 57.0,
         lambda point: told.light(point.worst_strip_lx)),
    )  # fmt: skip
    for name, top, value in panels:
        y = 0.0, _round_up(max(value(point) for point in together))
        axes = Axes(x, y, Box(LEFT, top + 5, width_mm - right, top + 42))
        _frame(svg, axes, name)
        lines = {mode: [(_off(p, told), value(p)) for p in points if p.mode == mode] for mode in modes}
        _mode_lines(svg, axes, lines)
        if chosen:
            _chosen(svg, axes, _off(chosen, told), value(chosen))
    unit = _("off the wall, in") if told.feet else _("off the wall, mm")
    words(svg, unit, (LEFT + width_mm - right) / 2, 109, TEXT_PT)
    return Picture(key, title, said, written(svg), _wall_table(points, chosen, told))


def trade_off_chart(
    choices: Sequence[Choice], *, told: Told, key: str = "trade-off", width_mm: float = 115, joined: bool = True
) -> Picture:
    """What brighter walls cost the plane: the curve no layout beats, the offered ones marked with their names.

    joined: as one line; not where more than these two things are traded.
    """
    if not choices:
        raise ValueError("A chart needs at least one computed layout.")
    title = _("Walls against the plane: what is traded")
    said = _("Each point is a layout: to the right its walls are brighter, up its plane is. Offered: %(names)s.")
    said = said % {"names": ", ".join(one.name for one in choices if one.chosen) or _("none")}
    svg = drawing(width_mm, 72, key=key, title=title, description=said)
    svg.set("role", "img")
    svg.set("class", "plan-drawing light-picture light-chart")
    spots = [(one.wall_over_plane, told.light(one.plane_avg_lx)) for one in choices]
    x, y = _ends([each for each, _plane in spots], 0.1), _ends([plane for _ratio, plane in spots], 1)
    axes = Axes(x, y, Box(LEFT, 10, width_mm - 8, 60))
    _frame(svg, axes, _("plane average, %(unit)s") % {"unit": told.unit})
    if joined:
        _polyline(svg, sorted(axes.at(*spot) for spot in spots), None)
    taken: list[Box] = []
    for one, spot in zip(choices, spots, strict=True):
        at = axes.at(*spot)
        _mark(svg, at, 0 if not one.chosen else 1, filled=one.chosen)
        taken.append(Box.around(*at, 2 * MARK, 2 * MARK))
    for one, spot in zip(choices, spots, strict=True):
        if one.chosen:
            _named(svg, axes, one.name, axes.at(*spot), taken)
    words(svg, _("wall average over plane average"), (LEFT + width_mm - 8) / 2, 69, TEXT_PT)
    offered = {True: _("offered"), False: ""}
    rows = tuple(
        (one.name, f"{one.wall_over_plane:.2f}", told.both(one.plane_avg_lx), one.said, offered[one.chosen])
        for one in choices
    )
    heads = (_("layout"), _("wall over plane"), _("plane average"), _("what it is"), "")
    return Picture(key, title, said, written(svg), Table(title, heads, rows))


def _off(point: ChartPoint, told: Told) -> float:
    return point.setback_m * (INCHES_IN_A_METER if told.feet else 1000)


def _ends(values: Sequence[float], least_span: float) -> tuple[float, float]:
    """Round ends of an axis that hold the values with a little room."""
    low, high = min(values), max(values)
    step = _step(max(high - low, least_span))
    first, last = floor(low / step) * step, ceil(high / step) * step
    return (first, last) if last > first else (first - step, last + step)


def _round_up(value: float) -> float:
    return max(1, ceil(value * 1.05 / (step := _step(max(value, 0.01))))) * step  # a dark room's axis has a length too


def _step(span: float) -> float:
    power = 10.0 ** floor(log10(span / 4))
    return next(part * power for part in (1, 2, 5, 10) if part * power >= span / 4 - 1e-12)


def _ticks(ends: tuple[float, float]) -> list[float]:
    step = _step(ends[1] - ends[0])
    return [at * step for at in range(ceil(ends[0] / step - 1e-9), floor(ends[1] / step + 1e-9) + 1)]


def _frame(svg: Element, axes: Axes, name: str) -> None:
    box = axes.box
    words(svg, name, box.left + width(name, HIGH) / 2 - LEFT + 2, box.top - 4, TEXT_PT)
    for value in _ticks(axes.y):
        _x, y = axes.at(axes.x[0], value)
        line(svg, "hatch", box.left, y, box.right, y)
        text = f"{value:g}"
        words(svg, text, box.left - 1.5 - width(text, HIGH) / 2, y, TEXT_PT)
    for value in _ticks(axes.x):
        x, _y = axes.at(value, axes.y[0])
        line(svg, "dimension", x, box.bottom, x, box.bottom + 1.2)
        words(svg, f"{value:g}", x, box.bottom + 1.8 + HIGH / 2, TEXT_PT)
    line(svg, "thing", box.left, box.bottom, box.right, box.bottom)


def _mode_lines(svg: Element, axes: Axes, lines: dict[str, list[tuple[float, float]]]) -> None:
    """A line and marks for each mode, its name level with its last point, at the right."""
    ends = []
    for at, spots in enumerate(lines.values()):
        drawn = [axes.at(*spot) for spot in sorted(spots)]
        _polyline(svg, drawn, DASHES[at % len(DASHES)])
        for spot in drawn:
            _mark(svg, spot, at)
        ends.append(drawn[-1])
    order = sorted(range(len(ends)), key=lambda each: (ends[each][1], each))
    levels = spread([ends[each][1] for each in order], [HIGH + 1] * len(order), axes.box.top - 3, axes.box.bottom + 2)
    for each, level in zip(order, levels, strict=True):
        name, (x, y) = list(lines)[each], ends[each]
        start = axes.box.right + 3.5
        line(svg, "leader", x + MARK + 0.4, y, start - 0.6, level)
        _mark(svg, (start + MARK, level), each)
        words(svg, name, start + 2 * MARK + 1.6 + width(name, HIGH) / 2, level, TEXT_PT)


def _polyline(svg: Element, points: Sequence[tuple[float, float]], dashes: str | None) -> None:
    if len(points) > 1:
        look: dict[str, str | float] = {"stroke": "#000", "stroke_width": 0.35, "fill": "none"}
        look |= {"stroke_dasharray": dashes} if dashes else {}
        add(svg, "polyline", points=" ".join(f"{number(x)},{number(y)}" for x, y in points), **look)


def _mark(svg: Element, at: tuple[float, float], kind: int, filled: bool = False) -> None:
    """A point: circle, square, triangle or diamond."""
    (x, y), half = at, MARK * 0.8
    look: dict[str, str | float] = {"stroke": "#000", "stroke_width": 0.3, "fill": "#000" if filled else "#fff"}
    shapes = (
        None,
        [(x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)],
        [(x, y - half * 1.2), (x + half * 1.1, y + half), (x - half * 1.1, y + half)],
        [(x, y - half * 1.3), (x + half * 1.3, y), (x, y + half * 1.3), (x - half * 1.3, y)],
    )
    points = shapes[kind % len(shapes)]
    if points is None:
        add(svg, "circle", cx=x, cy=y, r=half, **look)
    else:
        add(svg, "polygon", points=" ".join(f"{number(a)},{number(b)}" for a, b in points), **look)


def _chosen(svg: Element, axes: Axes, x: float, y: float) -> None:
    """A ring round its point and a pointer on the axis under it, so that it is found in gray."""
    at_x, at_y = axes.at(x, y)
    add(svg, "circle", kind="chosen", cx=at_x, cy=at_y, r=MARK * 1.9, stroke="#000", stroke_width=0.6, fill="none")
    add(svg, "circle", kind="chosen", cx=at_x, cy=at_y, r=MARK * 0.8, fill="#000")
    line(svg, "leader", at_x, at_y + MARK * 1.9, at_x, axes.box.bottom)
    foot = axes.box.bottom
    solid(svg, [(at_x, foot), (at_x - 1.2, foot - 2), (at_x + 1.2, foot - 2)], kind="chosen")


def _named(svg: Element, axes: Axes, name: str, at: tuple[float, float], taken: list[Box]) -> None:
    wide, (x, y) = width(name, HIGH), at
    side, off = MARK + 1 + wide / 2, MARK + 0.6 + HIGH / 2
    spots = [(side, 0), (0, -off), (-side, 0), (0, off), (side, -off), (-side, off), (side, off), (-side, -off)]
    boxes = [Box.around(x + dx, y + dy, wide, HIGH) for dx, dy in spots]
    held = [box for box in boxes if axes.box.left < box.left and box.right < axes.box.right + 7]
    box = next((each for each in held if each.clear_of(taken)), (held or boxes)[0])
    words(svg, name, *box.middle, TEXT_PT, bold=True)
    taken.append(box)


def _said(points: Sequence[ChartPoint], chosen: ChartPoint | None, told: Told) -> str:
    brightest = max(points, key=lambda point: point.wall_over_plane)
    said = _("Brightest walls: %(mode)s, %(off)s off the wall, at %(ratio)s of the plane.") % _facts(brightest, told)
    if chosen:
        said += " " + _("This layout: %(mode)s, %(off)s off the wall, %(ratio)s of the plane.") % _facts(chosen, told)
    return said


def _facts(point: ChartPoint, told: Told) -> dict[str, str]:
    return {"mode": point.mode, "off": told.setback(point.setback_m), "ratio": f"{point.wall_over_plane:.2f}"}


def _wall_table(points: Sequence[ChartPoint], chosen: ChartPoint | None, told: Told) -> Table:
    heads = (
        _("layout"), _("off the wall"), _("lights"), _("wall over plane"), _("worst wall strip"), _("plane average"),
    )  # fmt: skip
    rows = [_wall_row(point, point.mode, told) for point in points if point != chosen]
    if chosen:
        rows.insert(0, _wall_row(chosen, _("%(mode)s, this layout") % {"mode": chosen.mode}, told))
    return Table(_("Walls against setback"), heads, tuple(rows))


def _wall_row(point: ChartPoint, name: str, told: Told) -> tuple[str, ...]:
    return (
        name, told.setback(point.setback_m), str(point.lights or ""), f"{point.wall_over_plane:.2f}",
        told.both(point.worst_strip_lx), told.both(point.plane_avg_lx),
    )  # fmt: skip
