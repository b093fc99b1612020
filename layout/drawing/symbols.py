"""The symbols of a mark: told apart by shape alone, in black and white, at arm's length. Knows no room."""

from __future__ import annotations

from xml.etree.ElementTree import Element

from layout.drawing.ink import INK, PAPER, add, drawing, line, rectangle, solid, stroke, written
from layout.engine.marks import Kind

# Never drawn smaller than this (mm), however large the room: a 4 in light at 1:100 would be a dot of 1 mm.
LEAST = {Kind.LIGHT: 3.4, Kind.SPEAKER: 4.6, Kind.SUBWOOFER: 5.6}
CROSS = 0.7  # a light's cross reaches this far beyond its circle
PIN_OFF = 0.3  # a pin's head stands this far above the cross
PIN_SIZE = 1.5


def drawn_size(kind: Kind, to_scale: float) -> float:
    """The diameter or side a symbol is drawn with, given its cutout to scale."""
    return max(to_scale, LEAST[kind])


def symbol(parent: Element, kind: Kind, x: float, y: float, size: float) -> None:
    """A light is a circle with a center cross, a speaker a square round a circle, a subwoofer a double-line square."""
    half = size / 2
    if kind is Kind.LIGHT:
        add(parent, "circle", cx=x, cy=y, r=half, **(stroke("symbol") | {"fill": PAPER}))
        reach = half + CROSS
        line(parent, "dimension", x - reach, y, x + reach, y)
        line(parent, "dimension", x, y - reach, x, y + reach)
    elif kind is Kind.SPEAKER:
        rectangle(parent, "symbol", x - half, y - half, size, size, fill=PAPER)
        add(parent, "circle", cx=x, cy=y, r=half * 0.62, **stroke("symbol"))
        add(parent, "circle", kind="solid", cx=x, cy=y, r=0.35, fill=INK)
    else:
        rectangle(parent, "symbol", x - half, y - half, size, size, fill=PAPER)
        inner = size - 2.2
        rectangle(parent, "symbol", x - inner / 2, y - inner / 2, inner, inner)
        add(parent, "circle", kind="solid", cx=x, cy=y, r=0.35, fill=INK)


def pin(parent: Element, x: float, top: float) -> None:
    """The head of the pin that holds a mark, above its cross."""
    add(parent, "circle", kind="pin", cx=x, cy=top - PIN_OFF - PIN_SIZE / 2, r=PIN_SIZE / 2, fill=INK)


def symbol_svg(kind: Kind, title: str, key: str) -> str:
    """One symbol alone, for a legend or beside a number; 7 mm square."""
    svg = drawing(7, 7, key=key, title=title, description="")
    svg.set("role", "img")
    svg.set("aria-labelledby", f"{key}-title")
    symbol(svg, kind, 3.5, 3.5, 5.4)
    return written(svg)


def zero_corner(parent: Element, x: float, y: float, outward_x: int, outward_y: int) -> tuple[float, float]:
    """A filled triangle outside the corner at (x, y); gives the point where its 0 belongs."""
    leg = 7.0
    solid(parent, [(x, y), (x + outward_x * leg, y), (x, y + outward_y * leg)], kind="zero")
    return x + outward_x * leg * 0.29, y + outward_y * leg * 0.29
