"""What the page of a room's furniture shows: its plan, each piece with its marks, and what no longer agrees.

No query of its own.
"""

from dataclasses import dataclass

from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _

from layout.drawing.plan import plan_svg
from layout.engine.lengths import ZERO
from layout.furniture.drawn import with_furniture
from layout.furniture.places import marks_on_plan, near, no_longer_agree
from layout.plans import plan_of


@dataclass(frozen=True, slots=True)
class Row:
    """A mark that no longer stands to a piece as it did, in words."""

    ident: str
    was: str
    now: str


@dataclass(frozen=True, slots=True)
class PieceLine:
    """near: marks of the layout shown that are laid out for it. rows: what no longer agrees with the revision."""

    piece: object
    near: tuple[str, ...]
    kept: object = None
    rows: tuple[Row, ...] = ()
    left: bool = False  # somebody said to leave the marks where they are

    @property
    def asks(self):
        return bool(self.rows) and not self.left


def lines_of(pieces, kept, revision, layout, tape) -> list[PieceLine]:
    """layout: the revision's own, or the draft's where nothing is issued; None: nothing can be laid out."""
    marks = marks_on_plan(layout) if layout else {}
    had = {one.piece_id: one for one in kept}
    found = []
    for piece in pieces:
        before = had.get(piece.pk)
        rows = _rows(no_longer_agree(before, piece, marks, tape), tape) if revision and layout else ()
        left = revision is not None and piece.left_for == revision.number
        found.append(PieceLine(piece, tuple(near(piece, marks, piece.reach)), before, tuple(rows), left))
    return found


def _rows(stands, tape):
    for one in stands:
        yield Row(one.ident, place_words(one.was, tape), place_words(one.now, tape))


def place_words(off, tape):
    """To the right and away from the door, from a piece's middle; "" where the mark isn't near it."""
    if off is None:
        return ""
    x, y = off
    words = []
    for far, ahead, back in ((x, _("%s right"), _("%s left")), (y, _("%s farther in"), _("%s nearer the door"))):
        if tape.rounded(far) != ZERO:
            words.append((ahead if far > ZERO else back) % tape.show(abs(far)))
    return _("from its middle: %s") % ", ".join(words) if words else _("over its middle")


def furniture_svg(layout, room, pieces, tape):
    words = _("Pieces of furniture: %(pieces)s. Marks: %(marks)s.")
    told = {"pieces": len(pieces), "marks": len(layout.arrangement.marks)}
    plan = plan_of(layout, room, tape, title=_("Furniture in %s") % room.name, description=words % told, key="set")
    return mark_safe(plan_svg(with_furniture(plan, layout, pieces), interactive=False))
