"""Pages for long work: what there is, how far one is, cancel and resume. Door, service, answer."""

from django.contrib import messages
from django.http import JsonResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from projects.work import services
from projects.work.queries import page_of_work, where, work_of


def works(request):
    return render(request, "work/works.html", {"page": page_of_work(request.member, request.GET.get("page"))})


def work(request, work_id):
    found = work_of(request.member, work_id)
    return render(request, "work/work.html", {"work": found, "where": where(found)})


def work_state(request, work_id):
    """For watch.js: how far it is, in as few words as possible."""
    found = work_of(request.member, work_id)
    return JsonResponse(
        {"state": found.state, "done": found.done, "total": found.total, "stopping": found.cancel_asked}
    )


def cancel_work(request, work_id):
    return _after(request, work_id, services.cancel, _("Cancelled: it stops at its next step."))


def resume_work(request, work_id):
    return _after(request, work_id, services.resume, _("It waits in the queue again and goes on from where it was."))


def _after(request, work_id, change, said):
    found = work_of(request.member, work_id)
    try:
        change(found)
        messages.success(request, said)
    except services.CannotBeDone as refused:
        messages.error(request, str(refused))
    return redirect("work", work_id)
