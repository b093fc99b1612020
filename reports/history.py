"""A room's revisions: the list, what changed between any two, and an older one's wishes back into the draft."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from layout.offers.restoring import CannotRestore, restore
from layout.queries import revision_of
from layout.services import NoLightType, NotAsIssued, draft_of
from projects.jobs.queries import room_of
from projects.platform.forms import VersionedForm
from projects.platform.tenancy import StaleVersion
from reports.marking.since import changed_since
from reports.queries import revision_with_marks

MOST = 200  # revisions listed


def room_history(request, room_id):
    """Every revision, and the difference of two: the newest two until others are chosen."""
    room = room_of(request.shop, room_id)
    revisions = list(room.revisions.select_related("issued_by__user", "approved_by__user")[:MOST])
    numbers = [revision.number for revision in revisions]
    context = {"room": room, "revisions": revisions, "numbers": numbers}
    if len(numbers) > 1:
        old = _asked(request.GET.get("from", str(numbers[1])), numbers)
        new = _asked(request.GET.get("to", str(numbers[0])), numbers)
        context |= {"old": old, "new": new, **_difference(room, old, new)}
    if revisions:
        try:
            context["version"] = draft_of(room).version
        except NoLightType as missing:
            context["no_draft"] = str(missing)
    return render(request, "reports/history.html", context)


def _asked(text, numbers):
    found = next((number for number in numbers if str(number) == text), None)
    if found is None:
        raise Http404
    return found


def _difference(room, old, new):
    if old == new:
        return {"same": True}
    try:
        return {"since": changed_since(*(revision_with_marks(room, number) for number in (old, new)), room)}
    except NotAsIssued as refused:
        return {"refused": str(refused)}


def restore_revision(request, room_id, number):
    room = room_of(request.shop, room_id)
    revision, form = revision_of(room, number), VersionedForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Nothing was restored: open the page anew, then press it there."))
        return redirect("room_history", room.pk)
    try:
        restore(room, revision, form.seen_version, by=request.member)
    except (CannotRestore, NoLightType) as refused:
        messages.error(request, str(refused))
        return redirect("room_history", room.pk)
    except StaleVersion:
        messages.error(request, _("Somebody changed the room's numbers meanwhile. Look at them, then restore."))
        return redirect("room_history", room.pk)
    words = _("The numbers of revision %(n)s are the room's again. One press below puts back what was there.")
    messages.success(request, words % {"n": number})
    return redirect("room", room.pk)
