"""Pages of a job's takeoff: sums, rooms, matrix, purchases, hours, kept takeoffs, and what differs between two."""

from functools import wraps

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.utils.text import slugify
from django.utils.translation import gettext as _

from layout.services import NotAsIssued
from projects.jobs.queries import job_of
from projects.platform.permissions import may
from projects.work.services import start
from reports import papers
from reports.documents.head import PAPERS
from reports.documents.pdf import CannotPrint
from reports.estimating.difference import difference
from reports.estimating.frozen_takeoff import NotAsKept
from reports.takeoffs import showing
from reports.takeoffs.counting import MOST_FOR_A_PAGE, MustBeCounted, count_job, counted_rooms, keys_now, rooms_of
from reports.takeoffs.forms import KeepForm
from reports.takeoffs.rules import counted_by, rules_of
from reports.takeoffs.services import freeze, priced_now, takeoff_now, thaw

ROOMS_ON_A_PAGE = 10
ROOMS_ACROSS = 12  # columns of the matrix
ROWS_ON_A_PAGE = 50
MOST_PRINTED = 200  # rooms of one takeoff on paper


def counted(view):
    """A page of a job as it is counted now. What can't be counted while someone waits is said, with what to do."""

    @wraps(view)
    def guarded(request, job_id, *args, **kwargs):
        job = job_of(request.shop, job_id)
        job.shop = request.shop
        try:
            return view(request, job, *args, **kwargs)
        except MustBeCounted as wait:
            return render(request, "takeoffs/must_be_counted.html", {"job": job, "wait": wait})
        except (NotAsIssued, NotAsKept) as refused:
            messages.error(request, str(refused))
            return redirect("job", job.pk)

    return guarded


def sums_of(job):
    return count_job(job, brief=True, at_most=MOST_FOR_A_PAGE)


@counted
def job_takeoff(request, job):
    """The job's sums, and its rooms line by line, some at a time; on paper all of them."""
    paper = PAPERS.get(request.GET.get("paper"))
    rules, seal = counted_by(request.shop)
    keys = keys_now(job, seal)
    summed = count_job(job, brief=True, at_most=MOST_FOR_A_PAGE, keys=keys, rules=rules)
    if not summed.rooms:
        messages.error(request, _("No room of this job has an issued layout or counts yet. Issue one, then print."))
        return redirect("job", job.pk)
    if paper:
        return _printed(request, job, summed, paper)
    page = Paginator(summed.rooms, ROOMS_ON_A_PAGE).get_page(request.GET.get("page"))
    shown, _left = counted_rooms(job, only=[room.room_id for room in page], keys=keys)
    document = papers.job_takeoff(job, on=timezone.localdate(), counted=summed, shown=shown)
    # The body is our own template's HTML, escaped where people's words stand in it.
    context = {
        "job": job,
        "page": page,
        "document": document,
        "body": mark_safe(document.body),
        "not_laid_out": len(summed.left_out),
        "here": "job_takeoff",
    }
    return render(request, "takeoffs/job.html", context)


def _printed(request, job, summed, paper):
    if len(summed.rooms) > MOST_PRINTED:
        words = _("%(rooms)s rooms are too many for one print; it takes %(most)s. Take the spreadsheet instead.")
        messages.error(request, words % {"rooms": len(summed.rooms), "most": MOST_PRINTED})
        return redirect("job_takeoff", job.pk)
    try:
        content = papers.job_takeoff(job, on=timezone.localdate()).pdf(paper)
    except CannotPrint as refused:
        messages.error(request, str(refused))
        return redirect("job_takeoff", job.pk)
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{slugify(f"{job} takeoff")}.pdf"'
    return answer


@counted
def takeoff_matrix(request, job):
    """Items down, rooms across, some rooms at a time."""
    summed = sums_of(job)
    page = Paginator(summed.rooms, ROOMS_ACROSS).get_page(request.GET.get("page"))
    table = showing.matrix(summed.job, list(page), job.tape.unit)
    return render(
        request,
        "takeoffs/matrix.html",
        {"job": job, "page": page, "table": table, "here": "takeoff_matrix", "left_out": summed.left_out},
    )


@counted
def purchase_list(request, job):
    """What to purchase, in whole packs, from nobody in particular and without prices."""
    summed = sums_of(job)
    groups = showing.purchase(summed.job, rules_of(request.shop), job.tape.unit)
    return render(
        request,
        "takeoffs/purchase.html",
        {"job": job, "groups": groups, "counted": summed.job.counted, "here": "purchase_list"},
    )


@counted
def takeoff_labor(request, job):
    """Hours by phase, for people who may see prices."""
    taken = takeoff_now(job, counted=sums_of(job))  # hours follow from quantities; how cable is cut bears on cost alone
    table = showing.labor(priced_now(job, taken, apart=False))
    page = Paginator(table.rooms, ROWS_ON_A_PAGE).get_page(request.GET.get("page"))
    return render(request, "takeoffs/labor.html", {"job": job, "table": table, "page": page, "here": "takeoff_labor"})


def count_now(request, job_id):
    """Start counting a job's rooms as work."""
    job = job_of(request.shop, job_id)
    words = _("Count %(job)s") % {"job": job}
    work = start(request.shop, "count job", {"job_id": job.pk}, request.member, title=words)
    return redirect("work", work.pk)


# Kept


@counted
def kept_takeoffs(request, job):
    """Those kept so far, and the form that keeps one."""
    form = KeepForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        if not rooms_of(job).exists():
            form.add_error(None, _("There is nothing to keep yet: this job has no room."))
        elif rooms_of(job).count() > MOST_FOR_A_PAGE:
            asked = {"job_id": job.pk, "label": form.cleaned_data["label"]}
            work = start(request.shop, "keep takeoff", asked, request.member, title=_("Keep the takeoff of %s") % job)
            return redirect("work", work.pk)
        else:
            kept = freeze(job, by=request.member, label=form.cleaned_data["label"], once=True)
            messages.success(request, _("Kept as takeoff %(number)s.") % {"number": kept.number})
            return redirect("kept_takeoff", job.pk, kept.number)
    rows = job.takeoffs.defer("body", "prices", "rules").select_related("by__user")
    page = Paginator(rows, ROWS_ON_A_PAGE).get_page(request.GET.get("page"))
    context = {"job": job, "page": page, "form": form, "here": "kept_takeoffs"}
    return render(request, "takeoffs/kept.html", context, status=422 if form.errors else 200)


def kept_of(job, number):
    found = job.takeoffs.filter(number=number).select_related("by__user").first()
    if found is None:
        raise Http404
    return found


@counted
def kept_takeoff(request, job, taken):
    record = kept_of(job, taken)
    kept = thaw(record, prices=may(request.member, "see prices"))
    page = Paginator(kept.rooms, ROOMS_ON_A_PAGE).get_page(request.GET.get("page"))
    document = papers.kept_takeoff(job, kept, shown=list(page))
    context = {
        "job": job,
        "record": record,
        "kept": kept,
        "page": page,
        "body": mark_safe(document.body),
        "document": document,
    }
    return render(request, "takeoffs/kept_one.html", context)


@counted
def takeoff_difference(request, job):
    """Any two kept takeoffs, or one and the job as it is now."""
    known = list(job.takeoffs.defer("body", "prices", "rules")[:ROWS_ON_A_PAGE])
    numbers = [record.number for record in known]
    before, after = request.GET.get("before", ""), request.GET.get("after", "now")
    if not before and numbers:
        before = str(numbers[0])
    context = {"job": job, "known": known, "before": before, "after": after, "here": "takeoff_difference"}
    sides = [side_of(job, before), side_of(job, after)] if before else []
    if all(sides) and sides:
        found = difference(*sides)
        page = Paginator(found.changed_rooms, ROOMS_ON_A_PAGE).get_page(request.GET.get("page"))
        context |= {"page": page, "found": showing.difference(found, list(page), job.tape), "sides": sides}
    elif before:
        context["unknown"] = True
    return render(request, "takeoffs/difference.html", context)


def side_of(job, asked):
    """'now', or the number of a kept takeoff; None for anything else."""
    if asked == "now":
        return takeoff_now(job, counted=count_job(job, at_most=MOST_FOR_A_PAGE))
    if not (asked.isascii() and asked.isdecimal() and len(asked) < 6):
        return None
    record = job.takeoffs.filter(number=int(asked)).first()
    return record and thaw(record)
