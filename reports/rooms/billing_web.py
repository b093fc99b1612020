"""The page of what was billed on a job, for who may see money. Door, form, service, answer."""

from django import forms
from django.contrib import messages
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from projects.jobs.queries import job_of
from projects.platform.forms import DayFormField, NameFormField
from reports.purchasing.forms import RowsForm, new_slip
from reports.rooms.billing import bill, take_back
from reports.rooms.gather import look
from reports.rooms.models import MOST_BILLED, Billed

LISTED = 100


class BilledForm(forms.Form):
    on = DayFormField(label=gettext_lazy("Day"), widget=forms.DateInput(attrs={"type": "date"}))
    amount = forms.DecimalField(
        label=gettext_lazy("Billed"), min_value=0, max_value=MOST_BILLED, decimal_places=2, max_digits=12
    )
    words = NameFormField(label=gettext_lazy("For what"), max_length=200, required=False)
    slip = forms.CharField(max_length=36, widget=forms.HiddenInput)
    clean_slip = RowsForm.clean_slip

    def clean_amount(self):
        amount = self.cleaned_data["amount"]
        if not amount:
            raise forms.ValidationError(_("Nothing was billed by that. Give the amount on the bill."))
        return amount


def job_billed(request, job_id):
    job = job_of(request.shop, job_id)
    if "take_back" in request.POST:
        return _take_back(request, job)
    start = {"on": timezone.localdate(), "slip": new_slip()}
    form = BilledForm(request.POST or None, initial=start)
    if request.method == "POST" and form.is_valid():
        bill(job, **form.cleaned_data, by=request.member)
        messages.success(request, _("Written down."))
        return redirect("job_billed", job.pk)
    now = look(request.shop, money=True, only=job.pk)
    seen = now.by_job.get(job.pk)
    context = {
        "job": job,
        "form": form,
        "money": seen.money if seen else None,
        "rows": Billed.objects.of(request.shop).filter(job=job).select_related("by__user", "undone_by")[:LISTED],
    }
    return render(request, "overview/job_billed.html", context, status=422 if form.errors else 200)


def _take_back(request, job):
    asked = request.POST["take_back"]
    known = asked.isascii() and asked.isdecimal() and len(asked) < 19
    row = Billed.objects.of(request.shop).filter(job=job, pk=int(asked)).first() if known else None
    if row is None:
        raise Http404
    if take_back(row, by=request.member):
        messages.success(request, _("Taken back: a row stands against it, and both can be read."))
    else:
        messages.error(request, _("That was taken back before."))
    return redirect("job_billed", job.pk)
