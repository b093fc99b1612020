"""What an LM-63 file says by the signs of its opening's width, length and height.

To 1995 a negative number is a diameter or the direction an ellipse is drawn along (a published table of the 1995
shapes, seen). From 2002 two negative numbers say that the opening is round in their plane (a reader of the 2019
edition's Table 1, seen). Files of 2002 that still write a circle the old way are about, and are read as it.
"""

from __future__ import annotations

from layout.engine.light.values import Opening

POINT = "point"
RECTANGLE, BOX = "rectangle", "box"
CIRCLE, ELLIPSE = "circle", "ellipse"
SPHERE, ELLIPSOID = "sphere", "ellipsoid"
CYLINDER = "upright cylinder"
LYING_ALONG, LYING_ACROSS = "cylinder lying along the 0-180 plane", "cylinder lying across the 0-180 plane"
UPRIGHT_CIRCLE = "upright circle"
OTHER = "rounded"


def opening_of(size: tuple[float, float, float], edition: int) -> tuple[str, Opening]:
    """The shape's name and the opening of signed width, length and height, meters."""
    width, length, height = (abs(number) for number in size)
    shape = _shape("".join("-" if number < 0 else "+" if number else "0" for number in size), edition)
    if shape in (CIRCLE, SPHERE, CYLINDER) and not (width and length):  # one diameter stands for both
        width = length = max(width, length)
    if shape == SPHERE:
        height = width
    if shape == LYING_ALONG:
        width = max(width, height)
    if shape == LYING_ACROSS:
        length = max(length, height)
    if shape in (CIRCLE, CYLINDER, ELLIPSE) and width != length:
        shape = ELLIPSE
    round_below = shape in (CIRCLE, ELLIPSE, SPHERE, ELLIPSOID, CYLINDER)
    return shape, Opening(width, length, height, round_below)


def _shape(signs: str, edition: int) -> str:
    """By the signs of width, length and height."""
    early = {
        "-0-": SPHERE,
        "-+0": ELLIPSE,
        "+-0": ELLIPSE,
        "-++": ELLIPSE,
        "+-+": ELLIPSE,
        "-+-": ELLIPSOID,
        "+--": ELLIPSOID,
    }
    late = {"-0-": UPRIGHT_CIRCLE, "0--": UPRIGHT_CIRCLE, "-+-": LYING_ALONG, "+--": LYING_ACROSS}
    always = {
        "000": POINT,
        "++0": RECTANGLE,
        "+++": BOX,
        "-00": CIRCLE,
        "0-0": CIRCLE,
        "--0": CIRCLE,
        "-0+": CYLINDER,
        "--+": CYLINDER,
        "---": ELLIPSOID,
        "0+-": LYING_ALONG,
        "+0-": LYING_ACROSS,
    }
    told = always.get(signs) or (early if edition <= 1995 else late).get(signs)
    return told or (OTHER if "-" in signs else RECTANGLE)
