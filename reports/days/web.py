"""Pages of days: the crew plan, the calendar, handing a job over. Door, form, service, answer."""

import datetime as dt

from django.contrib import messages
from django.core.paginator import Paginator
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from projects.crews import queries, services
from projects.jobs.models import LAST_STAGE
from projects.jobs.queries import job_of, room_of
from projects.platform.fields import FIRST_DAY, LAST_DAY
from projects.platform.permissions import may
from projects.platform.tenancy import StaleVersion
from reports.days import handover as handing
from reports.days.dates import due_between
from reports.days.forms import PlanForm
from reports.days.plan import WEEK, monday_of, plan_of
from reports.documents.head import PAPERS
from reports.documents.pdf import CannotPrint
from reports.web import as_file

DUE_ON_A_PAGE = 100
ROOMS_OFFERED = 200
AHEAD = dt.timedelta(days=13)  # a room's page tells two weeks


def _day(request, name, otherwise):
    """A day of the address; what is no day is left out."""
    try:
        day = dt.date.fromisoformat(request.GET.get(name, ""))
    except ValueError:
        return otherwise
    return day if FIRST_DAY <= day <= LAST_DAY - dt.timedelta(62) else otherwise


# Who works where


def crew_plan(request):
    """People down, days across: a week, or one day."""
    today = timezone.localdate()
    one_day = request.GET.get("days") == "1"
    asked = _day(request, "from", today)
    first = asked if one_day else monday_of(asked)
    count = 1 if one_day else WEEK
    step = dt.timedelta(count)
    context = {
        "plan": plan_of(request.shop, first, count),
        "today": today,
        "asked": asked,
        "before": first - step,
        "after": first + step,
        "jobs": queries.jobs_to_plan(request.shop),
    }
    return render(request, "days/crew_plan.html", context)


def crew_day(request, day_id):
    """Somebody else goes there instead: a name is pressed, and that is it."""
    day = queries.day_of(request.shop, day_id)
    people = [one for one in queries.who_may_be_planned(request.shop, day.job) if one.pk != day.member_id]
    if request.method == "POST":
        member = next((one for one in people if str(one.pk) == request.POST.get("member")), None)
        if member is None:
            messages.error(request, _("Choose somebody of the list."))
        elif _given(request, day, member):
            told = {"name": member.user, "where": day.room or day.job, "day": date_format(day.on, "D, M j")}
            messages.success(request, _("%(name)s goes to %(where)s, %(day)s.") % told)
            return redirect(_plan_at(day.on))
        return redirect("crew_day", day.pk)
    busy = {row.member_id for row in queries.crew_on(request.shop, day.on, day.on)}
    context = {"day": day, "people": [(one, one.pk in busy) for one in people]}
    return render(request, "days/crew_day.html", context)


def _given(request, day, member):
    sent = request.POST.get("version", "")
    seen = int(sent) if sent.isdecimal() and len(sent) < 10 else 0
    try:
        services.give_to(day, seen, member, by=request.member)
    except StaleVersion as stale:
        told = {"name": stale.theirs.member.user}
        messages.error(request, _("Changed meanwhile: %(name)s is to go. Look, and choose again.") % told)
    except services.NotPlanned as refused:
        messages.error(request, str(refused))
    else:
        return True
    return False


def _plan_at(day):
    return f"{reverse('crew_plan')}?days=1&from={day.isoformat()}"


def take_off(request, day_id):
    day = queries.day_of(request.shop, day_id)
    services.take_off(day)
    told = {"name": day.member.user, "where": day.room or day.job, "day": date_format(day.on, "D, M j")}
    messages.success(request, _("%(name)s no longer goes to %(where)s, %(day)s.") % told)
    return redirect(_plan_at(day.on))


def job_crew(request, job_id):
    """Plan a person for this job: days, and rooms or wherever it needs it."""
    job = job_of(request.shop, job_id)
    people = queries.who_may_be_planned(request.shop, job)
    under_way = job.rooms.filter(cancelled=False, stage__lt=LAST_STAGE)
    rooms = list(under_way.order_by("level", "name", "pk")[:ROOMS_OFFERED])
    today = timezone.localdate()
    form = PlanForm(request.POST or None, people=people, rooms=rooms, initial={"first": today})
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        member = next(one for one in people if one.pk == data["member"])
        chosen = set(data.get("rooms") or ())
        try:
            new = services.plan(
                job, member, data["first"], data["last"], rooms=[r for r in rooms if r.pk in chosen], by=request.member
            )
        except services.NotPlanned as refused:
            form.add_error(None, str(refused))
        else:
            said = ngettext("%(n)s day planned for %(name)s.", "%(n)s days planned for %(name)s.", new)
            messages.success(request, said % {"n": new, "name": member.user})
            return redirect("job_crew", job.pk)
    days = queries.crew_on(request.shop, today, today + AHEAD, job)
    context = {"job": job, "form": form, "days": days, "people": people, "may_plan": may(request.member, "plan crews")}
    return render(request, "days/job_crew.html", context, status=422 if form.errors else 200)


def room_crew(request, room_id):
    """Who works in this room; a name pressed plans them for a day."""
    room = room_of(request.shop, room_id)
    today = timezone.localdate()
    on = _day(request, "on", today)
    people = queries.who_may_be_planned(request.shop, room.job)
    if request.method == "POST":
        member = next((one for one in people if str(one.pk) == request.POST.get("member")), None)
        if member is None:
            messages.error(request, _("Choose somebody of the list."))
            return redirect("room_crew", room.pk)
        try:
            services.plan(room.job, member, on, on, rooms=[room], by=request.member)
        except services.NotPlanned as refused:
            messages.error(request, str(refused))
        else:
            told = {"name": member.user, "where": room, "day": date_format(on, "D, M j")}
            messages.success(request, _("%(name)s goes to %(where)s, %(day)s.") % told)
        return redirect(f"{reverse('room_crew', args=[room.pk])}?on={on.isoformat()}")
    days = queries.days_of_room(room, min(on, today), max(on, today + AHEAD))
    there = {day.member_id for day in days if day.on == on}
    context = {
        "room": room,
        "on": on,
        "days": days,
        "people": [one for one in people if one.pk not in there],
        "before": on - dt.timedelta(1),
        "after": on + dt.timedelta(1),
    }
    return render(request, "days/room_crew.html", context)


# What is due when


def calendar(request):
    """A month's days that something of a job is due on."""
    today = timezone.localdate()
    first = _day(request, "from", today).replace(day=1)
    after = (first + dt.timedelta(31)).replace(day=1)
    due = due_between(request.shop, first, after - dt.timedelta(1))
    context = {
        "month": first,
        "before": (first - dt.timedelta(1)).replace(day=1),
        "after": after,
        "today": today,
        "page": Paginator(due, DUE_ON_A_PAGE).get_page(request.GET.get("page")),
    }
    return render(request, "days/calendar.html", context)


def handover(request, job_id):
    """The sheet on screen, or on paper when one is asked for."""
    job = job_of(request.shop, job_id)
    told = handing.handover_of(job, timezone.localdate())
    document = handing.document(job, told)
    paper = PAPERS.get(request.GET.get("paper"))
    if paper:
        try:
            return as_file(document.pdf(paper), "application/pdf", f"{job.number} {document.name}")
        except CannotPrint as refused:
            messages.error(request, str(refused))
            return redirect("handover", job.pk)
    context = {"job": job, "document": document, "body": mark_safe(document.body)}
    return render(request, "days/handover_page.html", context)
