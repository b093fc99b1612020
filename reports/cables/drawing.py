"""A room's cable routes over its plan, black and white: lines told apart by dashes and letters. Knows no records.

The plan as everywhere: the door wall at the bottom, left at left, read as if looking down through the ceiling.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from xml.etree.ElementTree import Element

from layout.drawing.ink import INK, PAPER, add, drawing, number, rectangle, solid, stroke, words, written
from layout.drawing.text import MM_PER_POINT, Box, width
from layout.engine.lengths import Distance
from layout.engine.marks import Axis, Kind
from layout.engine.wiring.chain import Point
from layout.engine.wiring.routes import Polyline
from layout.engine.wiring.values import Area, Framing, InTheWay, RunKey, RunKind

WIDE, HIGH, MARGIN = 180.0, 128.0, 10.0
WALL_OFF = 1.7  # the wall's line stands so far outside the framing, clear of what runs along it, mm
LANE = 0.9  # mm between lines that share a stretch of framing
LABEL_PT, MARK_PT = 6.5, 7.5
LIGHT, SPEAKER = 1.5, 1.7  # half of what a mark is drawn with, mm
LABEL_HIGH = LABEL_PT * MM_PER_POINT
# One line for each zone in turn; a zone's letter stands on its first run besides.
DASHES = (None, "3 1", "4 0.9 0.6 0.9", "1 0.8", "5 0.8 1.4 0.8", "2 0.6 0.4 0.6 0.4 0.6")
SPEAKER_DASH = "0.3 0.9"
HEAVY, USUAL, FINE = 0.8, 0.4, 0.3  # homeruns, lights, speakers: the width in mm
SPEAKERS = (RunKind.SPEAKER, RunKind.SPEAKER_LINE, RunKind.CONTROL_FEED)


@dataclass(frozen=True, slots=True)
class PlanOutlet:
    """A box on a wall: its name and where it is."""

    name: str
    at: Point


@dataclass(frozen=True, slots=True)
class PlanMark:
    ident: str
    kind: Kind
    at: Point


@dataclass(frozen=True, slots=True)
class RoutePlan:
    """What is drawn. extent: the ceiling, framing to framing. numbers: each run's number in the schedule."""

    extent: Area
    marks: Sequence[PlanMark]
    outlets: Sequence[PlanOutlet]
    routes: Sequence[Polyline]
    numbers: Mapping[RunKey, str]
    framing: Sequence[Framing] = ()
    in_the_way: Sequence[InTheWay] = ()
    title: str = ""
    description: str = ""
    key: str = "routes"


@dataclass(frozen=True, slots=True)
class Look:
    """How one group of runs is drawn, for the legend."""

    name: str  # a zone's letter; empty for homeruns and for speakers
    kind: str  # zone, homerun, speaker
    dash: str | None
    weight: float


@dataclass(frozen=True, slots=True)
class _Sheet:
    scale: float
    left: float
    bottom: float
    wide: float
    high: float

    def at(self, point: Point) -> tuple[float, float]:
        return self.left + _mm(point.x) * self.scale, self.bottom - _mm(point.y) * self.scale


def _mm(distance: Distance) -> float:
    return float(distance.nm) / 1e6


def looks_of(routes: Sequence[Polyline]) -> tuple[Look, ...]:
    """The legend: each zone's line, then the homeruns' and the speakers'."""
    zones = dict.fromkeys(each.zone for each in routes if each.kind not in (*SPEAKERS, RunKind.HOMERUN))
    looks = [Look(zone, "zone", DASHES[place % len(DASHES)], USUAL) for place, zone in enumerate(zones)]
    if any(each.kind is RunKind.HOMERUN for each in routes):
        looks.append(Look("", "homerun", None, HEAVY))
    if any(each.kind in SPEAKERS for each in routes):
        looks.append(Look("", "speaker", SPEAKER_DASH, FINE))
    return tuple(looks)


def routes_svg(plan: RoutePlan) -> str:
    """The plan as one svg element, its viewBox in millimeters."""
    sheet = _sheet(plan)
    svg = drawing(sheet.wide, sheet.high, key=plan.key, title=plan.title, description=plan.description)
    _ceiling(svg, plan, sheet)
    looks = {(look.kind, look.name): look for look in looks_of(plan.routes)}
    taken = [_around(mark, sheet) for mark in plan.marks]
    taken += [_id_box(mark, *sheet.at(mark.at)) for mark in plan.marks]
    drawn = [(route, _line(svg, route, _look(route, looks), sheet)) for route in plan.routes]
    for mark in plan.marks:
        _mark(svg, mark, sheet)
    taken += [_outlet(svg, outlet, sheet) for outlet in plan.outlets]
    for route, points in drawn:
        _label(svg, plan.numbers.get(route.key, route.label), points, taken)
    return written(svg)


def look_svg(look: Look, title: str, key: str) -> str:
    """A piece of one line, for the legend."""
    svg = drawing(18, 4, key=key, title=title, description="")
    svg.set("role", "img")
    svg.set("aria-labelledby", f"{key}-title")
    add(svg, "path", d="M1 2L17 2", **_pen(look))
    return written(svg)


def _pen(look: Look) -> dict[str, str | float]:
    pen: dict[str, str | float] = {
        "kind": f"route {look.kind}", "stroke": INK, "stroke_width": look.weight, "fill": "none",
        "stroke_linejoin": "round",
    }  # fmt: skip
    return pen | ({"stroke_dasharray": look.dash} if look.dash else {})


def _sheet(plan: RoutePlan) -> _Sheet:
    """The ceiling and every box, also one outside the room, to scale on the sheet."""
    points = [outlet.at for outlet in plan.outlets] + [point for route in plan.routes for point in route.points]
    xs = [_mm(plan.extent.left), _mm(plan.extent.right), *(_mm(point.x) for point in points)]
    ys = [_mm(plan.extent.door), _mm(plan.extent.far), *(_mm(point.y) for point in points)]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    scale = min((WIDE - 2 * MARGIN) / max(wide, 1), (HIGH - 2 * MARGIN) / max(high, 1))
    left, bottom = MARGIN - min(xs) * scale, MARGIN + max(ys) * scale
    return _Sheet(scale, left, bottom, wide * scale + 2 * MARGIN, high * scale + 2 * MARGIN)


def _ceiling(svg: Element, plan: RoutePlan, sheet: _Sheet) -> None:
    """The walls, the framing that cable crosses, and what it goes around."""
    area = plan.extent
    left, bottom = sheet.at(Point(area.left.exact(), area.door.exact()))
    right, top = sheet.at(Point(area.right.exact(), area.far.exact()))
    for framing in plan.framing:
        _members(svg, framing, area, sheet)
    for thing in plan.in_the_way:
        x1, y1 = sheet.at(Point(thing.area.left.exact(), thing.area.far.exact()))
        x2, y2 = sheet.at(Point(thing.area.right.exact(), thing.area.door.exact()))
        rectangle(svg, "thing", x1, y1, x2 - x1, y2 - y1, fill=PAPER)
        add(svg, "path", d=f"M{number(x1)} {number(y1)}L{number(x2)} {number(y2)}", **stroke("hatch"))
        words(svg, thing.name, (x1 + x2) / 2, (y1 + y2) / 2, LABEL_PT, kind="thing-name")
    rectangle(svg, "wall", left - WALL_OFF, top - WALL_OFF, right - left + 2 * WALL_OFF, bottom - top + 2 * WALL_OFF)


def _members(svg: Element, framing: Framing, area: Area, sheet: _Sheet) -> None:
    across = framing.runs is Axis.DOOR_FAR  # members that run door to far stand spaced left to right
    low, high = (area.left, area.right) if across else (area.door, area.far)
    first = (framing.first - low).nm % framing.spacing.nm
    places = [low + Distance(first) + framing.spacing * step for step in range(_steps(low, high, first, framing))]
    drawn = []
    for at in [*places, *framing.others]:
        if across:
            (x, y1), (_x, y2) = (
                sheet.at(Point(at.exact(), area.door.exact())),
                sheet.at(Point(at.exact(), area.far.exact())),
            )
            drawn.append(f"M{number(x)} {number(y1)}L{number(x)} {number(y2)}")
        else:
            (x1, y), (x2, _y) = (
                sheet.at(Point(area.left.exact(), at.exact())),
                sheet.at(Point(area.right.exact(), at.exact())),
            )
            drawn.append(f"M{number(x1)} {number(y)}L{number(x2)} {number(y)}")
    if drawn:
        add(svg, "path", d=" ".join(drawn), **stroke("framing"))


def _steps(low: Distance, high: Distance, first: object, framing: Framing) -> int:
    return max(0, int(((high - low).nm - first) // framing.spacing.nm) + 1)  # type: ignore[operator]


def _look(route: Polyline, looks: Mapping[tuple[str, str], Look]) -> Look:
    if route.kind is RunKind.HOMERUN:
        return looks["homerun", ""]
    return looks["speaker", ""] if route.kind in SPEAKERS else looks["zone", route.zone]


def _line(svg: Element, route: Polyline, look: Look, sheet: _Sheet) -> list[tuple[float, float]]:
    """The run, beside those that share its stretch; a homerun ends in an arrow to the panel."""
    aside = LANE * ((route.lane + 1) // 2) * (1 if route.lane % 2 else -1)
    points = [(x + aside, y + aside) for x, y in map(sheet.at, route.points)]
    drawn = "L".join(f"{number(x)} {number(y)}" for x, y in points)
    add(svg, "path", d=f"M{drawn}", **_pen(look))
    if route.kind is RunKind.HOMERUN:
        to_panel = "panel" in route.label.split("\N{EN DASH}")[-1]
        _arrow(svg, *(points[-2:] if to_panel else points[1::-1]))
    return points


def _arrow(svg: Element, before: tuple[float, float], tip: tuple[float, float]) -> None:
    dx, dy = tip[0] - before[0], tip[1] - before[1]
    long = max((dx * dx + dy * dy) ** 0.5, 0.01)
    dx, dy = dx / long, dy / long
    foot = tip[0] - dx * 4, tip[1] - dy * 4
    solid(svg, [tip, (foot[0] - dy * 1.5, foot[1] + dx * 1.5), (foot[0] + dy * 1.5, foot[1] - dx * 1.5)])


def _around(mark: PlanMark, sheet: _Sheet) -> Box:
    x, y = sheet.at(mark.at)
    return Box.around(x, y, 2 * SPEAKER, 2 * SPEAKER)


def _id_box(mark: PlanMark, x: float, y: float) -> Box:
    high = MARK_PT * MM_PER_POINT
    return Box.around(x, y - SPEAKER - high * 0.7, width(mark.ident, high), high)


def _mark(svg: Element, mark: PlanMark, sheet: _Sheet) -> None:
    """A light is a circle, a speaker a square, its ID above it."""
    x, y = sheet.at(mark.at)
    if mark.kind is Kind.LIGHT:
        add(svg, "circle", cx=x, cy=y, r=LIGHT, **(stroke("symbol") | {"fill": PAPER}))
    else:
        rectangle(svg, "symbol", x - SPEAKER, y - SPEAKER, 2 * SPEAKER, 2 * SPEAKER, fill=PAPER)
    box = _id_box(mark, x, y)
    words(svg, mark.ident, *box.middle, MARK_PT, bold=True, kind="mark-id")


def _outlet(svg: Element, outlet: PlanOutlet, sheet: _Sheet) -> Box:
    x, y = sheet.at(outlet.at)
    solid(svg, [(x - 1.6, y - 1.6), (x + 1.6, y - 1.6), (x + 1.6, y + 1.6), (x - 1.6, y + 1.6)], kind="outlet")
    high = MARK_PT * MM_PER_POINT
    long = width(outlet.name, high)
    middle = min(max(x, long / 2 + 0.5), sheet.wide - long / 2 - 0.5)
    box = Box.around(middle, y + (-4.6 if y < sheet.high / 2 else 4.6), long, high)  # outside the wall
    add(
        svg, "rect", kind="paper", x=box.left, y=box.top, width=long, height=high, fill=PAPER,
    )  # fmt: skip
    words(svg, outlet.name, *box.middle, MARK_PT, bold=True, kind="outlet-name")
    return box


def _label(svg: Element, text: str, points: Sequence[tuple[float, float]], taken: list[Box]) -> None:
    """The run's number on bare paper, on its longest leg where nothing else stands; else the table alone tells it."""
    long = width(text, LABEL_HIGH)
    legs = sorted(pairwise(points), key=lambda leg: -abs(leg[0][0] - leg[1][0]) - abs(leg[0][1] - leg[1][1]))
    for (x1, y1), (x2, y2) in legs:
        for part in (0.5, 0.35, 0.65, 0.2, 0.8):
            box = Box.around(x1 + (x2 - x1) * part, y1 + (y2 - y1) * part, long + 0.6, LABEL_HIGH + 0.5)
            if box.clear_of(taken, gap=0.2):
                taken.append(box)
                add(
                    svg, "rect", kind="paper", x=box.left, y=box.top, width=box.right - box.left,
                    height=box.bottom - box.top, fill=PAPER,
                )  # fmt: skip
                words(svg, text, *box.middle, LABEL_PT, kind="route-label")
                return
