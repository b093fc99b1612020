"""The office's side: links made and closed, answers read and seen to. Door, form, service, answer."""

from django.conf import settings
from django.contrib import messages
from django.http import Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from layout.queries import latest_revision
from projects.jobs.queries import room_of
from reports.approvals import queries, services
from reports.approvals.client_web import as_pdf
from reports.approvals.contents import kept, nearest, on_plan
from reports.approvals.forms import LinkForm
from reports.approvals.showing import shown
from reports.approvals.words import where


def room_client(request, room_id):
    """What the client was asked about this room, what came back and where a finger was put, and another link."""
    room = room_of(request.shop, room_id)
    revision = latest_revision(room)
    form = LinkForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        if revision is None:
            form.add_error(None, _("No revision is issued. Issue one from the room's page, then ask about it."))
        else:
            try:
                services.make_link(room, revision, by=request.member, **form.cleaned_data)
            except services.NotDone as refused:
                form.add_error(None, str(refused))
            else:
                messages.success(request, _("The link is made. Send it to the client; it shows this revision alone."))
                return redirect("room_client", room.pk)
    today = timezone.localdate()
    found = queries.links_of(room)
    links = [_shown(request, link, room, today, first=link is found[0]) for link in found]
    context = {"room": room, "revision": revision, "form": form, "links": links}
    return render(request, "approvals/room_client.html", context, status=422 if form.errors else 200)


def _shown(request, link, room, today, *, first):
    """One link as the office reads it; the newest with its plan and the places that were pressed, by number."""
    tape, told = room.job.tape, kept(link)
    answers, points = [], []
    for one in link.answers.all():
        place = ""
        if one.along is not None:
            x, y = on_plan(told, one.along, one.across)
            points.append((x, y, str(len(points) + 1)))
            words = _("%(n)s on the plan: %(where)s, nearest %(mark)s")
            place = words % {"n": len(points), "where": where(told, x, y, tape), "mark": nearest(told, x, y)}
        answers.append((one, place))
    path = reverse("client_approval", args=[link.token])
    address = settings.PUBLIC_URL + path if settings.PUBLIC_URL else request.build_absolute_uri(path)
    said = shown(told, tape, key=f"link-{link.pk}", points=points) if first else {}
    return said | {
        "link": link, "address": address, "over": today > link.expires_on, "answers": answers,
        "accepted": next((one for one in link.answers.all() if one.says == "yes"), None),
    }  # fmt: skip


def close_approval(request, room_id, approval_id):
    room = room_of(request.shop, room_id)
    services.close_link(queries.link_of(room, approval_id))
    messages.success(request, _("Closed. Whoever opens it reads that it was closed."))
    return redirect("room_client", room.pk)


def office_copy(request, room_id, approval_id):
    """What was accepted, as the client's own copy shows it."""
    room = room_of(request.shop, room_id)
    link = queries.link_of(room, approval_id)
    accepted = queries.accepted_in(link)
    if accepted is None:
        raise Http404
    return as_pdf(request, link, accepted, reverse("room_client", args=[room.pk]))


def see_to_answer(request, answer_id):
    found = queries.answer_of(request.shop, answer_id)
    services.see_to(found, by=request.member)
    return redirect("client_answers") if request.POST.get("back") == "all" else redirect("room_client", found.room_id)


def client_answers(request):
    """What clients said, over all jobs: what nobody has seen to, or all of it."""
    everything = request.GET.get("show") == "all"
    page = queries.page_of_answers(request.shop, request.GET.get("page"), all_of_them=everything)
    return render(request, "approvals/answers.html", {"page": page, "everything": everything})
