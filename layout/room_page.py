"""What a room's page shows: the plan, the sum column, what is broken. Put together from values; no query of its own."""

from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from layout.drawing.plan import plan_svg
from layout.drawing.values import plan_table
from layout.engine.lengths import LengthError
from layout.engine.marks import Axis
from layout.engine.pins import Line
from layout.engine.room import RoomLayout, lay_out
from layout.engine.rows.arrange import say
from layout.furniture.drawn import with_furniture
from layout.inputs import NotLaidOutYet, inputs_of
from layout.plans import natural_datum, plan_of
from layout.sums import Column, Words, columns, counts_against_wanted
from layout.switching.words import gone_in_words
from projects.catalogue.models import KindChoice
from projects.catalogue.tables import ceiling_systems
from projects.jobs.sizes import Squared, finished_size, framing_size, height_of, squared


@dataclass(frozen=True, slots=True)
class RoomPage:
    layout: RoomLayout | None
    columns: tuple[Column, ...] = ()
    svg: SafeString | str = ""
    table: tuple = ()
    datum: str = ""
    findings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    refused: str = ""  # why nothing can be laid out

    @property
    def boxes(self) -> set[str]:
        """The form's boxes that stand in the sum. What the others hold has to be sent along all the same."""
        return {line.field for column in self.columns for line in column.lines if line.field}


def room_page(room, draft, pieces=()) -> RoomPage:
    """Never raises for what a person typed: what can't be laid out says why. pieces: the room's furniture, drawn."""
    tape = room.job.tape
    cautions = tuple(_(caution) for caution in ceiling_systems()[room.ceiling_system].cautions)
    try:
        layout = lay_out(inputs_of(room, draft))
    except (LengthError, NotLaidOutYet) as refused:
        return RoomPage(None, refused=str(refused), cautions=cautions)
    sizes = {axis: (framing_size(room, axis), finished_size(room, axis)) for axis in Axis}
    words = Words(room, tape, sizes, aperture=draft.light_type.aperture, height=height_of(room))
    marks = layout.arrangement.marks
    description = _("%(marks)s marks; numbers run from the zero corner.") % {"marks": len(marks)}
    plan = plan_of(layout, room, tape, title=_("Ceiling plan of %s") % room.name, description=description)
    plan = with_furniture(plan, layout, pieces)
    return RoomPage(
        layout,
        columns(layout, words),
        mark_safe(plan_svg(plan)),
        plan_table(plan),
        natural_datum(layout).value,
        tuple(say(finding, tape) for finding in layout.arrangement.findings),
        (*_what_is_missing(room, layout, tape), *counts_against_wanted(layout, room), *gone_in_words(layout)),
        cautions,
    )


def _what_is_missing(room, layout, tape):
    found = squared(room)
    if found is Squared.NOT_TAPED:
        yield _("Not squared: tape both diagonals or a 3-4-5.")
    elif found is Squared.OUT:
        yield _("Out of square: keep the rows parallel to the zero wall. Readings say by how much.")
    if not layout.inputs.overhead.looked:
        yield _("Framing not checked: nobody has entered where the joists are. Do not fasten before looking.")
    if height_of(room) is None:
        yield _("Height not taped: wire drops are not counted.")
    for result in (layout.along, layout.across):
        if result.shortest is not None and result.shortest < result.datums.ceiling and result.measured:
            yield _(
                "The shortest reading, %(short)s, is %(by)s under the one centered on: check the outer holes there."
            ) % {
                "short": tape.show(result.shortest),
                "by": tape.show(result.datums.ceiling - result.shortest),
            }


def held_in_words(draft, tape):
    """The lines and the marks that a person holds, as they are read aloud."""
    pins, moved = draft.held()
    for pin in pins:
        words = _("column %(n)s at %(at)s") if pin.line is Line.COLUMN else _("row %(n)s at %(at)s")
        yield words % {"n": pin.number, "at": tape.show(pin.at)}
    for one in moved:
        yield _("%(what)s %(n)s of row %(row)s at %(along)s along, %(across)s across") % {
            "what": KindChoice(one.kind.value).label,
            "n": one.number,
            "row": one.row,
            "along": tape.show(one.along),
            "across": tape.show(one.across),
        }
