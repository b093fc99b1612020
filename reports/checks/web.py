"""Pages of a checklist as it is answered. Door, form, service, answer."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from projects.jobs.queries import job_of, room_of
from projects.photos.services import NoPicture, QuotaFull
from projects.platform.pages import both_versions
from projects.platform.tenancy import StaleVersion
from reports.checks import services
from reports.checks.forms import NO, YES, AnswerForm, KnownForm
from reports.checks.models import RoomKnown
from reports.checks.queries import progress, sheet_of, sheet_of_job
from reports.documents.checklist import CONDITIONS
from reports.estimating.checklist import ASKED_ON_SITE

PAGE = 50


def room_checks(request, room_id):
    """A room's checklist: what is asked of it, what was answered, and a box for each."""
    room = room_of(request.shop, room_id)
    sheet = sheet_of(room)

    def kept(form, photo):
        said = form.cleaned_data
        services.answer(
            room, form.row.item.number, said["outcome"], by=request.member, reason=said["reason"], photo=photo,
            base=said["base"],
        )  # fmt: skip

    forms, refused = _answered(request, sheet, room, kept)
    if request.method == "POST" and not refused:
        return redirect("room_checks", room.pk)
    known = RoomKnown.objects.of(request.shop).filter(room=room).first()
    context = {
        "room": room,
        "sheet": sheet_of(room) if refused else sheet,
        "groups": _by_group(forms),
        "known": _known_form(known),
        "revision": room.revisions.order_by("-number").first(),
        "refused": refused,
    }
    return render(request, "checks/room.html", context, status=422 if refused else 200)


def job_checks(request, job_id):
    """What is asked once for the job and for each floor, and how far each room is."""
    job = job_of(request.shop, job_id)
    levels = list(job.rooms.filter(cancelled=False).order_by("level").values_list("level", flat=True).distinct())
    level = request.GET.get("level", levels[0] if levels else "")
    if level not in levels and levels:
        raise Http404
    sheets = {None: sheet_of_job(job), level: sheet_of_job(job, level)} if levels else {}
    parts, refused = [], []
    for of_level, sheet in sheets.items():

        def kept(form, photo, of_level=of_level):
            said = form.cleaned_data
            services.answer_for(
                job, form.row.item.number, said["outcome"], level=of_level or "", by=request.member,
                reason=said["reason"], base=said["base"],
            )  # fmt: skip

        forms, wrong = _answered(request, sheet, None, kept)
        parts.append({"level": of_level, "job": of_level is None, "forms": forms})
        refused += wrong
    if request.method == "POST" and not refused:
        return redirect(request.get_full_path())
    page = Paginator(job.rooms.filter(cancelled=False).order_by("pk"), PAGE).get_page(request.GET.get("page"))
    how_far = progress(list(page))
    rows = [(room, *how_far[room.pk]) for room in page]
    context = {
        "job": job, "levels": levels, "level": level, "parts": parts, "page": page, "rows": rows, "refused": refused,
        "query": f"level={level}" if level else "",
    }  # fmt: skip
    return render(request, "checks/job.html", context, status=422 if refused else 200)


def pass_rest(request, room_id):
    """One press for what is left of a group. A caution, or what the inspection waits for, is never among it."""
    room = room_of(request.shop, room_id)
    passed = services.pass_rest(room, request.POST.get("group", ""), by=request.member)
    words = ngettext("%(n)s item passed.", "%(n)s items passed.", passed) % {"n": passed}
    messages.success(request, words + " " + _("Cautions are answered one by one."))
    return redirect("room_checks", room.pk)


def room_known(request, room_id):
    """What the room has that no drawing tells: it decides what the checklist asks."""
    room = room_of(request.shop, room_id)
    form = KnownForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Not kept: choose yes, no, or not known yet for each."))
        return redirect("room_checks", room.pk)
    try:
        services.tell(room, form.seen_version, form.changes, by=request.member)
    except StaleVersion as stale:
        back, theirs = reverse("room_checks", args=[room.pk]), _chosen(stale.theirs)
        return both_versions(request, form, stale, name=room.name, back=back, theirs=theirs)
    messages.success(request, _("Kept. The checklist asks what this room needs."))
    return redirect("room_checks", room.pk)


def _known_form(known):
    return KnownForm(initial={"version": known.version if known else 0, **(_chosen(known) if known else {})})


def _chosen(known):
    words = {None: "", True: YES, False: NO}
    return {name: words[getattr(known, name)] for name in ASKED_ON_SITE}


def _answered(request, sheet, room, keep):
    """A form for each item, those that were posted kept; and the forms that could not be."""
    posted = request.method == "POST"
    forms, refused = [], []
    for row in sheet.asked:
        given = (request.POST, request.FILES) if posted and f"i{row.item.number}-base" in request.POST else ()
        form = AnswerForm(*given, prefix=f"i{row.item.number}", row=row, initial=_initial(row))
        form.turns_on = [CONDITIONS.get(name, name) for name in row.turns_on] if row.bearing == "ask" else []
        forms.append(form)
        if given and not (form.is_valid() and (not form.touched or _kept(request, form, room, keep))):
            refused.append(form)
    return forms, refused


def _initial(row):
    stands = row.answer
    return {"outcome": stands.outcome, "reason": stands.reason, "base": stands.version} if stands else {"base": 0}


def _kept(request, form, room, keep):
    """Whether the form's answer could be kept; if not, its error stands in the form."""
    upload = form.cleaned_data["photo"]
    try:
        photo = None
        if upload and room is not None:
            photo = services.photo_of_item(room, form.row.item.number, upload, by=request.member)
        keep(form, photo)
    except services.NotAnswered as wrong:
        form.add_error(wrong.field if wrong.field in form.fields else None, str(wrong))
    except (NoPicture, QuotaFull) as wrong:
        form.add_error("photo", str(wrong))
    except services.AnsweredOtherwise as other:
        form.other = other.theirs
        form.add_error(None, str(other))
        # Kept again, it goes over what now stands: the person has both before them.
        form.data = form.data.copy()
        form.data[form.add_prefix("base")] = str(other.theirs.version)
    return form.is_valid()


def _by_group(forms):
    groups = {}
    for form in forms:
        groups.setdefault(form.row.item.group, []).append(form)
    return [
        {
            "name": name,
            "forms": of_group,
            "rest": sum(
                form.row.answer is None
                and not services.one_by_one(form.row.item)
                and not form.row.shared
                and form.row.bearing == "yes"
                for form in of_group
            ),
        }
        for name, of_group in groups.items()
    ]
