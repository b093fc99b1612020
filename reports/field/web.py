"""The phone's pages: today's rooms, a room, what needs a look, and the phones themselves."""

from django.contrib import messages
from django.http import JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.jobs.queries import room_at
from projects.platform.tenancy import StaleVersion
from projects.stages.order import name_of
from reports.field import box_words, queries, services
from reports.field.entries import ENTRIES
from reports.field.models import EntryKept
from reports.field.pages import pages_for


def phone_answer(request, template, context=None, *, status=200):
    """A page on field/base.html, marked with whose it is and when it was made. Every phone page answers by this."""
    answer = render(request, template, {**said_on_every_page(request), **(context or {})}, status=status)
    answer["X-Field-Person"] = queries.person_ident(request.member)
    return answer


def said_on_every_page(request):
    return {
        "person": queries.person_ident(request.member),
        "made_at": timezone.now(),
        "looks": queries.looks_for(request.member).count(),
    }


def today(request):
    rooms, planned = queries.rooms_for(request.member)
    return phone_answer(request, "field/today.html", {"rooms": rooms, "planned": planned})


def field_room(request, room_id):
    """Everything one does in a room, as large keys to press."""
    room = room_at(request.shop, room_id)
    keys = []
    for page in pages_for(request.member):
        told = page.told([room]).get(room.pk, "") if page.told else ""
        keys.append({"title": page.title, "address": page.address(room), "told": told})
    stage = name_of(room.stage, room.job)
    return phone_answer(request, "field/room.html", {"room": room, "keys": keys, "stage": stage})


def keep(request):
    """The addresses a phone keeps for this day, for its worker to fetch."""
    rooms, _planned = queries.rooms_for(request.member)
    pages = pages_for(request.member)
    addresses = [reverse("field"), reverse("field_looks")]
    for room in rooms:
        addresses.append(reverse("field_room", args=[room.pk]))
        addresses += [page.address(room) for page in pages]
        addresses += [address for page in pages if page.also for address in page.also(room)]
    return JsonResponse({"person": queries.person_ident(request.member), "addresses": addresses})


def looks(request):
    """What could not be applied, each with both values, and what can be done about it."""
    page = queries.page_of_looks(request.member, request.GET.get("page"))
    boxes = {"names": box_words.names(), "choices": box_words.choices(), "leftOut": sorted(box_words.LEFT_OUT)}
    shown = [_shown(one) for one in page]
    return phone_answer(request, "field/looks.html", {"page": page, "shown": shown, "boxes": boxes})


def _shown(kept):
    kind = ENTRIES.get(kept.kind)
    theirs, mine = (kept.answer.get(side, {}) for side in ("theirs", "mine"))
    names = [name for name in {**mine, **theirs} if name != "version"]
    return {
        "kept": kept,
        "title": kind.title if kind else kept.kind,
        "rows": [(name, theirs.get(name, ""), mine.get(name, "")) for name in names],
        "typed": box_words.in_words(kept.data),
        "both": bool(kind and kind.both),
        "again": kept.outcome != EntryKept.Outcome.GONE,
    }


def settle(request, entry_id):
    kept = queries.look_of(request.member, entry_id)
    how, version = request.POST.get("how"), request.POST.get("version", "")
    if how not in EntryKept.Settled.values or not (version.isascii() and version.isdigit() and len(version) < 10):
        messages.error(request, _("Choose what is to stand."))
        return redirect("field_looks")
    try:
        after = services.settle(kept, int(version), how, by=request.member)
    except StaleVersion:
        messages.warning(request, _("Somebody looked at this meanwhile. It is shown as it stands now."))
    except services.NotAllowed as refused:
        messages.error(request, str(refused))
    else:
        if after.needs_a_look:
            messages.error(request, after.words)
        else:
            messages.success(request, _("Settled: %(how)s.") % {"how": after.get_settled_how_display()})
    # An address the worker has not kept: else a slow answer is passed over for the page from before.
    return redirect(f"{reverse('field_looks')}?after={kept.pk}")


def phones(request):
    page = queries.page_of_phones(request.shop, request.GET.get("page"))
    return render(request, "field/phones.html", {"page": page})


def end_phone(request, phone_id):
    phone = services.end_phone(queries.phone_of(request.shop, phone_id), by=request.member)
    said = _("Ended. It is signed out from its next request on.")
    if phone.lost:
        words = _("Not sent by its last report, and lost unless the phone speaks again: %(n)s.")
        said += " " + words % {"n": phone.lost}
    messages.success(request, said)
    return redirect("field_phones")

