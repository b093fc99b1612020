"""The page of what a job's takeoff costs and what it has no price for, with a plug in place. Adds nothing up itself."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from layout.engine.lengths import Unit
from layout.services import NotAsIssued
from projects.jobs.queries import job_of
from reports.estimating.pricing import LABOR, PricingError, price, unit_of_cable
from reports.prices import services
from reports.prices.forms import PlugForm
from reports.prices.queries import conditions_of, labor_book, price_book, rates_of
from reports.takeoffs.counting import MOST_FOR_A_PAGE, MustBeCounted, count_job, rooms_of

LINES = 100  # on a page
SHOWN = 50  # lines without a price that have a form of their own


def priced_job(job):
    """(a job's takeoff priced, whether cable is by length alone). Raises MustBeCounted, NotAsIssued, PricingError."""
    by_length = rooms_of(job).count() > MOST_FOR_A_PAGE  # too many runs to read while someone waits
    # Without `brief` it comes with its runs: cable is bought by its pieces.
    counted = count_job(job, brief=by_length, at_most=MOST_FOR_A_PAGE)
    return price(
        counted.job, [room.takeoff for room in counted.rooms], price_book(job.shop), labor_book(job.shop),
        rates_of(job), conditions_of(job), cable_unit=unit_of_cable(job.tape.unit is Unit.MM), apart=False,
    ), by_length  # fmt: skip


def job_prices(request, job_id):
    job = job_of(request.shop, job_id)
    form = PlugForm(request.POST or None, tape=job.tape, initial={"plugged_by": request.member.user.name})
    try:
        priced, by_length = priced_job(job)
    except (MustBeCounted, NotAsIssued, PricingError) as refused:
        messages.error(request, str(refused))
        return redirect("job", job.pk)
    lines = {line.key: line for line in priced.lines if line.category != LABOR}
    if request.method == "POST" and form.is_valid():
        line = lines.get(form.cleaned_data["key"])
        if plug(request, job, form, line):
            messages.success(request, _("Plugged: it counts as an allowance until a price comes in."))
            return redirect("job_prices", job.pk)
    asked = form.data.get("key") if form.is_bound else None
    missing = [
        (lines[key], form if key == asked else PlugForm(
            tape=job.tape, auto_id=f"{key}_%s",
            initial={"plugged_by": request.member.user.name, "key": key},
        ))
        for key in priced.missing[:SHOWN]
    ]  # fmt: skip
    context = {
        "job": job, "priced": priced, "missing": missing, "form": form,
        "page": Paginator(priced.lines, LINES).get_page(request.GET.get("page")),
        "more": max(0, len(priced.missing) - SHOWN), "by_hand": asked and asked not in priced.missing,
        "by_length": by_length, "most": MOST_FOR_A_PAGE,
    }  # fmt: skip
    return render(request, "prices/job_prices.html", context, status=422 if form.errors else 200)


def plug(request, job, form, line):
    """A figure on the price list, with a name and a day. None when it can't be kept; the form says why."""
    data = form.cleaned_data
    if line is None:
        form.add_error("key", _("The takeoff has no such line any more. Open the page anew."))
        return None
    by_length = line.unit == "length"
    size = data["length"] if by_length else data["pieces"]
    if not size:
        form.add_error("length" if by_length else "pieces", _("This is needed. Fill it in."))
        return None
    item = services.item_for_line(request.shop, line.key, line.name, line.unit, line.category)
    return services.set_price(
        item, size, data["amount"], on=timezone.localdate(), by=request.member, plugged_by=data["plugged_by"],
        source=_("plugged for job %(number)s") % {"number": job.number},
    )  # fmt: skip
