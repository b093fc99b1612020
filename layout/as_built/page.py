"""What the as-built page shows: every mark at every step, in numbers from the card's face, and the plan as it is."""

from dataclasses import dataclass, replace

from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _

from layout.as_built.models import Step
from layout.as_built.words import off_in_words
from layout.drawing.plan import plan_svg
from layout.plans import insets, natural_datum, plan_of


@dataclass(frozen=True, slots=True)
class Cell:
    """One mark at one step. off: how far from where it goes now, "" on the mark."""

    step: str
    entered: object = None
    stands: bool = False
    off: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    ident: str
    what: str
    along: str  # where it goes now, as printed
    across: str
    moved: str  # how far that is from the revision
    built_along: str
    built_across: str
    delta: str  # how far it was built from the revision
    cells: tuple[Cell, ...]

    @property
    def last(self):
        """What was entered last, at the farthest step: one, or none."""
        return [cell.entered for cell in self.cells if cell.entered][-1:]


def lines_of(now, layout, tape, datum=None):
    """One line a mark. datum: the face the numbers are from; none: the plan's own."""
    datum = datum or natural_datum(layout)
    inset = [insets(result, datum)[0] for result in (layout.along, layout.across)]
    return tuple(_line(one, inset, tape) for one in now.marks)


def _line(one, inset, tape):
    had = one.mark.along, one.mark.across
    goes, built = (
        [tape.show(at + by, mark=False) for at, by in zip(place, inset, strict=True)]
        for place in (one.place, one.built)
    )
    return Line(
        one.ident,
        one.mark.fixture_type.name,
        *goes,
        off_in_words(_apart(one.place, had), tape),
        *built,
        off_in_words(_apart(one.built, had), tape),
        tuple(_cell(one, step, tape) for step in Step.values),
    )


def _cell(one, step, tape):
    entered = one.steps.get(step)
    if entered is None:
        return Cell(step)
    stands = one.stands(step)
    return Cell(step, entered, stands, "" if stands else off_in_words(_apart(entered.place, one.place), tape))


def _apart(at, to):
    return tuple(one - other for one, other in zip(at, to, strict=True))


def as_marked(layout, places, *, struck=False):
    """The layout with marks elsewhere. places: by ID, along and across. struck: each is drawn with where it was."""
    marks = tuple(_put(mark, places.get(mark.id), struck) for mark in layout.arrangement.marks)
    return replace(layout, arrangement=replace(layout.arrangement, marks=marks))


def _put(mark, place, struck):
    had = mark.along, mark.across
    if place is None or place == had:
        return mark
    return replace(mark, along=place[0], across=place[1], moved_from=had if struck else mark.moved_from)


def in_groups(marks, place_of, tape):
    """[(A1–A4, how far off the revision)]: marks that are off alike, together. place_of: of a MarkNow."""
    groups: dict[str, list[str]] = {}
    for one in marks:
        off = off_in_words(_apart(place_of(one), (one.mark.along, one.mark.across)), tape)
        if off:
            groups.setdefault(off, []).append(one.ident)
    return [(idents, off) for off, idents in groups.items()]


def built_plan(now, layout, room, tape, *, datum=None, title=None, key="built"):
    """The plan with every mark where it was built, where the revision had it struck and open."""
    built = as_marked(layout, {one.ident: one.built for one in now.marks}, struck=True)
    return plan_of(built, room, tape, datum=datum, title=title or _("As built: %s") % room.name, key=key)


def built_svg(now, layout, room, tape, *, high_mm=120, **how):
    """high_mm: at most so high as drawn."""
    return mark_safe(plan_svg(built_plan(now, layout, room, tape, **how), height_mm=high_mm, interactive=False))
