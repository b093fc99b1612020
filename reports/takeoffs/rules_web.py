"""Pages of the takeoff rules, of what is asked for, and of rooms counted before they are measured."""

from types import SimpleNamespace

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from projects.jobs.queries import job_of, room_of
from projects.platform.pages import both_versions
from projects.platform.tenancy import StaleVersion
from reports.documents.takeoff import CATEGORIES
from reports.takeoffs.counting import count_room, rooms_to_count, since_counts
from reports.takeoffs.forms import AskedForm, RoomCountingForm, RulesForm
from reports.takeoffs.models import RulesVersion
from reports.takeoffs.rules import rules_of, table_of
from reports.takeoffs.services import Outdated, ask_for, put_back_rules, save_rules, set_feet
from reports.takeoffs.showing import difference_of_room

VERSIONS_ON_A_PAGE = 20


def takeoff_rules(request):
    """Every number a takeoff is counted by; saving makes a new version."""
    table, number = table_of(request.shop)
    form = RulesForm(
        request.POST or None,
        table=table,
        categories=list(CATEGORIES.items()),
        tape=request.shop.tape,
        initial=RulesForm.start_from(table, number),
    )
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            save_rules(request.shop, form.changed_table(), seen=data["version"], why=data["why"], by=request.member)
        except Outdated as outdated:
            stale = StaleVersion(SimpleNamespace(version=outdated.newest), {})
            theirs = RulesForm.start_from(*table_of(request.shop))
            return both_versions(request, form, stale, name=_("takeoff rules"), back=request.path, theirs=theirs)
        messages.success(request, _("Saved. Takeoffs that were kept stay as they were."))
        return redirect("takeoff_rules")
    context = {"form": form, "number": number}
    return render(request, "takeoffs/rules.html", context, status=422 if form.errors else 200)


def rules_versions(request):
    """Who changed the rules, when and why."""
    rows = RulesVersion.objects.of(request.shop).defer("body").select_related("by__user")
    page = Paginator(rows, VERSIONS_ON_A_PAGE).get_page(request.GET.get("page"))
    newest = RulesVersion.objects.of(request.shop).order_by("-number").values_list("number", flat=True).first() or 0
    return render(request, "takeoffs/rules_versions.html", {"page": page, "newest": newest})


def put_back(request, version_id):
    """Count by an earlier version again; 0 is what the program came with."""
    version = RulesVersion.objects.of(request.shop).filter(pk=version_id).first()
    if version is None and version_id:
        raise Http404
    seen = request.POST.get("seen", "")
    _table, newest = table_of(request.shop)
    try:
        asked = int(seen) if seen.isascii() and seen.isdecimal() and len(seen) < 6 else newest
        put_back_rules(request.shop, version.number if version else 0, seen=asked, by=request.member)
    except Outdated:
        messages.error(request, _("Somebody saved the rules meanwhile. Look at the list again, then choose."))
    else:
        messages.success(request, _("Put back. It stands as a new version."))
    return redirect("rules_versions")


def asked_items(request, job_id):
    """Optional items of the whole job."""
    job = job_of(request.shop, job_id)
    standing = job.asked_items.filter(room=None).values_list("item", flat=True)
    start = AskedForm.start_from(standing)
    form = AskedForm(request.POST or None, rules=rules_of(request.shop), job_wide=True, initial=start)
    if request.method == "POST" and form.is_valid():
        ask_for(job, form.items, seen=form.was_ticked)
        messages.success(request, _("Saved."))
        return redirect("job_takeoff", job.pk)
    context = {"form": form, "job": job, "here": "asked_items"}
    return render(request, "takeoffs/asked.html", context, status=422 if form.errors else 200)


def room_counting(request, room_id):
    """A room before it is measured: its feet per device and what it takes besides; later, what the layout changed."""
    room = room_of(request.shop, room_id)
    rules = rules_of(request.shop)
    start = AskedForm.start_from(room.asked_items.values_list("item", flat=True))
    start |= {f"feet_{feet.device}": feet.each for feet in room.device_feet.all()}
    tape = room.job.tape
    form = RoomCountingForm(request.POST or None, rules=rules, tape=tape, initial=start)
    if request.method == "POST" and form.is_valid():
        ask_for(room.job, form.items, room=room, seen=form.was_ticked)
        set_feet(room, form.feet)
        messages.success(request, _("Saved."))
        return redirect("room_counting", room.pk)
    (one,) = rooms_to_count(room.job, [room.pk])
    counted = count_room(one, rules)
    laid = counted is not None and counted.revision is not None
    since = since_counts(one, counted, rules) if laid else None
    context = {
        "form": form,
        "room": room,
        "usual": [(usual.name, usual.length) for usual in rules.per_device.values()],
        "counts": [count for count in room.counts.all() if count.count],
        "laid": laid,
        "since": since and difference_of_room(since, tape),
    }
    return render(request, "takeoffs/room.html", context, status=422 if form.errors else 200)
