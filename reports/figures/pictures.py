"""Small pictures of a figure, from its own inputs and results. Numbers for an SVG; knows no page and no rule."""

from dataclasses import dataclass

WIDE, HIGH, EDGE = 320.0, 120.0, 10.0


@dataclass(frozen=True, slots=True)
class Box:
    """kind names its look: framing, ceiling, tile, cut, joist, hole."""

    kind: str
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Picture:
    boxes: tuple[Box, ...]
    height: float
    said: str


def picture_of(figure, given, found):
    """The picture of a figure, or None where a picture would tell nothing."""
    draw = PICTURES.get(figure.name)
    return draw({name: float(value) for name, value in given.items()}, found) if draw else None


def _net(given, found):
    scale = min((WIDE - 2 * EDGE) / given["length"], 200 / given["width"])
    wide, high = given["length"] * scale, given["width"] * scale
    left, top = EDGE + given.get("left", 0) * scale, EDGE + given.get("top", 0) * scale
    ceiling = Box("ceiling", left, top, found["length"] * scale, found["width"] * scale)
    return Picture(
        (Box("framing", EDGE, EDGE, wide, high), ceiling),
        high + 2 * EDGE,
        "The ceiling inside its framing, near wall below.",
    )


def _tiles(given, found):
    scale = (WIDE - 2 * EDGE) / given["net"]
    widths = [found["border"], *[given["tile"]] * found["full_tiles"], found["border"]]
    if not found["full_tiles"]:
        widths = [found["border"]]
    if len(widths) > 100:
        return None
    tiles, at = [], EDGE
    for place, width in enumerate(widths):
        if width:
            cut = place in (0, len(widths) - 1) and width != given["tile"]
            tiles.append(Box("cut" if cut else "tile", at, EDGE, width * scale, 40))
        at += width * scale
    return Picture(tuple(tiles), 40 + 2 * EDGE, "One row of tiles, wall to wall; cut ones hatched.")


def _bay(given, found):
    scale = (WIDE - 2 * EDGE) / (given["spacing"] + given["member_width"])
    joist, middle = given["member_width"] * scale, WIDE / 2
    hole, travel = given["cutout"] * scale, max(found["travel"], 0) * scale
    return Picture(
        (
            Box("joist", EDGE, EDGE, joist, 80),
            Box("joist", WIDE - EDGE - joist, EDGE, joist, 80),
            Box("reach", middle - hole / 2 - travel, 45, hole + 2 * travel, 10),
            Box("hole", middle - hole / 2, 40, hole, 20),
        ),
        80 + 2 * EDGE,
        "Two joists, the hole in the middle of its bay, and how far it can go.",
    )


PICTURES = {"stack.net": _net, "tile.border": _tiles, "bay.travel": _bay}
