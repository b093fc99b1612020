"""How speakers' circles overlap, named as the trade names it, with its numbers. From places on the plan to words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import sqrt

from django.utils.translation import gettext as _

from layout.engine.sound.coverage import pattern
from layout.sound.pictures.values import length

ALIKE_M = 0.05  # places nearer than this along an axis are on one line
REGULAR = 0.05  # rows this near to their grid's own pitch make one whose coverage is told
TOUCH = 0.02  # of a diameter: circles whose edges meet


@dataclass(frozen=True, slots=True)
class Overlap:
    """kind: square or hex. spacing_over_diameter: along a row. words: its name and numbers; None where no grid is."""

    kind: str
    spacing_over_diameter: float
    row_over_diameter: float | None
    name: str
    words: str


def overlap_of(places: Sequence[tuple[float, float]], diameter_m: float, tape) -> Overlap | None:
    """None: fewer than two speakers, or no regular rows."""
    rows = _rows(places)
    gaps = [right - left for row in rows.values() for left, right in pairwise(row)]
    if not gaps:
        return None
    spacing, lines = max(gaps), sorted(rows)
    pitch = max((far - near for near, far in pairwise(lines)), default=None)
    hexagonal = _staggered(rows, spacing)
    kind = "hex" if hexagonal else "square"
    over = spacing / diameter_m
    name = _name(kind, max(over, (pitch or 0) / diameter_m * (1 / (sqrt(3) / 2) if hexagonal else 1)))
    said = _("%(name)s: %(spacing)s apart, %(over)s of a circle.") % {
        "name": name, "spacing": length(spacing, tape), "over": f"{over:.2f}",
    }  # fmt: skip
    if pitch is not None:
        said += " " + _("Rows stand %(pitch)s apart.") % {"pitch": length(pitch, tape)}
    regular = spacing * (sqrt(3) / 2 if hexagonal else 1)
    if pitch is not None and abs(pitch - regular) < REGULAR * regular:
        said += " " + _("An endless %(kind)s grid so far apart covers %(covered)s.") % {
            "kind": _("hexagonal") if hexagonal else _("square"), "covered": f"{pattern(kind, over).covered:.0%}",
        }  # fmt: skip
    return Overlap(kind, over, pitch / diameter_m if pitch else None, name, said)


def _rows(places):
    """By y, the x of each speaker on that line, ascending."""
    rows: dict[float, list[float]] = {}
    for x, y in sorted(places, key=lambda place: (place[1], place[0])):
        line = next((known for known in rows if abs(known - y) < ALIKE_M), y)
        rows.setdefault(line, []).append(x)
    return {line: sorted(row) for line, row in rows.items()}


def _staggered(rows, spacing):
    """Whether each row is half a spacing off the one before."""
    lines = [rows[line] for line in sorted(rows)]
    offsets = [abs((two[0] - one[0]) % spacing - spacing / 2) < ALIKE_M for one, two in pairwise(lines)]
    return bool(offsets) and all(offsets)


def _name(kind, over):
    """Spacing over diameter where 100 % is first covered: 1 / sqrt 2 square, sqrt 3 / 2 hexagonal (geometry)."""
    least = sqrt(3) / 2 if kind == "hex" else 1 / sqrt(2)
    if over > 1 + TOUCH:
        return _("Circles apart")
    if over > 1 - TOUCH:
        return _("Edge to edge")
    if over > least + TOUCH / 2:
        return _("Less than minimum overlap")
    if over > 0.5 + TOUCH:
        return _("Minimum overlap")
    return _("Full overlap, edge to center")
