"""The light report of a room on screen and on paper: what was computed, from what, and how far to trust it.

Knows values only: the room's light arrives as its page's values and as pictures in their print form.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from layout.drawing.picture import Picture
from layout.light.page import LightPage
from reports.documents.head import Head


@dataclass(frozen=True, slots=True)
class ZoneRow:
    """Lights switched together. source: where their light is known from; percent: the level they are shown at."""

    letter: str
    count: int
    type_name: str
    source: str
    percent: int


@dataclass(frozen=True, slots=True)
class LightPaper:
    """A light report ready to be drawn.

    stands_on: the layout in a sentence. asked_by: whose level the room asks. size, height, plane: as the shop's tape
    says them. surfaces: (name, percent given back). chart: walls against setback, where worked out, and its words.
    limits: where the model stops being true.
    """

    head: Head
    page: LightPage
    stands_on: str
    asked_by: str
    size: str
    height: str
    plane: str
    surfaces: tuple[tuple[str, int], ...]
    zones: tuple[ZoneRow, ...]
    plan: Picture
    walls: tuple[Picture, ...]
    view: Picture
    limits: Sequence[str]
    cautions: Sequence[str]
    others: tuple[Picture, ...] = ()  # tasks
    chart: Picture | None = None
    chart_said: str = ""

    @property
    def pictures(self) -> tuple[Picture, ...]:
        """All of them in order, for their tables."""
        return (self.plan, *self.others, *self.walls, self.view, *((self.chart,) if self.chart else ()))


def body(paper: LightPaper) -> str:
    """The report as a piece of HTML: a section for a page or for paper."""
    return render_to_string(
        "reports/light_report.html",
        {"head": paper.head, "title": _("Light report"), "paper": paper, "page": paper.page},
    )
