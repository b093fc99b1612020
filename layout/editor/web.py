"""The plan editor's page, its live answer and its save: door, form, answer. No geometry here."""

from django.contrib import messages
from django.http import JsonResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _

from layout import queries, services
from layout.editor import pictures
from layout.editor.answer import WIDEST, answer, box_names, numbered, twins
from layout.editor.forms import PlanForm
from layout.editor.keep import keep_plan
from layout.editor.picture_forms import ScaleForm, UploadForm
from layout.engine.pins import Line
from projects.ceilings.services import TooMany, ceiling_of
from projects.ceilings.values import entered
from projects.jobs.models import SideChoice
from projects.jobs.queries import room_of
from projects.platform.permissions import may
from projects.platform.tenancy import StaleVersion


class _Desk:
    """What one request works on: the room, its draft and ceiling as stored, and the form of what was sent."""

    def __init__(self, request, room_id):
        self.request = request
        self.room = room_of(request.shop, room_id)
        self.draft = services.draft_of(self.room)
        self.ceiling = ceiling_of(self.room)
        self.picture = pictures.picture_of(self.room)

    def form(self, data=None, *, adding=""):
        pins, moved = self.draft.held()
        return PlanForm(
            entered(self.ceiling),
            pins,
            moved,
            tape=self.room.job.tape,
            walls={side.value: self.room.wall_name(side) for side in SideChoice},
            data=data,
            adding=adding,
            may_override=may(self.request.member, "lay out"),
        )

    def answer(self, form, legal="", wide=WIDEST):
        latest = queries.latest_revision(self.room)
        ghosts = latest.marks.select_related("fixture_type") if latest else ()
        backdrop = pictures.backdrop_of(self.picture, reverse("plan_picture", args=[self.room.pk]))
        return answer(self.room, self.draft, form, ghosts=ghosts, legal=legal, backdrop=backdrop, wide=wide)

    def seen(self, data):
        return {
            "draft_version": _number(data.get("draft_version")),
            "ceiling_version": _number(data.get("ceiling_version")),
        }

    def keep(self, form, answered):
        return keep_plan(
            self.draft, self.ceiling, **self.seen(self.request.POST), entry=form.entered,
            pins=answered.pins if answered.layout else form.pins, moved=form.moved, by=self.request.member,
        )  # fmt: skip


def _number(text):
    return int(text) if text and text.isdecimal() and len(text) < 10 else 0


def plan(request, room_id):
    try:
        desk = _Desk(request, room_id)
    except services.NoLightType as missing:
        messages.error(request, str(missing))
        return redirect("fixture_types")
    if request.method == "POST":
        return _posted(request, desk)
    form = desk.form()
    return _page(request, desk, form, desk.answer(form))


def _posted(request, desk):
    adding = request.POST.get("add", "")
    form = desk.form(request.POST, adding=adding)
    answered = desk.answer(form)
    if adding or "try" in request.POST:
        return _page(request, desk, form, answered)
    if not form.is_valid():
        return _page(request, desk, form, answered, status=422)
    try:
        desk.keep(form, answered)
    except StaleVersion:
        return _page(request, desk, form, answered, stale=True, status=409)
    except TooMany as refused:
        messages.error(request, str(refused))
        return _page(request, desk, form, answered, status=422)
    messages.success(request, _("Kept. Issue a revision on the room's page when it is to be printed."))
    return redirect("plan", desk.room.pk)


def _page(request, desk, form, answered, *, stale=False, status=200):
    pins, moved = form.pins, form.moved
    names = box_names(answered.layout, (*pins, *answered.pins), (*moved, *answered.moved))
    form.held.add_boxes(names)
    if not form.held.is_bound and answered.layout:
        form.held.initial["symmetric"] = twins(pins, answered.layout) == pins
    context = {
        "room": desk.room,
        "tape": desk.room.job.tape,
        "draft": desk.draft,
        "ceiling": desk.ceiling,
        "form": form,
        "answered": answered,
        "svg": mark_safe(answered.svg),  # written by layout.drawing, which escapes every word
        "stale": stale,
        "errors": list(form.error_words) if form.held.is_bound else [],
        "walls_toward": [(side.value, desk.room.wall_name(side) or side.label) for side in SideChoice],
        "latest": queries.latest_revision(desk.room),
        "picture": desk.picture,
        "upload_form": UploadForm(),
        "scale_form": _scale_form(desk),
        **_held_rows(desk, form, answered),
    }
    return render(request, "layout/editor/plan.html", context, status=status)


def _scale_form(desk):
    if desk.picture is None:
        return None
    return ScaleForm(
        picture=desk.picture, tape=desk.room.job.tape, initial=ScaleForm.start_from(desk.picture), prefix=None
    )


def _held_rows(desk, form, answered):
    """The boxes of lines and marks beside where each stands."""
    if answered.layout is None:
        return {"lines": [], "marks": []}
    arrangement, show = answered.layout.arrangement, desk.room.job.tape.show
    lines = [
        {"what": what % number, "key": f"{line.value}-{number}", "at": show(at),
         "box": form.held[f"{line.value}-{number}"]}
        for line, what, stands in (
            (Line.COLUMN, _("Column %s"), arrangement.columns), (Line.ROW, _("Row %s"), arrangement.rows),
        )
        for number, at in enumerate(stands, 1)
    ]  # fmt: skip
    marks = [
        {"id": mark.id, "key": box, "along": show(mark.along), "across": show(mark.across),
         "along_box": form.held[f"{box}-along"], "across_box": form.held[f"{box}-across"]}
        for mark, box in numbered(arrangement.marks)
        if f"{box}-along" in form.held.fields
    ]  # fmt: skip
    return {"lines": lines, "marks": marks}


def plan_live(request, room_id):
    """The plan for boxes as they stand, nothing stored."""
    try:
        desk = _Desk(request, room_id)
    except services.NoLightType as missing:
        return JsonResponse({"ok": False, "refused": str(missing)}, status=422)
    form = desk.form(request.POST)
    wide = _number(request.POST.get("sheet_mm")) or WIDEST
    answered = desk.answer(form, legal=request.POST.get("legal", ""), wide=wide)
    context = {"answered": answered, "errors": list(form.error_words), "form": form}
    show = desk.room.job.tape.show
    numbers = {}
    if answered.layout:
        arrangement = answered.layout.arrangement
        for line, stands in (("column", arrangement.columns), ("row", arrangement.rows)):
            numbers |= {f"{line}-{number}": show(at) for number, at in enumerate(stands, 1)}
        for mark, box in numbered(arrangement.marks):
            numbers |= {f"{box}-along": show(mark.along), f"{box}-across": show(mark.across)}
    return JsonResponse(
        {
            "ok": answered.layout is not None,
            "svg": answered.svg,
            "findings": render_to_string("layout/editor/_findings.html", context, request=request),
            "closing": form.closing_words,
            "numbers": numbers,
            "facts": answered.facts,
            "broken": len(answered.findings),
        }
    )


def plan_keep(request, room_id):
    """The save behind the page's back: the same form, the same rules, answered for a script.

    What is half typed is no fault: it is answered as not kept yet, and why.
    """
    try:
        desk = _Desk(request, room_id)
    except services.NoLightType as missing:
        return JsonResponse({"ok": False, "said": str(missing)}, status=422)
    form = desk.form(request.POST)
    if not form.is_valid():
        words = [*form.error_words, form.outline_words]
        return JsonResponse({"ok": False, "said": next(filter(None, words), _("Not kept yet."))})
    try:
        draft_version, ceiling_version = desk.keep(form, desk.answer(form))
    except StaleVersion as stale:
        return JsonResponse({"ok": False, "stale": True, "said": str(stale)}, status=409)
    except TooMany as refused:
        return JsonResponse({"ok": False, "said": str(refused)}, status=422)
    return JsonResponse({"ok": True, "draft_version": draft_version, "ceiling_version": ceiling_version})
