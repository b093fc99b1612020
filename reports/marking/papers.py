"""Papers for those who cut and those who come later: the hole list, the plan as built, labels. From records to HTML."""

from dataclasses import dataclass

from django.conf import settings
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from layout.as_built.models import Step
from layout.as_built.page import built_svg, in_groups, lines_of
from layout.drawing.values import Datum
from layout.drawing.words import DATUM
from layout.engine.lengths import mm
from layout.services import thawed
from projects.catalogue.tables import label_sheets
from reports.contents import head_of, room_ref
from reports.documents.qr import qr_svg
from reports.documents.sheet import in_ranges
from reports.marking.boxes import boxes_of
from reports.papers import Document
from reports.sheets import check_url, zero_in_words

QR_NEEDS = mm(20)  # a label lower than this has no room for a code that a phone reads


@dataclass(frozen=True, slots=True)
class HoleKind:
    """Holes of one type: how many, and whether they may be cut."""

    name: str
    size: str
    square: bool
    count: int
    verified_by: str


def hole_list(room, now, *, on) -> Document:
    """For the board crew: how many holes of which size, and where each is from two finished walls."""
    layout, tape = thawed(now.revision), room.job.tape
    counted: dict = {}
    for mark in now.marks:
        counted.setdefault(mark.mark.fixture_type, []).append(mark)
    kinds = [
        HoleKind(
            kind.name, tape.show(kind.cutout), kind.shape == "square", len(marks), kind.cutout_verified_by
        )
        for kind, marks in counted.items()
    ]
    boxes = boxes_of(now, layout, room)
    head = head_of(room, on=on, ref=room_ref(room, now.revision))
    holes = ngettext("%s hole", "%s holes", len(boxes)) % len(boxes)
    body = render_to_string(
        "marking/holes.html",
        {
            "head": head,
            "title": _("Hole list"),
            "holes": holes,
            "kinds": kinds,
            "boxes": boxes,
            "zero": zero_in_words(room, layout),
            "qr": _code(check_url(now.revision), _("Is this list still right?")),
        },
    )
    return Document(_("Hole list"), body, head, "hole-list")


def as_built_paper(room, now, *, on) -> Document:
    """The plan as it was built, and every mark in numbers from the finished wall."""
    layout, tape = thawed(now.revision), room.job.tape
    lines = lines_of(now, layout, tape, Datum.FINISHED)
    head = head_of(room, on=on, ref=room_ref(room, now.revision))
    by_move: dict = {}
    for one in now.marks:
        if one.move:
            by_move.setdefault(one.move, []).append(one)
    moved = [
        (in_ranges(idents), off, move.get_reason_display(), move.get_state_display())
        for move, marks in by_move.items()
        for idents, off in in_groups(marks, lambda one: one.place, tape)
    ]
    body = render_to_string(
        "marking/as_built.html",
        {
            "head": head,
            "title": _("As built"),
            "lines": lines,
            "steps": Step.choices,
            "counts": [(words, now.count(step)) for step, words in Step.choices],
            "all": len(now.marks),
            "moved": moved,
            "face": DATUM[Datum.FINISHED],
            "zero": zero_in_words(room, layout),
            "svg": built_svg(now, layout, room, tape, datum=Datum.FINISHED, high_mm=95),
        },
    )
    return Document(_("As built"), body, head, "as-built")


def _code(url, words):
    return qr_svg(url, words) if url else ""


# Labels


@dataclass(frozen=True, slots=True)
class MarkLabel:
    """One mark's label: its name, its room, where it is from two finished walls, and a code that leads to its page."""

    ident: str
    room: str
    job: str
    walls: tuple
    qr: str


def sheets_for_marks():
    """The sheets whose labels hold a code."""
    return {key: sheet for key, sheet in label_sheets().items() if sheet.height >= QR_NEEDS}


def mark_labels(room, now) -> list[MarkLabel]:
    """One a mark, in the marks' order. Without a public address there is no code: a phone would not get there."""
    layout = thawed(now.revision)
    return [
        MarkLabel(
            box.ident,
            room.name,
            room.job.number,
            box.first,
            _code(box_url(room, box.ident), _("Where is this box?")),
        )
        for box in boxes_of(now, layout, room)
    ]


def box_url(room, ident):
    if not settings.PUBLIC_URL:
        return None
    return settings.PUBLIC_URL + reverse("mark_box", args=[room.pk, ident])
