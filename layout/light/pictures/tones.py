"""The tones of a light picture: a scale of our own from dusk to lamplight, and the grays of print and of a view.

The scale is a curve in OKLab (Björn Ottosson, "A perceptual color space for image processing", 2020; its matrices from
memory, held by a test against CIELAB), cut into steps of equal length, so that equal steps look equally far apart.
Lightness only rises along it: a gray copy keeps the order.
"""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from math import cbrt, cos, hypot, radians, sin

Rgb = tuple[float, float, float]

# Lightness, chroma and hue (degrees) along the curve, evenly spaced: deep plum, clay, straw, paper.
_KNOTS = ((0.30, 0.075, 340.0), (0.50, 0.105, 15.0), (0.70, 0.110, 52.0), (0.86, 0.095, 84.0), (0.965, 0.055, 97.0))
_PIECES = 400
GRAY_LEAST, GRAY_MOST = 62.0, 100.0  # L* of the darkest and lightest print gray: black words stand on all of them
DARK_WORDS, LIGHT_WORDS = "#000000", "#ffffff"  # on a tone; written long, for a theme's ink changes with it


def scale(count: int) -> tuple[str, ...]:
    """So many tones from darkest to lightest, evenly apart to the eye, as #rrggbb. One alone is the middle one."""
    if count == 1:
        return (_at(0.5),)
    return tuple(_at(step / (count - 1)) for step in range(count))


def grays(count: int) -> tuple[str, ...]:
    """So many grays from darkest to white, evenly apart in L*, for paper."""
    span = GRAY_MOST - GRAY_LEAST
    return tuple(gray(GRAY_LEAST + span * (step / (count - 1) if count > 1 else 1)) for step in range(count))


def gray(lightness: float) -> str:
    """The gray of a CIE lightness L*, 0 to 100 (CIE 15: L* = 116 Y^(1/3) - 16)."""
    share = min(max(lightness, 0.0), 100.0)
    linear = ((share + 16) / 116) ** 3 if share > 8 else share * 27 / 24389
    return _hex((linear, linear, linear))


def lightness(luminance: float) -> float:
    """CIE L* of a luminance given as a share of white, 0 to 1."""
    share = min(max(luminance, 0.0), 1.0)
    return 116 * cbrt(share) - 16 if share > 216 / 24389 else share * 24389 / 27


def luminance(tone: str) -> float:
    """Relative luminance of #rrggbb, 0 to 1 (IEC 61966-2-1)."""
    red, green, blue = (_linear(int(tone[at : at + 2], 16) / 255) for at in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def words_on(tone: str) -> str:
    """Dark or light words, whichever stand out more on this tone."""
    ground = luminance(tone) + 0.05
    on_dark = (luminance(LIGHT_WORDS) + 0.05) / ground
    return LIGHT_WORDS if on_dark > ground / (luminance(DARK_WORDS) + 0.05) else DARK_WORDS


@cache
def _curve() -> tuple[tuple[float, Rgb], ...]:
    """(length along the curve from its start, OKLab) of many points; the lengths run from 0 to 1."""
    points = [_knot_at(step / _PIECES) for step in range(_PIECES + 1)]
    lengths = [0.0]
    for before, after in pairwise(points):
        lengths.append(lengths[-1] + hypot(*(b - a for a, b in zip(before, after, strict=True))))
    return tuple((length / lengths[-1], point) for length, point in zip(lengths, points, strict=True))


def _knot_at(share: float) -> Rgb:
    """OKLab at a share of the way through the knots, by a Catmull-Rom curve through their own L, a, b."""
    knots = [(light, chroma * cos(radians(hue)), chroma * sin(radians(hue))) for light, chroma, hue in _KNOTS]
    place = share * (len(knots) - 1)
    at = min(int(place), len(knots) - 2)
    part = place - at
    first, last = knots[0], knots[-1]
    before = knots[at - 1] if at else _reflected(knots[1], first)
    after = knots[at + 2] if at + 2 < len(knots) else _reflected(knots[-2], last)
    light, green_red, blue_yellow = (
        _through(*four, part) for four in zip(before, knots[at], knots[at + 1], after, strict=True)
    )
    return light, green_red, blue_yellow


def _reflected(inner: Rgb, end: Rgb) -> Rgb:
    return 2 * end[0] - inner[0], 2 * end[1] - inner[1], 2 * end[2] - inner[2]


def _through(before: float, start: float, end: float, after: float, part: float) -> float:
    slope_start, slope_end = (end - before) / 2, (after - start) / 2
    square, cube = part**2, part**3
    return (
        (2 * cube - 3 * square + 1) * start + (cube - 2 * square + part) * slope_start
        + (3 * square - 2 * cube) * end + (cube - square) * slope_end
    )  # fmt: skip


def _at(share: float) -> str:
    curve = _curve()
    for (low, start), (high, end) in pairwise(curve):
        if share <= high:
            part = (share - low) / (high - low)
            light, green_red, blue_yellow = (a + (b - a) * part for a, b in zip(start, end, strict=True))
            return _hex(_linear_rgb(light, green_red, blue_yellow))
    return _hex(_linear_rgb(*curve[-1][1]))


def _linear_rgb(light: float, a: float, b: float) -> Rgb:
    long = (light + 0.3963377774 * a + 0.2158037573 * b) ** 3
    medium = (light - 0.1055613458 * a - 0.0638541728 * b) ** 3
    short = (light - 0.0894841775 * a - 1.2914855480 * b) ** 3
    return (
        4.0767416621 * long - 3.3077115913 * medium + 0.2309699292 * short,
        -1.2684380046 * long + 2.6097574011 * medium - 0.3413193965 * short,
        -0.0041960863 * long - 0.7034186147 * medium + 1.7076147010 * short,
    )


def _hex(linear: Rgb) -> str:
    return "#" + "".join(f"{round(255 * _encoded(min(max(part, 0.0), 1.0))):02x}" for part in linear)


def _encoded(part: float) -> float:
    return 12.92 * part if part <= 0.0031308 else 1.055 * part ** (1 / 2.4) - 0.055


def _linear(part: float) -> float:
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
