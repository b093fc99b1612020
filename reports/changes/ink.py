"""A signature drawn on a phone: its strokes, looked at and kept as an SVG path. Knows no page and no record.

What the phone sends is JSON: strokes, each a list of points [x, y], whole numbers within WIDE by HIGH.
"""

import json

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

WIDE, HIGH = 600, 200
MOST_STROKES = 200
MOST_POINTS = 5000


def path_of(text):
    """The strokes as one SVG path of whole numbers; empty for none. Raises ValidationError."""
    if not text:
        return ""
    try:
        strokes = json.loads(text)
        points = sum(len(stroke) for stroke in strokes)
        good = (
            isinstance(strokes, list)
            and len(strokes) <= MOST_STROKES
            and points <= MOST_POINTS
            and all(_is_point(point) for stroke in strokes for point in stroke)
        )
    except (ValueError, TypeError, RecursionError):
        good = False
    if not good:
        raise ValidationError(_("The signature could not be read. Clear it and sign again."), code="ink")
    return " ".join("M" + " L".join(f"{x} {y}" for x, y in _not_alone(stroke)) for stroke in strokes if stroke)


def _is_point(point):
    return (
        isinstance(point, list)
        and len(point) == 2
        and all(type(each) is int for each in point)
        and 0 <= point[0] <= WIDE
        and 0 <= point[1] <= HIGH
    )


def _not_alone(stroke):
    """A dot is drawn as a line to itself."""
    return stroke if len(stroke) > 1 else stroke * 2
