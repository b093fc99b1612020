"""A room's ceiling as files for other programs, full size: DXF and SVG. Knows no records and no request."""

from layout.exports.dxf import dxf_bytes
from layout.exports.shapes import Layer, Sheet
from layout.exports.svg import svg_text

__all__ = ["Layer", "Sheet", "dxf_bytes", "svg_text"]
