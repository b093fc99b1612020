"""What a line of the sum column is, and the words a room has for its walls and numbers. No geometry, no layout."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from layout.engine.lengths import Distance, Length, Style, Tape, as_typed
from layout.engine.marks import Axis, Side

COMMON = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Line:
    """One line. field: the form field that is edited in place. rule and source open under it."""

    key: str
    sign: str
    what: str
    number: str = ""
    note: str = ""
    field: str = ""
    total: bool = False
    tone: str = ""  # ok, warn or bad, always beside a word
    rule: str = ""
    source: str = ""
    ask: str = ""  # the question a page answers elsewhere; the template leads there
    drawn: str = ""  # the dimension on the plan that shows this number, where it has another key


@dataclass(frozen=True, slots=True)
class Column:
    title: str
    lines: tuple[Line, ...]


class Words:
    """The room's own words, for lines and messages."""

    def __init__(self, room, tape: Tape, sizes, *, aperture=None, height=None):
        self.room, self.tape, self.sizes = room, tape, sizes
        self.aperture, self.height = aperture, height

    def show(self, distance: Distance):
        return self.tape.show(distance, mark=False)

    def exact(self, distance: Distance):
        """A number that is added or taken off, never rounded: the column has to add up. ≈ where no tape shows it."""
        tape = self.tape if self.tape.style is Style.MM else Tape(self.tape.style, 64)
        if tape.rounded(distance) == distance:
            return tape.show(distance, mark=False)
        millimeters = as_typed(distance, tape) if isinstance(distance, Length) else ""
        return millimeters.removesuffix(" mm") if tape.style is Style.MM and millimeters else f"≈ {self.show(distance)}"

    def wall(self, side: Side):
        return self.room.wall_name(side)

    def way(self, axis: Axis):
        low, high = axis.sides
        return _("%(start)s to %(end)s") % {"start": self.wall(low), "end": self.wall(high)}
