"""The plan as a file for other programs: door, layout, file. What is drawn stands in layout.exports."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.text import slugify
from django.utils.translation import gettext as _

from layout import exports, queries
from layout.drawing import Names
from layout.engine.marks import Side
from projects.jobs.queries import room_of


def dxf(request, room_id):
    return _file(request, room_id, "dxf", "image/vnd.dxf", exports.dxf_bytes)


def svg(request, room_id):
    return _file(request, room_id, "svg", "image/svg+xml", exports.svg_text)


def _file(request, room_id, ending, content_type, write):
    room = room_of(request.shop, room_id)
    file = written(room, write)
    if file is None:
        messages.error(request, _("The room can't be laid out yet: there is no plan to take along."))
        return redirect("plan", room.pk)
    content, name = file
    answer = HttpResponse(content, content_type=content_type)
    answer["Content-Disposition"] = f'attachment; filename="{name}.{ending}"'
    return answer


def written(room, write):
    """(content, name): the plan as the room is laid out now, called by the revision's number where that says the same.

    None where it can't be laid out.
    """
    layout = queries.layout_now(room)
    if layout is None:
        return None
    latest = queries.latest_revision(room)
    current = latest is not None and not queries.is_behind(latest, layout)
    revision = f"R{latest.number}" if current else "draft"
    sheet = exports.Sheet(
        job=str(room.job),
        room=room.name,
        revision=revision,
        tape=room.job.tape,
        walls=Names(**{side.value: room.wall_name(side) for side in Side}),
    )
    return write(layout, sheet), slugify(f"{room.job.number} {room.name} {revision}") or "plan"
