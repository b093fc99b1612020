"""What the editor answers to boxes that are typed or dragged: the plan drawn anew, its findings, where things stand.

Stores nothing. Never raises for what a person typed: what can't be laid out says why.
"""

from dataclasses import dataclass, field, replace

from django.utils.translation import gettext as _

from layout.drawing.frame import Frame, frame
from layout.drawing.plan import plan_svg
from layout.drawing.values import PlanDrawing
from layout.editor.forms import PlanForm, line_box, moved_box, with_twins
from layout.engine.lengths import Length, LengthError, Style, Unit, inches, mm
from layout.engine.marks import Axis, Kind
from layout.engine.pins import Line, Moved, Pin
from layout.engine.room import RoomLayout, lay_out
from layout.engine.rows.arrange import say
from layout.inputs import NotLaidOutYet, inputs_of
from layout.plan_layers import line_may_stand, mark_may_stand, place_of, with_ghosts
from layout.plans import plan_of

WIDEST, NARROWEST = 240, 100  # mm: the sheet a plan is edited on, as wide as the screen can show legibly
STEPS = {Unit.INCH: (inches("1/2"), inches(6)), Unit.MM: (mm(10), mm(100))}
POINTS = 11
MOST_BOXED = 200  # marks with boxes of their own; more are moved on the plan


@dataclass(frozen=True, slots=True)
class Answer:
    """layout, plan: None where nothing can be laid out; refused says why."""

    layout: RoomLayout | None
    plan: PlanDrawing | None = None
    svg: str = ""
    findings: tuple[str, ...] = ()
    refused: str = ""
    facts: dict = field(default_factory=dict)
    pins: tuple[Pin, ...] = ()
    moved: tuple[Moved, ...] = ()


def answer(room, draft, form: PlanForm, *, ghosts=(), legal="", backdrop=None, wide=WIDEST) -> Answer:
    """ghosts: the last revision's marks. legal: what is being moved: 'column-2', 'row-1' or 'mark-A3'.

    wide: of the sheet, mm.
    """
    tape = room.job.tape
    try:
        inputs = replace(inputs_of(room, draft, form.entered), pins=form.pins, moved=form.moved)
        layout = lay_out(inputs)
        pins = _with_twins(form, layout)
        if pins != inputs.pins:
            layout = lay_out(replace(inputs, pins=pins))
    except (LengthError, NotLaidOutYet) as refused:
        return Answer(None, refused=str(refused))
    marks = layout.arrangement.marks
    said = _("%(marks)s marks; numbers run from the zero corner.") % {"marks": len(marks)}
    plan = plan_of(layout, room, tape, title=_("Ceiling plan of %s") % room.name, description=said)
    layers = replace(
        with_ghosts(plan.layers, ghosts),
        may_stand=_may_stand(layout, legal),
        backdrop=backdrop,
        walked=tuple(place_of(layout, corner.x, corner.y) for corner in form.left_open),
    )
    plan = replace(plan, layers=layers)
    sheet = _sheet(wide)
    return Answer(
        layout,
        plan,
        plan_svg(plan, width_mm=sheet[0], height_mm=sheet[1], number_pt=POINTS),
        tuple(say(finding, tape) for finding in layout.arrangement.findings),
        facts=facts_of(layout, frame(plan, *sheet, POINTS), form, tape),
        pins=pins,
        moved=form.moved,
    )


def _sheet(wide):
    """Wide and high; a narrow screen is held upright."""
    wide = min(max(wide, NARROWEST), WIDEST)
    return wide, min(150, 0.6 * wide + 60)


def _with_twins(form, layout):
    return twins(form.pins, layout) if form.symmetric else form.pins


def twins(pins, layout):
    bare = layout.arrangement
    return with_twins(pins, len(bare.columns), len(bare.rows), bare.wish.along, bare.wish.across)


def _may_stand(layout, legal):
    what, _dash, which = legal.rpartition("-")
    if what == "mark":
        return next((mark_may_stand(layout, mark) for mark in layout.arrangement.marks if mark.id == which), ())
    lines = {"column": layout.arrangement.columns, "row": layout.arrangement.rows}.get(what, ())
    if not which.isdecimal() or not 1 <= int(which) <= len(lines):
        return ()
    return line_may_stand(layout, Line(what), int(which))


# Where things stand, for what moves them


def facts_of(layout: RoomLayout, at: Frame, form: PlanForm, tape) -> dict:
    """Lengths in whole nanometers, sheet places in the drawing's millimeters."""
    turn, arrangement = layout.inputs.orientation, layout.arrangement
    small, large = STEPS[tape.unit]
    return {
        "tape": {"style": tape.style.value, "fraction": tape.fraction if tape.style is not Style.MM else 1},
        "steps": [int(small), int(large)],
        "sheet": {
            "nmPerUnit": 1_000_000 / at.scale, "wide": at.wide, "high": at.high,
            "left": at.ceiling.left, "right": at.ceiling.right, "top": at.ceiling.top, "bottom": at.ceiling.bottom,
        },
        "turn": {
            "level": turn.rows_run is Axis.LEFT_RIGHT,
            "fromLeft": turn.zero_x.value == "left",
            "fromDoor": turn.zero_y.value == "door",
        },
        "size": {"along": _whole(arrangement.wish.along), "across": _whole(arrangement.wish.across)},
        "columns": [_whole(stands) for stands in arrangement.columns],
        "rows": [_whole(stands) for stands in arrangement.rows],
        "marks": list(_marks(arrangement)),
        "plan": {"wide": _whole(layout.wide.datums.ceiling), "deep": _whole(layout.deep.datums.ceiling)},
        "corners": [
            {"key": row.prefix, "box": row.prefix}
            | {name: _whole(row.cleaned_data[name]) for name in ("x", "y")}
            for row in form.corners.good
        ],
        "things": [
            {"key": f"thing-{number}", "box": row.prefix}
            | {name: _whole(getattr(row.record, name)) for name in ("x", "y", "wide", "deep")}
            | {"round": row.record.round, "name": row.record.name}
            for number, row in enumerate(form.things.good)
        ],
    }  # fmt: skip


def _whole(length) -> int:
    return int(length.nm)


def _marks(arrangement):
    for mark, box in numbered(arrangement.marks):
        yield {
            "id": mark.id,
            "box": box,
            "along": int(mark.along),
            "across": int(mark.across),
            "column": _line(arrangement.columns, mark.moved_from[0] if mark.moved_from else mark.along),
            "row": _line(arrangement.rows, mark.moved_from[1] if mark.moved_from else mark.across),
            "moved": mark.moved_from is not None,
        }


def _line(lines, at) -> int:
    return lines.index(at) + 1 if at in lines else 0


def numbered(marks):
    """Each mark with what its boxes begin with: its kind, its row, and which of its kind it is in that row."""
    in_row: dict[tuple[Kind, int], list] = {}
    for mark in marks:
        in_row.setdefault((mark.kind, mark.row), []).append(mark)
    for (kind, row), held in in_row.items():
        for number, mark in enumerate(sorted(held, key=_unmoved), 1):
            yield mark, f"moved-{kind.value}-{row}-{number}"


def _unmoved(mark) -> tuple[Length, ...]:
    return mark.moved_from or (mark.along, mark.across)


def box_names(layout: RoomLayout | None, pins=(), moved=()):
    """The boxes a person may hold something with, those in use included."""
    names = [line_box(pin) for pin in pins]
    names += [moved_box(one, way) for one in moved for way in ("along", "across")]
    if layout:
        for line, at in (("column", layout.arrangement.columns), ("row", layout.arrangement.rows)):
            names += [f"{line}-{number}" for number in range(1, len(at) + 1)]
        for _mark, box in list(numbered(layout.arrangement.marks))[:MOST_BOXED]:
            names += [f"{box}-along", f"{box}-across"]
    return list(dict.fromkeys(names))
