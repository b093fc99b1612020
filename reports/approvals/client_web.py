"""The page behind a client's approval link: no sign-in. It shows one revision as it was when the link was made.

Nothing here reads a shop's other records. Pressing the plan is a plain image button: it works without scripts.
"""

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify

from projects.doors.door import speak_for_link
from reports.approvals import pictures, queries, services
from reports.approvals.contents import along_across, kept, nearest, on_plan
from reports.approvals.forms import ChangeForm, NotYetForm, YesForm
from reports.approvals.models import Says
from reports.approvals.paper import approval_paper
from reports.approvals.showing import shown
from reports.approvals.words import where
from reports.documents.head import PAPERS
from reports.documents.pdf import CannotPrint

PRESSED = "at"  # the image button's name: a browser sends at.x and at.y, in CSS pixels


def _found(approval):
    link = queries.link_behind(approval)
    if link is None:
        raise Http404
    speak_for_link(link.shop_id)
    return link


def client_approval(request, approval):
    link, today = _found(approval), timezone.localdate()
    told, refused = kept(link), ""
    do = request.POST.get("do", "")
    pressed = _pressed(request.POST, told)
    forms = _forms(told, link, today, request.POST, do, pressed)
    form = None if pressed else forms.get(do)
    if form is not None and request.method == "POST" and form.is_valid():
        try:
            _answer(link, told, do, form, today)
        except services.NotDone as error:
            refused, link = str(error), _found(approval)
        else:
            return _alone(redirect(f"{request.path}#said"))
    status = 409 if refused else 422 if form is not None and form.errors else 200
    context = _context(link, told, forms, refused, pressed, today)
    return _alone(render(request, "approvals/client.html", context, status=status))


def _pressed(data, told):
    """Where the plan was pressed, mm. The image button pressed by keyboard sends its corner, which is no place."""
    found = [data.get(f"{PRESSED}.{way}", "") for way in "xy"]
    if not all(text.isascii() and text.isdecimal() and len(text) < 5 for text in found) or set(found) == {"0"}:
        return None
    x, y = pictures.place_at(told, *map(int, found))
    return min(max(x, 0), told["wide"]), min(max(y, 0), told["deep"])


def _forms(told, link, today, data, do, pressed):
    """One bound at most. With the plan pressed none is: what was typed beside it is kept, nothing is sent yet."""
    start = {"digest": link.digest, "on": today}
    asked = start
    if pressed:
        asked = start | {name: data.get(name, "") for name in ("words", "name")} | dict(zip("xy", pressed, strict=True))

    def bound(name):
        return data if do == name and not pressed else None

    return {
        Says.YES.value: YesForm(bound("yes"), initial=start, today=today, auto_id="yes-%s"),
        Says.CHANGE.value: ChangeForm(bound("change"), initial=asked, marks=told["marks"], auto_id="change-%s"),
        Says.NOT_YET.value: NotYetForm(bound("not_yet"), initial=start, auto_id="later-%s"),
    }


def _answer(link, told, says, form, today):
    data = form.cleaned_data
    place = form.place if says == Says.CHANGE else None
    services.answer(
        link, data["digest"], says, on=data.get("on") or today, today=today, name=data.get("name", ""),
        words=data.get("words", ""), point=along_across(told, *place) if place else None,
    )  # fmt: skip


def _context(link, told, forms, refused, pressed, today):
    accepted = queries.accepted_in(link)
    gone = link.revoked_at is not None or not link.room.stands
    later = link.room.revisions.filter(number__gt=link.revision.number).order_by("-number").first()
    over = today > link.expires_on
    may = not (gone or later or over or accepted)
    context = {"gone": gone, "later": later, "over": over and not accepted, "accepted": accepted, "refused": refused,
               "until": link.expires_on, "may": may, "link": link, "room_name": told["room"]}  # fmt: skip
    # Replaced, or open too long: the old plan isn't shown to be taken for the new one. What was accepted stays.
    if gone or not (may or accepted):
        return context
    tape = link.room.job.tape
    points = [(*pressed, "")] if pressed else []
    if pressed:
        context["pointed"] = {"where": where(told, *pressed, tape), "near": nearest(told, *pressed)}
    wide, high = pictures.size_of(told)
    answers = [(one, _where(one, told, tape)) for one in link.answers.all()]
    return context | shown(told, tape, points=points) | {
        "told": told, "yes": forms["yes"], "change": forms["change"], "later_form": forms["not_yet"],
        "digest": link.digest[:12], "answers": answers,
        "pressed": pressed, "plan_wide": wide, "plan_high": high,
    }  # fmt: skip


def _where(one, told, tape):
    return where(told, *on_plan(told, one.along, one.across), tape) if one.along is not None else ""


def approval_plan(request, approval):
    """The plan as a picture to press, with the place that was pressed: ?x=…&y=… in mm."""
    link = _found(approval)
    if link.revoked_at is not None or not link.room.stands:
        raise Http404
    told, points = kept(link), ()
    place = [request.GET.get(way, "") for way in "xy"]
    if all(text.isascii() and text.isdecimal() and len(text) < 7 for text in place):
        points = ((*map(int, place), ""),)
    return _alone(HttpResponse(pictures.plan_svg(told, points=points), content_type="image/svg+xml"))


def approval_copy(request, approval):
    """What was accepted, to keep: a PDF."""
    link = _found(approval)
    accepted = queries.accepted_in(link)
    if accepted is None or link.revoked_at is not None:
        raise Http404
    return _alone(as_pdf(request, link, accepted, reverse("client_approval", args=[link.token])))


def as_pdf(request, link, accepted, back):
    """back: where to go when nothing can be printed here."""
    told = kept(link)
    document = approval_paper(link, told, accepted, link.room.job.tape)
    try:
        content = document.pdf(PAPERS.get(request.GET.get("paper"), PAPERS["letter"]))
    except CannotPrint:
        return redirect(back)
    answer = HttpResponse(content, content_type="application/pdf")
    name = slugify(f"{told['job']['number']} {told['room']} revision {told['revision']} approval")
    answer["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return answer


def _alone(answer):
    """Not kept by a phone, not found by a search."""
    answer["Cache-Control"] = "no-store"
    answer["X-Robots-Tag"] = "noindex, nofollow"
    return answer
