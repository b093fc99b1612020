"""Finding a covered box again: from its label, its name, or a finger on the plan. Door, values, answer."""

from django import forms
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from layout.as_built.page import built_plan
from layout.drawing.frame import frame
from layout.drawing.plan import plan_svg
from layout.engine.lengths import nanometers
from layout.services import NotAsIssued
from projects.jobs.queries import room_of
from projects.photos.models import Purpose
from projects.photos.queries import photos_of
from reports.marking.boxes import box_of, boxes_of, found, nearest

MOST_PHOTOS = 6
PLAN_WIDE, PLAN_HIGH = 75, 110  # mm; shown 300 px wide, so that a finger's place is known without scripts
SHOWN_WIDE = 300  # px
NUMBER_PT = 7


class FingerForm(forms.Form):
    """Where the plan was pressed, in pixels of the picture as it is shown."""

    x = forms.IntegerField(min_value=0, max_value=SHOWN_WIDE)
    y = forms.IntegerField(min_value=0, max_value=2000)


def _made(request, room_id):
    """The room, its marks and layout; the layout is None where nothing is issued or no longer comes out as issued."""
    room = room_of(request.shop, room_id)
    try:
        now, layout = found(room)
    except NotAsIssued as refused:
        messages.error(request, str(refused))
        return room, None, None
    return room, now, layout


def _plan(room, now, layout):
    return built_plan(now, layout, room, room.job.tape, title=_("Marks of %s") % room.name, key="find")


def find_mark(request, room_id):
    """A press on the plan leads to the nearest mark; the list beneath has them all."""
    room, now, layout = _made(request, room_id)
    if layout is not None and "at.x" in request.GET:
        finger = FingerForm({"x": request.GET.get("at.x"), "y": request.GET.get("at.y")})
        if finger.is_valid():
            mark = nearest(now, layout, *_on_ceiling(_plan(room, now, layout), layout, **finger.cleaned_data))
            if mark is not None:
                return redirect("mark_box", room.pk, mark.ident)
        messages.error(request, _("Press on the plan, or choose a mark from the list."))
    context = {"room": room, "boxes": boxes_of(now, layout, room) if layout else (), "wide": SHOWN_WIDE}
    return render(request, "marking/find.html", context)


def _on_ceiling(plan, layout, *, x, y):
    """A place in the picture as a place on the ceiling, from its left and its door side."""
    at = frame(plan, PLAN_WIDE, PLAN_HIGH, NUMBER_PT)
    mm_per_px = at.wide / SHOWN_WIDE
    ceiling = at.ceiling
    wide, deep = layout.wide.datums.ceiling, layout.deep.datums.ceiling
    from_left = (x * mm_per_px - ceiling.left) / (ceiling.right - ceiling.left)
    from_door = (ceiling.bottom - y * mm_per_px) / (ceiling.bottom - ceiling.top)
    return nanometers(round(from_left * float(wide.nm))), nanometers(round(from_door * float(deep.nm)))


def find_mark_plan(request, room_id):
    """The picture that is pressed."""
    room, now, layout = _made(request, room_id)
    if layout is None:
        raise Http404
    drawn = plan_svg(
        _plan(room, now, layout), width_mm=PLAN_WIDE, height_mm=PLAN_HIGH, number_pt=NUMBER_PT, interactive=False
    )
    answer = HttpResponse(drawn, content_type="image/svg+xml")
    answer["Cache-Control"] = "private, no-store"
    return answer


def mark_box(request, room_id, mark):
    """Where one box is, from two finished walls, with what was photographed before it was covered."""
    room, now, layout = _made(request, room_id)
    box = box_of(now, layout, room, mark) if layout else None
    if box is None:
        if now is not None:
            raise Http404
        return redirect("find_mark", room.pk)  # the revision no longer comes out as issued: said there
    photos = photos_of(room).order_by("-pk")
    own = list(photos.filter(mark=mark)[:MOST_PHOTOS])
    before = own or list(photos.filter(purpose=Purpose.COVER)[:MOST_PHOTOS])
    context = {"room": room, "box": box, "photos": before, "own": bool(own), "revision": now.revision}
    return render(request, "marking/box.html", context)
