"""SVG elements in the shop's line weights, black on white, with classes for a page's theme. Knows no room.

Every line carries its look as attributes, never as a style: a page's content security policy ignores styles, and a
class in the page's sheet still wins over an attribute.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from xml.etree.ElementTree import Element, SubElement, tostring

from layout.drawing.text import CAP_HEIGHT, MM_PER_POINT

NOT_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")

INK = "#000"
PAPER = "#fff"

# class: (stroke width in mm, dashes). Wide and narrow lines stand at least 2:1 apart (ISO 128-2, from memory).
LINES = {
    "wall": (0.7, None),
    "edge": (0.5, None),
    "symbol": (0.5, None),
    "dimension": (0.25, None),
    "reach": (0.13, "2.4 0.7 0.4 0.7"),
    "door": (0.25, None),
    "leader": (0.18, None),
    "framing": (0.18, "1.4 0.7"),
    "hatch": (0.13, None),
    "tile": (0.13, None),
    "thing": (0.35, None),
    "keep": (0.13, "0.5 0.6"),
    "part": (0.25, "3 0.8"),
    "housing": (0.18, None),
    "ghost": (0.25, "0.9 0.6"),
    "walked": (0.5, "2 1"),
    "furniture": (0.25, None),
    "stand": (0.3, "0.01 1.1"),
}


def clean(text: str) -> str:
    """The text without the characters XML can't hold."""
    return text if text.isprintable() else NOT_XML.sub("", text)  # the usual text at once


def number(value: float) -> str:
    written = f"{value:.2f}"
    return written.rstrip("0").rstrip(".") if written[-1] == "0" else written


def add(parent: Element, tag: str, **attributes: str | float) -> Element:
    """A child element; numbers are written in millimeters to 0.01, and `kind` stands for class."""
    element = SubElement(parent, tag)
    for name, value in attributes.items():
        called = "class" if name == "kind" else name.replace("_", "-")
        element.set(called, clean(value) if isinstance(value, str) else number(value))
    return element


def stroke(kind: str) -> dict[str, str | float]:
    weight, dashes = LINES[kind]
    look: dict[str, str | float] = {"kind": kind, "stroke": INK, "stroke_width": weight, "fill": "none"}
    return look | ({"stroke_dasharray": dashes} if dashes else {})


def line(parent: Element, kind: str, x1: float, y1: float, x2: float, y2: float) -> None:
    add(parent, "line", x1=x1, y1=y1, x2=x2, y2=y2, **stroke(kind))


def rectangle(
    parent: Element, kind: str, left: float, top: float, wide: float, high: float, fill: str = "none"
) -> None:
    add(parent, "rect", x=left, y=top, width=wide, height=high, **(stroke(kind) | {"fill": fill}))


def patch(parent: Element, left: float, top: float, wide: float, high: float) -> None:
    """Bare paper over what lies below, so that a line is broken where words stand."""
    add(parent, "rect", kind="paper", x=left, y=top, width=wide, height=high, fill=PAPER)


def lines(parent: Element, kind: str, segments: Iterable[tuple[tuple[float, float], tuple[float, float]]]) -> None:
    """Many lines of one look as one element."""
    drawn = " ".join(f"M{number(a)} {number(b)}L{number(c)} {number(d)}" for (a, b), (c, d) in segments)
    if drawn:
        ends = {"stroke_linecap": "round"} if kind == "stand" else {}
        add(parent, "path", d=drawn, **stroke(kind), **ends)


def shape(parent: Element, kind: str, points: Iterable[tuple[float, float]], fill: str = "none") -> None:
    """A closed outline."""
    drawn = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    add(parent, "polygon", points=drawn, **(stroke(kind) | {"fill": fill}))


def solid(parent: Element, points: Iterable[tuple[float, float]], kind: str = "solid") -> None:
    add(parent, "polygon", kind=kind, points=" ".join(f"{number(x)},{number(y)}" for x, y in points), fill=INK)


def words(
    parent: Element,
    text: str,
    x: float,
    y: float,
    points: float,
    *,
    bold: bool = False,
    level: bool = True,
    kind: str = "words",
    fill: str = INK,
) -> None:
    """Text centered on (x, y); not level, it reads from the bottom up. points: type size."""
    size = points * MM_PER_POINT
    down = size * CAP_HEIGHT / 2
    turn: dict[str, str | float] = {} if level else {"transform": f"rotate(-90 {number(x)} {number(y)})"}
    element = add(
        parent, "text", kind=kind, x=x, y=y + down, font_size=size, text_anchor="middle", fill=fill,
        font_family="Inter, sans-serif", font_weight="700" if bold else "400", **turn,
    )
    element.text = clean(text)


def drawing(wide: float, high: float, *, key: str, title: str, description: str) -> Element:
    """An svg element of this size in millimeters, named for those who can't see it."""
    svg = Element("svg")
    for name, value in {
        "xmlns": "http://www.w3.org/2000/svg",
        "viewBox": f"0 0 {number(wide)} {number(high)}",
        "width": f"{number(wide)}mm",
        "height": f"{number(high)}mm",
        "role": "group",
        "aria-labelledby": f"{key}-title {key}-words",
        "class": "plan-drawing",
    }.items():
        svg.set(name, clean(value))
    add(svg, "title", id=f"{key}-title").text = clean(title)
    add(svg, "desc", id=f"{key}-words").text = clean(description)
    return svg


def written(svg: Element) -> str:
    return tostring(svg, encoding="unicode", short_empty_elements=True)
