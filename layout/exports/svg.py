"""A sheet as SVG, 1:1: the file's width and height are the room's own, one user unit an inch or a millimeter.

Each layer is a group by its name. y runs down in SVG, so the far wall is on top.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from xml.etree.ElementTree import Element, SubElement, tostring

from layout.drawing.ink import clean
from layout.engine.ceiling import Corner
from layout.engine.lengths import Distance, Unit
from layout.engine.marks import Axis
from layout.engine.room import RoomLayout
from layout.exports.shapes import (
    Circle,
    Layer,
    Ring,
    Rounded,
    Running,
    Shape,
    Sheet,
    Sizes,
    Stroke,
    Words,
    extent,
    shapes,
    title_lines,
)

INK = "#000"
WIDE = {Layer.WALLS, Layer.CEILING, Layer.LIGHTS, Layer.SPEAKERS}
FINEST = Decimal("0.0000001")  # a ten-millionth of an inch or millimeter


def svg_text(layout: RoomLayout, sheet: Sheet) -> str:
    """The whole sheet as the text of an .svg file. Raises ValueError when the datum was never measured."""
    drawn = tuple(shapes(layout, sheet))
    pen = _Pen(layout.inputs.unit, *extent(drawn), Sizes.of(layout.inputs.unit))
    return pen.sheet(drawn, title_lines(layout, sheet))


class _Pen:
    """Writes shapes in the unit of the sheet, turned so that y runs down."""

    def __init__(
        self, unit: Unit, left: Distance, door: Distance, right: Distance, far: Distance, size: Sizes
    ) -> None:
        self.unit, self.size = unit, size
        self.left, self.top = left - size.off, far + size.off
        self.wide, self.high = right - left + 2 * size.off, far - door + 2 * size.off

    def sheet(self, drawn: tuple[Shape, ...], lines: tuple[str, ...]) -> str:
        wide, high = self.number(self.wide), self.number(self.high)
        root = Element("svg", {
            "xmlns": "http://www.w3.org/2000/svg", "width": f"{wide}{self.unit.value}",
            "height": f"{high}{self.unit.value}", "viewBox": f"0 0 {wide} {high}", "role": "img",
        })  # fmt: skip
        SubElement(root, "title").text = clean(lines[0])
        SubElement(root, "desc").text = clean(" ".join(lines[1:]))
        narrow = self.number(self.size.number / 16)
        for layer in Layer:
            weight = self.number(self.size.number / 8) if layer in WIDE else narrow
            look = {"id": layer.value, "fill": "none", "stroke": INK, "stroke-width": weight}
            group = SubElement(root, "g", look)
            for shape in drawn:
                if shape.layer is layer:
                    self.draw(group, shape)
        return '<?xml version="1.0" encoding="UTF-8"?>\n' + tostring(root, encoding="unicode")

    def number(self, distance: Distance) -> str:
        exact = Fraction(distance.inches if self.unit is Unit.INCH else distance.mm)
        written = (Decimal(exact.numerator) / Decimal(exact.denominator)).quantize(FINEST)
        return f"{written:f}".rstrip("0").rstrip(".")

    def at(self, corner: Corner) -> tuple[str, str]:
        return self.number(corner.x - self.left), self.number(self.top - corner.y)

    def draw(self, group: Element, shape: Shape) -> None:
        match shape:
            case Ring():
                points = " ".join(",".join(self.at(corner)) for corner in shape.corners)
                SubElement(group, "polygon", {"points": points} | self.dashes(shape.dashed))
            case Stroke():
                self.line(group, shape.start, shape.end)
            case Circle():
                x, y = self.at(shape.center)
                look = {"cx": x, "cy": y, "r": self.number(shape.radius)} | self.dashes(shape.dashed)
                SubElement(group, "circle", look)
            case Rounded():
                x, y = self.at(Corner(shape.left - shape.away, shape.far + shape.away))
                wide, high = shape.right - shape.left + 2 * shape.away, shape.far - shape.door + 2 * shape.away
                SubElement(group, "rect", {
                    "x": x, "y": y, "width": self.number(wide), "height": self.number(high),
                    "rx": self.number(shape.away),
                } | self.dashes(True))  # fmt: skip
            case Words():
                anchor = "middle" if shape.centered else "start"
                self.words(group, shape.at, shape.text, self.number(shape.high), anchor, shape.centered)
            case Running():
                self.line(group, shape.feature, shape.at)
                self.running(group, shape)

    def dashes(self, dashed: bool) -> dict[str, str]:
        dash = self.number(self.size.number)
        return {"stroke-dasharray": f"{dash} {self.number(self.size.number / 2)}"} if dashed else {}

    def line(self, group: Element, start: Corner, end: Corner) -> None:
        (x1, y1), (x2, y2) = self.at(start), self.at(end)
        SubElement(group, "line", {"x1": x1, "y1": y1, "x2": x2, "y2": y2})

    def running(self, group: Element, shape: Running) -> None:
        """A running number past the end of its line. Along bottom and top it reads upward: near ones stay apart."""
        upright = shape.axis is Axis.LEFT_RIGHT
        back = shape.at.y < shape.feature.y if upright else shape.at.x < shape.feature.x
        gap = -self.size.number / 2 if back else self.size.number / 2
        at = Corner(shape.at.x, shape.at.y + gap) if upright else Corner(shape.at.x + gap, shape.at.y)
        self.words(group, at, shape.text, self.number(self.size.number), "end" if back else "start", True, upright)

    def words(
        self, group: Element, at: Corner, text: str, high: str, anchor: str, level: bool, upright: bool = False
    ) -> None:
        """anchor: which part of the words stands at `at`. level: their middle does, not their foot."""
        x, y = self.at(at)
        look = {
            "x": x, "y": y, "font-size": high, "font-family": "sans-serif", "fill": INK, "stroke": "none",
            "text-anchor": anchor,
        }  # fmt: skip
        if level:
            look["dominant-baseline"] = "middle"
        if upright:
            look["transform"] = f"rotate(-90 {x} {y})"
        SubElement(group, "text", look).text = clean(text)
