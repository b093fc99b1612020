"""What a person holds in place of what would be worked out: a line of marks, or one mark. Values only."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from layout.engine.lengths import Length
from layout.engine.marks import Kind


class Line(StrEnum):
    """Which lines: columns stand along the rows, rows across them."""

    COLUMN = "column"
    ROW = "row"


@dataclass(frozen=True, slots=True)
class Pin:
    """A column or a row held at a distance from the zero corner; the lines between are spread anew."""

    line: Line
    number: int  # 1 is the one nearest the zero corner
    at: Length


@dataclass(frozen=True, slots=True)
class Moved:
    """One mark off its line. number: which of its kind in its row, counted from the zero corner."""

    kind: Kind
    row: int
    number: int
    along: Length
    across: Length
