"""Pages of a room's furniture: door, form, service, answer. No geometry here."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from layout.furniture import services
from layout.furniture.forms import PieceForm
from layout.furniture.page import furniture_svg, lines_of
from layout.furniture.queries import kept_of, piece_of, pieces_of, stand_of
from layout.queries import latest_revision
from projects.jobs.queries import room_of
from projects.platform.pages import both_versions
from projects.platform.tenancy import StaleVersion


def furniture(request, room_id):
    """What stands in the room, the marks laid out for each piece, and another piece."""
    room = room_of(request.shop, room_id)
    form = _form(request, room)
    if request.method == "POST" and form.is_valid():
        try:
            services.add_piece(room, **form.value)
        except services.NameTaken as taken:
            form.add_error("name", str(taken))
        except services.TooMany as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, _("Entered. The next revision keeps it, with the marks laid out for it."))
            return redirect("furniture", room.pk)
    context = {"room": room, "tape": room.job.tape, "form": form, **_stand(room)}
    return render(request, "furniture/furniture.html", context, status=422 if form.errors else 200)


def _form(request, room, piece=None):
    start = {name: getattr(piece, name) for name in services.FIELDS} if piece else {}
    start["version"] = piece.version if piece else 1
    return PieceForm(request.POST or None, tape=room.job.tape, initial=start)


def _stand(room):
    stand, pieces, tape = stand_of(room), pieces_of(room), room.job.tape
    return {
        "revision": stand.revision,
        "refused": stand.refused,
        "layout": stand.layout,
        "svg": furniture_svg(stand.layout, room, pieces, tape) if stand.layout else "",
        "lines": lines_of(pieces, kept_of(stand.revision), stand.revision, stand.layout, tape),
    }


def piece(request, room_id, piece_id):
    room = room_of(request.shop, room_id)
    found = piece_of(room, piece_id)
    form = _form(request, room, found)
    if request.method == "POST" and form.is_valid():
        try:
            services.change_piece(found, form.seen_version, form.value)
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=str(found), back=request.path)
        except services.NameTaken as taken:
            form.add_error("name", str(taken))
        else:
            messages.success(request, _("Kept."))
            return redirect("furniture", room.pk)
    context = {"room": room, "piece": found, "form": form}
    return render(request, "furniture/piece.html", context, status=422 if form.errors else 200)


def settle_piece(request, room_id, piece_id):
    """It moved and marks no longer agree: leave them, put it back, or take it out."""
    room = room_of(request.shop, room_id)
    found, do = piece_of(room, piece_id), request.POST.get("do")
    text = request.POST.get("version", "")
    seen = int(text) if text.isascii() and text.isdecimal() and len(text) < 10 else 0
    revision = latest_revision(room)
    kept = next((one for one in kept_of(revision) if one.piece_id == found.pk), None)
    try:
        if do == "leave" and revision:
            services.leave_marks(found, seen, revision, by=request.member)
            messages.success(request, _("Left as it is. The marks stay where revision %s has them.") % revision.number)
        elif do == "back" and kept:
            services.put_piece_back(found, seen, kept)
            messages.success(request, _("The %s stands where the revision has it.") % found)
        elif do == "out":
            services.remove_piece(found)
            messages.success(request, _("Taken out. Revisions laid out for it still say so."))
        else:
            messages.error(request, _("Nothing was done: load the page again and choose."))
    except StaleVersion:
        messages.error(request, _("Somebody changed this piece meanwhile. Look at it again."))
    return redirect("furniture", room.pk)
