"""The page from which a whole job is laid out anew, and where what came of it is told."""

from django import forms
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout.models import SETBACK, SPACING
from layout.whole_job.work import KIND, NUMBERS, ROUGH_IN, rooms_to_lay_out
from projects.jobs.queries import job_of
from projects.platform.forms import LengthFormField, TapeForm
from projects.work.models import State, Work
from projects.work.services import start

LOOKED_AT = 50  # pieces of work, the newest first


class WholeJobForm(TapeForm):
    end_setback = LengthFormField(
        label=gettext_lazy("Off the wall, ends of a row"), required=False, low=SETBACK[0], high=SETBACK[1],
        help_text=gettext_lazy("Empty: each room keeps its own."),
    )  # fmt: skip
    row_setback = LengthFormField(
        label=gettext_lazy("Off the wall, outer rows"), required=False, low=SETBACK[0], high=SETBACK[1]
    )
    spacing_limit = LengthFormField(
        label=gettext_lazy("Spacing limit"), required=False, low=SPACING[0], high=SPACING[1]
    )
    issue = forms.BooleanField(
        label=gettext_lazy("Issue a revision where the numbers differ from the newest one"), required=False
    )


def lay_out_job(request, job_id):
    job = job_of(request.shop, job_id)
    form = WholeJobForm(request.POST if request.method == "POST" else None, tape=job.tape)
    if request.method == "POST" and form.is_valid():
        if work := start_for(job, form, request.member):
            return redirect("work", work.pk)
        form.add_error(None, _("Nothing would change. Give a number, or tick that revisions are issued."))
    rooms = len(rooms_to_lay_out(job))
    roughed = job.rooms.filter(cancelled=False, stage__gte=ROUGH_IN).count()
    context = {"job": job, "form": form, "rooms": rooms, "roughed": roughed, "last": last_of(job)}
    return render(request, "layout/lay_out_job.html", context, status=422 if form.errors else 200)


def start_for(job, form, by):
    """The work that was started; None where nothing would change."""
    numbers = {name: int(form.cleaned_data[name]) for name in NUMBERS if form.cleaned_data[name] is not None}
    if not numbers and not form.cleaned_data["issue"]:
        return None
    asked = {"job_id": job.pk, "numbers": numbers, "issue": form.cleaned_data["issue"]}
    return start(job.shop, KIND, asked, by, title=_("Lay out all rooms of %(job)s") % {"job": job})


def last_of(job):
    """The job's newest piece of this work that was done, with what came of it; else None."""
    done = Work.objects.of(job.shop_id).filter(kind=KIND, state=State.DONE).select_related("asked_by__user")
    return next((work for work in done.order_by("-pk")[:LOOKED_AT] if work.asked_for["job_id"] == job.pk), None)
