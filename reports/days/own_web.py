"""A person's own: the calendar's address, the morning's letter. And the calendar itself, behind its address."""

import hashlib

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseNotModified
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import parse_etags
from django.utils.translation import gettext as _

from projects.doors.door import speak_for_link
from projects.joining.queries import the_one_job
from projects.platform.one_job import keep_to
from reports.days import services
from reports.days.feed import calendar_of
from reports.days.models import CalendarFeed, MorningLetter


def own_days(request):
    """Make, show once, end; and whether a letter comes in the morning."""
    member, address = request.member, ""
    if request.method == "POST" and "make" in request.POST:
        _feed, secret = services.make_feed(member)
        address = request.build_absolute_uri(reverse("calendar_feed", args=[secret]))
    elif request.method == "POST":
        return _settled(request, member)
    context = {
        "address": address,
        "feed": CalendarFeed.objects.of(request.shop).filter(member=member, ended_at=None).first(),
        "letter": MorningLetter.objects.of(request.shop).filter(member=member, wanted=True).first(),
    }
    answer = render(request, "days/own_days.html", context)
    answer["Cache-Control"] = "private, no-store"
    return answer


def _settled(request, member):
    if "end" in request.POST:
        services.end_feed(member)
        messages.success(request, _("Ended. Calendars that read it get nothing from now on."))
    elif request.POST.get("letter") == "yes" and member.user.email:
        services.want_letter(member, True)
        messages.success(request, _("A letter comes to %(email)s each morning.") % {"email": member.user.email})
    elif request.POST.get("letter") == "no":
        services.want_letter(member, False)
        messages.success(request, _("No more letters."))
    return redirect("own_days")


def calendar_feed(request, feed):
    """The calendar behind an address, as far as its person may see on this day. 404 once it is ended."""
    found = services.read_feed(feed)
    if found is None:
        raise Http404
    speak_for_link(found.shop_id)
    keep_to(the_one_job(found.member))  # until this request is over: the door undoes it
    content = calendar_of(found.member, request.build_absolute_uri, today=timezone.localdate())
    tag = f'"{hashlib.sha256(content).hexdigest()[:32]}"'
    held = parse_etags(request.headers.get("If-None-Match", ""))
    same = tag in (one.removeprefix("W/") for one in held)
    answer = HttpResponseNotModified() if same else HttpResponse(content, content_type="text/calendar; charset=utf-8")
    answer["ETag"] = tag
    answer["Cache-Control"] = "private, no-cache"
    answer["X-Robots-Tag"] = "noindex, nofollow"
    if not same:
        answer["Content-Disposition"] = 'inline; filename="days.ics"'
    return answer
