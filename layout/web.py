"""The room page and its revisions: door, form, service, answer. No geometry here."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from layout import queries, services
from layout.engine.lengths import LengthError
from layout.forms import DraftForm
from layout.furniture.queries import pieces_of
from layout.inputs import NotLaidOutYet
from layout.light.asking import asked_of
from layout.offers.taking import last_way
from layout.offers.ways import ways_page
from layout.on_site.found import last_site_move
from layout.room_page import RoomPage, held_in_words, room_page
from projects.jobs.forms import CopyForm
from projects.jobs.queries import room_of
from projects.platform.pages import both_versions
from projects.platform.tenancy import StaleVersion
from projects.stages.queries import open_passes


def _form(request, room, draft, data=None):
    return DraftForm(
        data, shop=request.shop, draft=draft, tape=room.job.tape, initial=DraftForm.start_from(draft, room.job.tape)
    )


def room(request, room_id):
    record = room_of(request.shop, room_id)
    try:
        draft = services.draft_of(record)
    except services.NoLightType as missing:
        messages.error(request, str(missing))
        return redirect("fixture_types")
    form = _form(request, record, draft, request.POST or None)
    if request.method == "POST" and form.is_valid():
        let_go = {"pins": (), "moved": ()} if "let_go" in request.POST else {}
        try:
            services.change_draft(draft, form.seen_version, form.changes, form.typed, **let_go)
        except StaleVersion as stale:
            theirs = DraftForm.start_from(services.draft_of(record), record.job.tape)
            name = _("the layout of %s") % record.name
            return both_versions(request, form, stale, name=name, back=request.path, theirs=theirs)
        if "issue" in request.POST:
            return issue_revision(request, room_id)
        messages.success(request, _("Kept. Issue a revision when it is to be printed."))
        return redirect("room", record.pk)
    page, revisions = room_page(record, draft, pieces_of(record)), queries.revisions_of(record)
    context = {
        "room": record,
        "draft": draft,
        "form": form,
        "page": page,
        "held": list(held_in_words(draft, record.job.tape)),
        "ways": page.layout and ways_page(record, draft, page.layout),
        "taken": last_way(record),
        "site_move": last_site_move(record),
        "tape": record.job.tape,
        "revisions": revisions,
        "behind": revisions and queries.is_behind(revisions[0], page.layout),
        "open": open_passes(record),
        "copy_form": CopyForm(),
        "instead": asked_of(record, draft, page.layout, request.GET),
    }
    return render(request, "layout/room.html", context, status=422 if form.errors else 200)


def room_preview(request, room_id):
    """The plan and the sums for numbers that are typed but not kept."""
    record = room_of(request.shop, room_id)
    try:
        draft = services.draft_of(record)
    except services.NoLightType:
        return redirect("room", record.pk)  # which leads on to the catalog
    form = _form(request, record, draft, request.GET)
    if form.is_valid():
        for name, value in form.changes.items():
            setattr(draft, name, value)
        draft.typed = lambda axis: form.typed[axis]
        page = room_page(record, draft, pieces_of(record))
    else:
        page = RoomPage(None, refused=_("Finish the number: the plan waits for it."))
    context = {"room": record, "form": form, "page": page, "tape": record.job.tape}
    return render(request, "layout/_results.html", context)


def issue_revision(request, room_id):
    record = room_of(request.shop, room_id)
    try:
        revision = services.issue_revision(record, by=request.member)
    except (LengthError, NotLaidOutYet, services.NothingToPrint, services.NoLightType) as refused:
        messages.error(request, str(refused))
        return redirect("room", record.pk)
    messages.success(request, _("Revision %s is issued. Print the card from it.") % revision.number)
    return redirect("revision", record.pk, revision.number)


def revision(request, room_id, number):
    record = room_of(request.shop, room_id)
    found = queries.revision_of(record, number)
    latest = queries.latest_revision(record)
    context = {
        "room": record,
        "revision": found,
        "latest": latest,
        "marks": found.marks.select_related("fixture_type"),
        "tape": record.job.tape,
    }
    return render(request, "layout/revision.html", context)


def approve_revision(request, room_id, number):
    record = room_of(request.shop, room_id)
    services.approve_revision(queries.revision_of(record, number), by=request.member)
    messages.success(request, _("Revision %s is approved.") % number)
    return redirect("revision", record.pk, number)
