"""The light report put together from a room's computed light. Computes no light and makes no drawing of its own."""

from __future__ import annotations

from collections import Counter

from django.utils.translation import gettext as _

from layout.engine.lengths import LengthError
from layout.engine.light.values import Known, LightError, On
from layout.light.choices.comparing import compared
from layout.light.choices.forms import CompareForm
from layout.light.page import light_page
from layout.light.pictures import Form, elevations, from_the_door, plan_map
from layout.light.queries import RoomLight, is_large
from layout.light.scene import NoLight
from layout.light.words import LIMITS, UNCERTAIN
from layout.queries import is_behind, latest_revision
from reports.contents import head_of
from reports.documents import light_report as paper
from reports.documents.head import RoomRef
from reports.papers import Document

WALL_MM, TASK_MM = 91, 70  # drawn so wide on paper, two walls beside each other


def light_report(light: RoomLight, target_row, *, on) -> Document:
    """light: with something solved. target_row: the shop's row of the target the room asks, if any."""
    room, made = light.room, light.made
    revision = latest_revision(room)
    issued = revision is not None and not is_behind(revision, made.layout)
    ref = RoomRef(room.name, room.level, revision.number, revision.short_hash) if issued else None
    head = head_of(room, on=on, ref=ref or RoomRef(room.name, room.level))
    page = light_page(light, None, target_row, drawn=False)
    told, scene = page.told, made.scene
    values = paper.LightPaper(
        head=head,
        page=page,
        stands_on=_stands_on(revision, issued),
        asked_by=_asked_by(light.setup, page.target),
        size=_size(scene.room.corners, told),
        height=told.length(scene.room.height_m),
        plane=told.length(scene.plane_m),
        surfaces=tuple(_surfaces(light)),
        zones=tuple(_zones(light)),
        limits=LIMITS,
        cautions=(UNCERTAIN, _("Nothing is cut from this report: the card says where holes go, and what to check.")),
        **_pictures(light.solved, told),
        **_compared(light),
    )
    return Document(_("Light report"), paper.body(values), head, "light-report")


def _pictures(solved, told):
    """In the grays of print; the walls in the same bands, so that a tone means one level on each."""
    tasks = [grid for grid in solved.grids if grid.on is On.TASK]
    return {
        "plan": plan_map(solved, told=told, form=Form.PRINT),
        "others": tuple(
            plan_map(
                solved, told=told, on=grid.name, form=Form.PRINT, key=f"light-task-{number}", height_mm=TASK_MM
            )
            for number, grid in enumerate(tasks, start=1)
        ),
        "walls": elevations(solved, told=told, form=Form.PRINT, width_mm=WALL_MM),
        "view": from_the_door(solved, told=told),
    }  # fmt: skip


def _compared(light: RoomLight):
    """Walls against setback, every way of setting out; nothing where the room is too large or can't be set out anew."""
    if is_large(light.made.scene):
        return {}
    usual = CompareForm.usual(light.room.job.tape.unit)
    try:
        found = compared(light, usual | {"rows": (), "lights": (), "light_type": None})
    except (LengthError, LightError, NoLight):
        return {}
    return {"chart": found.chart, "chart_said": found.sentence} if found.chart else {}


def _stands_on(revision, issued):
    if issued:
        return _("The lights stand as issued in revision %(n)s (%(hash)s).") % {
            "n": revision.number, "hash": revision.short_hash,
        }  # fmt: skip
    if revision is not None:
        return _("The lights stand as in the draft, which is not what revision %s says.") % revision.number
    return _("The lights stand as in the draft; no revision was issued.")


def _asked_by(setup, target):
    """Whose level it is: a typed one goes before the table's."""
    if target is None or setup.target is not None or not target.document:
        return _("The level is as typed for this room.")
    edition = _("edition %s") % target.edition if target.edition[:1].isdigit() else target.edition
    return _("The level is of %(document)s, %(edition)s (%(kind)s).") % {
        "document": target.document, "edition": edition, "kind": target.kind,
    }  # fmt: skip


def _size(corners, told):
    xs, ys = zip(*corners, strict=True)
    size = {"wide": told.length(max(xs) - min(xs)), "deep": told.length(max(ys) - min(ys))}
    if len(corners) == 4:
        return _("%(wide)s left to right, %(deep)s door to far") % size
    return _("%(walls)d walls within %(wide)s by %(deep)s") % (size | {"walls": len(corners)})


def _surfaces(light: RoomLight):
    room = light.made.scene.room
    yield _("ceiling"), round(100 * room.ceiling)
    if room.walls:
        yield from ((name, round(100 * share)) for name, share in zip(room.wall_names, room.walls, strict=True))
    else:
        yield _("walls"), round(100 * room.wall)
    yield _("floor"), round(100 * room.floor)


def _zones(light: RoomLight):
    lights = light.made.scene.lights
    counts = Counter(each.zone for each in lights)
    first = {each.zone: each for each in reversed(lights)}
    for letter, count in sorted(counts.items()):
        one, known = light.made.types[letter], first[letter].emitter
        if known.known is Known.LOBE:
            source = _("no file: a smooth lobe of %(lm)s lm and %(beam)s° stands for it") % {
                "lm": f"{known.flux_lm:,.0f}", "beam": f"{float(one.beam_deg):g}",
            }  # fmt: skip
        else:
            source = _("the photometric file %(file)s (%(format)s), %(lm)s lm") % {
                "file": one.photometric.name, "format": one.photometric.format, "lm": f"{known.flux_lm:,.0f}",
            }  # fmt: skip
        yield paper.ZoneRow(letter, count, one.name, source, round(100 * first[letter].dim))
