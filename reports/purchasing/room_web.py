"""Pages of one room's material: what it needs and has, its pick lists, what was picked and brought back."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.text import slugify
from django.utils.translation import gettext as _

from layout.services import NotAsIssued
from projects.jobs.queries import room_of
from reports.documents.head import Paper, RoomRef
from reports.documents.pdf import CannotPrint
from reports.purchasing import queries, services
from reports.purchasing.forms import RowsForm, row_of
from reports.purchasing.models import Place
from reports.purchasing.papers import pick_list_paper
from reports.purchasing.services import Item, NotDone, Refused
from reports.takeoffs.counting import counted_rooms

MOST_LISTS = 50


def room_material(request, room_id):
    return _room(request, room_of(request.shop, room_id))


def _room(request, room, form=None, status=200):
    context = {"room": room, "job": room.job, "places": Place.choices}
    try:
        found = queries.room_material(room)
    except NotAsIssued as refused:
        return render(request, "purchasing/room.html", context | {"refused": str(refused)}, status=422)
    form = form or RowsForm(_pick_rows(found))
    context |= {
        "found": found,
        "lines": [(line, form.box(row)) for line in found.lines if (row := row_of(line.key)) in form.rows],
        "form": form,
        "lists": room.pick_lists.select_related("by__user").prefetch_related("lines")[:MOST_LISTS],
    }
    return render(request, "purchasing/room.html", context, status=status)


def _pick_rows(found):
    return [(row_of(line.key), line.name, line.to_pick) for line in found.lines]


def write_pick_list(request, room_id):
    room = room_of(request.shop, room_id)
    try:
        found = queries.room_material(room)
    except NotAsIssued:
        return redirect("room_material", room.pk)
    form = RowsForm(_pick_rows(found), request.POST)
    if form.is_valid():
        lines = {row_of(line.key): line for line in found.lines}
        items = [
            Item(lines[row].key, lines[row].name, lines[row].unit, quantity) for row, quantity, _place in form.taken()
        ]
        data = form.cleaned_data
        try:
            made = services.write_pick_list(room, items, slip=data["slip"], note=data["note"], by=request.member)
        except NotDone as refused:
            form.add_error(None, str(refused))
        else:
            return redirect("pick_list", room.pk, made.number)
    return _room(request, room, form, 422)


# One list


def pick_list(request, room_id, pick_number):
    made = queries.pick_list_of(room_of(request.shop, room_id), pick_number)
    if asked := {"letter": Paper.LETTER, "a4": Paper.A4}.get(request.GET.get("paper")):
        return _print(request, made, asked)
    return _list(request, made)


def _print(request, made, paper):
    document = pick_list_paper(made, ref_of(made.room), on=timezone.localdate())
    try:
        content = document.pdf(paper)
    except CannotPrint as refused:
        messages.error(request, str(refused))
        return redirect(request.path)
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = (
        f'inline; filename="{slugify(f"{made.room.name} {document.name}") or "pick-list"}.pdf"'
    )
    return answer


def ref_of(room):
    """The room with what its need rests on; a revision that no longer comes out as issued is not named."""
    try:
        counted, _left_out = counted_rooms(room.job, only=[room.pk], brief=True)
    except NotAsIssued:
        counted = []
    for one in counted:
        return RoomRef(room.name, room.level, one.revision, one.digest[:6].upper(), counted=not one.revision)
    return RoomRef(room.name, room.level)


def _list(request, made, form=None, back=False, status=200):
    lies = services.lies_of(made.room.job)
    nothing = services.Lies()
    lines = [
        (line, lies.get(line.key, nothing), lies.get(line.key, nothing).rooms.get(made.room_id, 0))
        for line in made.lines.all()
    ]
    pick = form if form and not back else _pick_form(made, lines)
    put_back = form if form and back else _back_form(made, lines)
    context = {
        "room": made.room,
        "job": made.room.job,
        "made": made,
        "places": Place.choices,
        "pick": pick,
        "put_back": put_back,
        "lines": [(line, there, here, pick.box(line.pk), pick.where(line.pk)) for line, there, here in lines],
        "backs": [(line, here, put_back.box(line.pk), put_back.where(line.pk)) for line, _there, here in lines if here],
        "form": form or pick,
    }
    return render(request, "purchasing/pick_list.html", context, status=status)


def _pick_form(made, lines, data=None):
    rows = [(line.pk, line.name, min(max(line.quantity - here, 0), there.at_hand)) for line, there, here in lines]
    places = {
        line.pk: max(there.places, key=lambda place: there.places[place])
        for line, there, _here in lines
        if there.at_hand
    }
    return RowsForm(rows, data, places=places, prefix="pick")


def _back_form(made, lines, data=None):
    return RowsForm([(line.pk, line.name, 0) for line, _there, _here in lines], data, places={}, prefix="back")


def pick_material(request, room_id, pick_number):
    return _move(request, room_id, pick_number, back=False)


def bring_back_material(request, room_id, pick_number):
    return _move(request, room_id, pick_number, back=True)


def _move(request, room_id, pick_number, *, back):
    made = queries.pick_list_of(room_of(request.shop, room_id), pick_number)
    rows = [(line.pk, line.name, 0) for line in made.lines.all()]
    form = RowsForm(rows, request.POST, places={}, prefix="back" if back else "pick")
    if form.is_valid():
        data = form.cleaned_data
        try:
            services.pick(made, form.taken(), slip=data["slip"], note=data["note"], by=request.member, back=back)
        except Refused as refused:
            form.refuse(refused.errors)
        except NotDone as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, _("Booked: it lies there again.") if back else _("Booked: it is the room's now."))
            return redirect("pick_list", made.room_id, made.number)
    return _list(request, made, form, back, 422)
