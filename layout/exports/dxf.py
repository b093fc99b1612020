"""A sheet as DXF (the text form of release R2010, which most drawing programs read), 1:1 in inches or millimeters.

Source: DXF Reference, header variables $INSUNITS (1 inches, 4 millimeters) and $MEASUREMENT (0 English, 1 metric), from
memory. Exact positions become floats here, right to far below a millionth of an inch.
"""

from __future__ import annotations

import re
from io import StringIO
from math import pi, tan

import ezdxf
from ezdxf import units
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts import Modelspace

from layout.engine.ceiling import Corner
from layout.engine.lengths import Distance, Style, Tape, Unit
from layout.engine.marks import Axis
from layout.engine.room import RoomLayout
from layout.exports.shapes import Circle, Layer, Ring, Rounded, Running, Shape, Sheet, Sizes, Stroke, Words, shapes

DASHED = "HIDDEN-LINE"
WEIGHTS = {  # hundredths of a millimeter: edges wide, what isn't cut or seen narrow
    Layer.WALLS: 70, Layer.CEILING: 50, Layer.LIGHTS: 50, Layer.SPEAKERS: 50, Layer.FRAMING: 18, Layer.KEEP_OUT: 25,
    Layer.DIMENSIONS: 25, Layer.TEXT: 25,
}  # fmt: skip
BLACK_ON_WHITE = 7  # the color number that is black on a white sheet and white on a black screen
QUARTER_ARC = tan(pi / 8)  # a DXF bulge is the tangent of a quarter of the arc's angle
NOT_TEXT = re.compile("[\x00-\x1f\x7f\ud800-\udfff]+")  # a line break in a name would end the DXF group

# The same layout gives the same bytes: a fixed date and no random identifiers in the header
ezdxf.options.write_fixed_meta_data_for_testing = True


def dxf_bytes(layout: RoomLayout, sheet: Sheet) -> bytes:
    """The whole sheet as the bytes of a .dxf file. Raises ValueError when the datum was never measured."""
    unit = layout.inputs.unit
    drawing = _drawing(unit, sheet.tape)
    space = drawing.modelspace()
    for shape in shapes(layout, sheet):
        _draw(space, shape, unit)
    stream = StringIO()
    drawing.write(stream)
    return drawing.encode(stream.getvalue())


def _drawing(unit: Unit, tape: Tape) -> Drawing:
    drawing = ezdxf.new("R2010", units=units.IN if unit is Unit.INCH else units.MM)
    drawing.header["$MEASUREMENT"] = 0 if unit is Unit.INCH else 1
    drawing.header["$LUNITS"] = 4 if tape.style is Style.FEET_INCHES else 5 if tape.style is Style.INCHES else 2
    dash = _number(Sizes.of(unit).number, unit)
    drawing.linetypes.add(DASHED, [dash * 1.5, dash, -dash / 2], description="_ _ _ _")
    for layer in Layer:
        drawing.layers.add(layer.value, color=BLACK_ON_WHITE, lineweight=WEIGHTS[layer])
    return drawing


def _number(distance: Distance, unit: Unit) -> float:
    return float(distance.inches if unit is Unit.INCH else distance.mm)


def _point(corner: Corner, unit: Unit) -> tuple[float, float]:
    return _number(corner.x, unit), _number(corner.y, unit)


def plain(text: str) -> str:
    """Text without what DXF would read as its own: line breaks, and the percent signs that begin a code."""
    return NOT_TEXT.sub(" ", text).replace("%%", "% %")


def _draw(space: Modelspace, shape: Shape, unit: Unit) -> None:
    look = {"layer": shape.layer.value}
    dashed = look | {"linetype": DASHED}
    match shape:
        case Ring():
            points = [_point(corner, unit) for corner in shape.corners]
            space.add_lwpolyline(points, close=True, dxfattribs=dashed if shape.dashed else look)
        case Stroke():
            space.add_line(_point(shape.start, unit), _point(shape.end, unit), dxfattribs=look)
        case Circle():
            attributes = dashed if shape.dashed else look
            space.add_circle(_point(shape.center, unit), _number(shape.radius, unit), dxfattribs=attributes)
        case Rounded():
            space.add_lwpolyline(_rounded(shape, unit), format="xyb", close=True, dxfattribs=dashed)
        case Words():
            text = space.add_text(plain(shape.text), height=_number(shape.high, unit), dxfattribs=look)
            align = TextEntityAlignment.MIDDLE_CENTER if shape.centered else TextEntityAlignment.LEFT
            text.set_placement(_point(shape.at, unit), align=align)
        case Running():
            _running(space, shape, unit)


def _rounded(shape: Rounded, unit: Unit) -> list[tuple[float, float, float]]:
    """Counterclockwise from the door side; an arc follows every second point."""
    left, door, right, far, r = (
        _number(side, unit) for side in (shape.left, shape.door, shape.right, shape.far, shape.away)
    )
    return [
        (left, door - r, 0), (right, door - r, QUARTER_ARC), (right + r, door, 0), (right + r, far, QUARTER_ARC),
        (right, far + r, 0), (left, far + r, QUARTER_ARC), (left - r, far, 0), (left - r, door, QUARTER_ARC),
    ]  # fmt: skip


def _running(space: Modelspace, shape: Running, unit: Unit) -> None:
    """An ordinate dimension: its number is the printed one, its points are exact."""
    (fx, fy), (x, y) = _point(shape.feature, unit), _point(shape.at, unit)
    high = _number(Sizes.of(unit).number, unit)
    add = space.add_ordinate_x_dim if shape.axis is Axis.LEFT_RIGHT else space.add_ordinate_y_dim
    dimension = add(
        feature_location=(fx, fy),
        offset=(x - fx, y - fy),
        origin=_point(shape.origin, unit),
        text=plain(shape.text),
        override={"dimtxt": high, "dimexo": high / 2, "dimgap": high / 4, "dimasz": high},
        dxfattribs={"layer": shape.layer.value},
    )
    dimension.render()
