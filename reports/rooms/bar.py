"""The stages of a job's rooms as one bar: each as wide as it has rooms, filled as its tags are. Values in, SVG out.

It stands beside the same counts as tags with their links, which say all it shows.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate

from django.utils.translation import gettext as _

from layout.drawing.hatch import dot_rows, hatched_box
from layout.drawing.ink import INK, drawing, lines, patch, rectangle, words, written
from layout.drawing.text import MM_PER_POINT, Box, width
from reports.rooms.job_rows import Step

WIDE, HIGH = 76.0, 6.0  # mm
TYPE = 9.0  # points
APART = 1.3  # mm, between lines and dots


def bar(steps: Sequence[Step], key: str) -> str:
    """An svg element; empty without rooms."""
    together = sum(step.count for step in steps)
    if not together:
        return ""
    said = _("Rooms by stage: %(steps)s.") % {"steps": "; ".join(said_of(step) for step in steps)}
    svg = drawing(WIDE, HIGH, key=key, title=_("Rooms by stage"), description=said)
    svg.set("role", "img")
    svg.set("class", "plan-drawing stage-bar")
    ends = [0.3 + (WIDE - 0.6) * count / together for count in accumulate((step.count for step in steps), initial=0)]
    for step, left, right in zip(steps, ends, ends[1:], strict=False):
        _part(svg, step, Box(left, 0.3, right, HIGH - 0.3))
    return written(svg)


def said_of(step: Step) -> str:
    return _("%(number)s %(name)s %(count)s") % {"number": step.number, "name": step.name, "count": step.count}


def _part(svg, step: Step, box: Box) -> None:
    if step.pattern == "hatched":
        lines(svg, "hatch", hatched_box(box, APART))
    elif step.pattern == "dotted":
        lines(svg, "stand", dot_rows(box, APART))
    fill = INK if step.pattern == "full" else "none"
    rectangle(svg, "thing", box.left, box.top, box.right - box.left, box.bottom - box.top, fill=fill)
    text = str(step.number)
    wide = width(text, TYPE * MM_PER_POINT) + 1
    if wide + 0.6 < box.right - box.left:
        x, y = box.middle
        patch(svg, x - wide / 2, y - 1.7, wide, 3.4)
        words(svg, text, x, y, TYPE, bold=True)
