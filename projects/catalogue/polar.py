"""The curve of a light's intensity by direction, as SVG, and the same numbers as rows. Knows no file and no page.

Black lines on nothing, as attributes: a page's theme may win over them, and its content security policy has nothing to
drop. Straight down is down. Solid: the 0 and 180 half planes; dashed: 90 and 270, where the light differs all round.
"""

from dataclasses import dataclass
from math import cos, floor, log10, radians, sin
from xml.sax.saxutils import escape

import numpy as np

from layout.engine.light.values import Emitter

RADIUS = 140.0  # of the outermost ring
MARGIN = 24.0
WIDE = 2 * (RADIUS + MARGIN)
STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)  # of rings, in powers of ten
MOST_RINGS = 5
SPOKE_DEG = 30
ROW_DEG = 5
NOTHING = 1e-3  # of the brightest: what shines less above the horizontal isn't drawn
PLANES = ((0.0, 180.0, None), (90.0, 270.0, "7 4"))


@dataclass(frozen=True, slots=True)
class PolarRow:
    vertical_deg: float
    candela: tuple[float, ...]  # one for each plane of the table


@dataclass(frozen=True, slots=True)
class PolarTable:
    """planes: half planes in degrees; just 0 for a light that is the same all round."""

    planes: tuple[float, ...]
    rows: tuple[PolarRow, ...]


def polar_table(emitter: Emitter, step_deg: float = ROW_DEG) -> PolarTable:
    """Candelas by vertical angle, down to where the light ends."""
    planes = (0.0,) if emitter.axial else (0.0, 90.0, 180.0, 270.0)
    vertical = np.arange(0.0, _end(emitter) + step_deg / 2, step_deg)
    columns = [_along(emitter, vertical, plane) for plane in planes]
    rows = zip(vertical, zip(*columns, strict=True), strict=True)
    return PolarTable(planes, tuple(PolarRow(float(v), tuple(float(cd) for cd in each)) for v, each in rows))


def polar_svg(emitter: Emitter, *, title: str, words: str) -> str:
    """The drawing. title and words: what it is and what it shows, for who doesn't see it."""
    end = _end(emitter)
    vertical = np.arange(0.0, end + 0.5)
    drawn = PLANES[:1] if emitter.axial else PLANES
    curves = [
        (np.concatenate((-vertical[::-1], vertical[1:])),
         np.concatenate((_along(emitter, vertical, back)[::-1], _along(emitter, vertical, front)[1:])),
         dashes)
        for front, back, dashes in drawn
    ]  # fmt: skip
    step, rings = _rings(max(float(candela.max()) for _, candela, _ in curves))
    most = step * rings
    top = MARGIN + (RADIUS if end > 90 else 0.0)
    high = top + RADIUS + MARGIN
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="plan-drawing polar" viewBox="0 0 {WIDE:g} {high:g}" '
        f'width="{WIDE:g}" height="{high:g}" role="img" aria-labelledby="polar-title polar-words">',
        f'<title id="polar-title">{escape(title)}</title><desc id="polar-words">{escape(words)}</desc>',
        *_net(step, rings, top, end),
        *(_curve(angles, candela / most, top, dashes) for angles, candela, dashes in curves),
        "</svg>",
    ]
    return "".join(parts)


def _end(emitter: Emitter) -> float:
    """90, or 180 for a light that shines above the horizontal too."""
    up = np.arange(91.0, 181.0)
    above = max(float(_along(emitter, up, plane).max()) for plane in (0.0, 90.0, 180.0, 270.0))
    down = np.arange(0.0, 91.0)
    below = max(float(_along(emitter, down, plane).max()) for plane in (0.0, 90.0, 180.0, 270.0))
    return 180.0 if above > NOTHING * max(above, below) else 90.0


def _along(emitter: Emitter, vertical, plane: float):
    return emitter.candela(vertical, None if emitter.axial else np.full_like(vertical, plane))


def _rings(most: float) -> tuple[float, int]:
    """Candelas between two rings, and how many rings hold it all."""
    power = 10.0 ** floor(log10(most / MOST_RINGS))
    step = next(each * power for each in STEPS if most <= each * power * MOST_RINGS * (1 + 1e-9))
    return step, max(1, int(np.ceil(most / step - 1e-9)))


def _at(angle_deg: float, share: float, top: float) -> str:
    reach, turn = RADIUS * share, radians(angle_deg)
    return f"{WIDE / 2 + reach * sin(turn):.1f},{top + reach * cos(turn):.1f}"


def _net(step: float, rings: int, top: float, end: float):
    """Rings with their candelas, spokes with their degrees."""
    for ring in range(1, rings + 1):
        share = ring / rings
        if end > 90:
            yield (
                f'<circle cx="{WIDE / 2:g}" cy="{top:g}" r="{RADIUS * share:.1f}" fill="none" '
                'stroke="#000" stroke-width="0.4"/>'
            )
        else:
            r = f"{RADIUS * share:.1f}"
            yield (
                f'<path d="M{_at(-90, share, top)} A{r},{r} 0 0 0 {_at(90, share, top)}" fill="none" '
                'stroke="#000" stroke-width="0.4"/>'
            )
    for angle in range(-int(end), int(end) + 1, SPOKE_DEG):
        yield (
            f'<path d="M{_at(0, 0, top)} L{_at(angle, 1, top)}" stroke="#000" stroke-width="0.4" '
            f'stroke-dasharray="{"1 3" if angle else "none"}"/>'
        )
        if 0 < angle < 180:
            for side in (angle, -angle):
                x, y = _at(side, 1 + 11 / RADIUS, top).split(",")
                yield _text(x, float(y) + 4, f"{angle}°", "middle")
    for ring in range(1, rings + 1):  # above the horizontal, where a light in a ceiling has no curve
        x, _y = _at(90, ring / rings, top).split(",")
        yield _text(x, top - 5, f"{step * ring:g}", "end")


def _text(x, y, words, anchor):
    return (
        f'<text x="{float(x):.1f}" y="{y:.1f}" font-size="11" font-family="Inter, sans-serif" fill="#000" '
        f'text-anchor="{anchor}">{escape(words)}</text>'
    )


def _curve(angles, shares, top, dashes):
    points = " ".join(_at(float(angle), float(share), top) for angle, share in zip(angles, shares, strict=True))
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f'<polyline points="{points}" fill="none" stroke="#000" stroke-width="2"{dashed}/>'
