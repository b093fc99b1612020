"""The close-out's own documents: the cover, a room as it was built, its photos; and the labels of all that hangs."""

from base64 import b64encode
from dataclasses import dataclass

from django.template.loader import render_to_string
from django.utils.html import format_html
from django.utils.translation import gettext as _

from layout.as_built.models import Step
from layout.as_built.page import built_plan
from layout.drawing.plan import plan_svg
from layout.drawing.values import Datum
from layout.engine.lengths import ZERO
from layout.services import thawed
from projects.files import store
from reports.contents import head_of, room_ref
from reports.papers import Document

PLAN_MM = (184, 120)


def cover(job, found, *, on) -> Document:
    """What is handed over, room by room; what is open is told first."""
    rooms = list(found.rooms.values())
    context = {
        "job": job,
        "rooms": [(one, _count(one)) for one in rooms],
        "open_passes": [(one.room.name, passed) for one in rooms for passed in one.passes],
        "punch": [(one.room.name, item) for one in rooms for item in one.punch],
        "warranties": found.warranties,
        "not_laid": found.not_laid,
    }
    return _document(_("Close-out"), "close_out/cover.html", head_of(job, on=on), context)


def _count(one):
    marks = len(one.now.marks)
    return _("%(cut)s of %(marks)s cut") % {"cut": one.now.count(Step.CUT), "marks": marks}


@dataclass(frozen=True, slots=True)
class MarkRow:
    """A mark on paper: where it is, from the finished walls at the zero corner, and how far off the card's place."""

    ident: str
    zone: str
    name: str
    cutout: str
    along: str
    across: str
    off: str
    how: str


def as_built(one, found, *, on) -> Document:
    """The plan with each mark where it really is, and the same in a table; zones with their switches."""
    mine, room = found.rooms[one.room.pk], one.room
    layout, tape = thawed(one.revision), room.job.tape
    plan = built_plan(mine.now, layout, room, tape, datum=Datum.FINISHED)
    wide, high = PLAN_MM
    svg = plan_svg(plan, width_mm=wide, height_mm=high, number_pt=9, interactive=False)
    context = {
        "plan": _picture(svg, plan.title),
        "marks": [_row(mark, layout, tape) for mark in mine.now.marks],
        "zones": list(_zones(room, mine.now)),
        "mine": mine,
    }
    head = head_of(room, on=on, ref=room_ref(room, one.revision))
    return _document(_("As built"), "close_out/as_built.html", head, context)


def _row(now, layout, tape):
    along, across = now.built
    gaps = layout.along.datums.start_gap, layout.across.datums.start_gap
    off = along - now.mark.along, across - now.mark.across
    set_at = [step for step in Step if step.value in now.steps]
    last = now.steps[set_at[-1].value] if set_at else None
    fitting = now.mark.fixture_type
    return MarkRow(
        now.ident, now.mark.zone, fitting.name, tape.show(fitting.cutout),
        tape.show(along + gaps[0], mark=False), tape.show(across + gaps[1], mark=False),
        ", ".join(tape.show(abs(by), mark=False) for by in off if by != ZERO),
        _how(set_at[-1] if set_at else None, last),
    )  # fmt: skip


def _how(step, row):
    if step is None:
        return _("by the card; nobody entered it")
    return f"{step.label}: {row.get_reason_display()}" if row.reason else str(step.label)


def _zones(room, now):
    """(letter, what it is for, marks, control, circuit) of each zone."""
    marks: dict[str, list[str]] = {}
    for mark in now.marks:
        if mark.mark.zone:
            marks.setdefault(mark.mark.zone, []).append(mark.ident)
    told = {zone.letter: zone for zone in room.switch_zones.all()}
    for letter in sorted(marks.keys() | told.keys()):
        zone = told.get(letter)
        yield (
            letter,
            zone.get_purpose_display() if zone and zone.purpose else "",
            ", ".join(marks.get(letter, [])),
            zone.get_control_display() if zone else "",
            zone.circuit.number if zone and zone.circuit else "",
        )


def photos(one, found, *, on) -> Document | None:
    """The room's photos, three in a line; None where there is none."""
    mine = found.rooms[one.room.pk]
    shown = [(shot, picture) for shot in mine.shots if (picture := _photo(shot))]
    if not shown:
        return None
    lines = [shown[at : at + 3] for at in range(0, len(shown), 3)]
    head = head_of(one.room, on=on, ref=room_ref(one.room, one.revision))
    context = {"lines": lines, "more": mine.photos - len(shown)}
    return _document(_("Photos"), "close_out/photos.html", head, context)


def _photo(shot):
    path = store.path_of(shot.shop_id, shot.small)
    if not path.exists():
        return ""
    words = shot.caption or str(shot.get_purpose_display())
    return format_html('<img alt="{}" src="data:image/jpeg;base64,{}">', words, b64encode(path.read_bytes()).decode())


def labels(job, models, *, on) -> Document:
    """Each model with what its label says; what nobody read or handed in is named. models: from queries.models_of."""
    bound = [(facts.record.name, facts.sheet) for facts, _rooms in models if facts.sheet]
    context = {"models": models, "bound": bound, "missing": sum(len(facts.missing) for facts, _rooms in models)}
    return _document(_("Labels and makers' sheets"), "close_out/labels.html", head_of(job, on=on), context)


def _document(title, template, head, context):
    body = render_to_string(template, context | {"head": head, "title": title})
    return Document(title, body, head, "close-out")


def _picture(svg, words):
    return format_html('<img alt="{}" src="data:image/svg+xml;base64,{}">', words, b64encode(svg.encode()).decode())
