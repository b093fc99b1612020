"""Pages of a room's stage: what the next one asks, what was passed, where it has been. Door, form, service, answer."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from projects.catalogue.tables import stages
from projects.jobs.models import Room
from projects.jobs.queries import job_of, room_at
from projects.platform.permissions import may
from projects.platform.tenancy import StaleVersion
from projects.stages import queries, services
from projects.stages.forms import PASS, SAY, AnswerForm, HoldForm, MoveForm, ReasonForm
from projects.stages.order import name_of, next_hold, next_of, numbers_of, place_of, stages_of
from projects.stages.services import Lack


def move_stage(request, room_id):
    room = room_at(request.shop, room_id)
    if request.method == "POST":
        return _move(request, room)
    return _show(request, room, _wanted(request, room))


def _wanted(request, room):
    """The stage the address asks about; else the next one, or the last."""
    asked = request.GET.get("stage", "")
    own = numbers_of(room.job.runs_as)
    if asked.isascii() and asked.isdecimal() and len(asked) < 3 and int(asked) in own:
        return int(asked)
    following = next_of(room.stage, room.job)
    return own[-1] if following is None else following


def _move(request, room):
    first = MoveForm(request.POST)
    if not first.is_valid():
        messages.error(request, _("The stage was not moved: choose one of the list, and keep the note short."))
        return redirect("move_stage", room.pk)
    to, passing = first.cleaned_data["stage"], may(request.member, "pass guards")
    asked = _lacks(queries.asked_of(room, to))
    form = MoveForm(request.POST, boxes=asked, passing=passing)
    if not form.is_valid():
        return _show(request, room, to, form, status=422)
    try:
        services.move(room, to, by=request.member, seen_version=form.cleaned_data["version"], **form.move)
    except StaleVersion as stale:
        messages.error(request, _("Somebody changed this room meanwhile. Look at it again, then move it."))
        fresh = MoveForm(_with(request.POST, stale.theirs.version), boxes=asked, passing=passing)
        return _show(request, room_at(request.shop, room.pk), to, fresh, status=409)
    except Room.DoesNotExist:
        raise Http404 from None
    except services.Refused as refused:
        (lacks,) = refused.lacks.values()
        for lack in lacks:
            if not lack.key:
                form.add_error(None, lack.words)
        return _show(request, room, to, form, refused=True, status=422)
    messages.success(request, services.told(room, to))
    return redirect("room", room.pk)


def _with(posted, version):
    changed = posted.copy()
    changed["version"] = version
    return changed


def _lacks(asked):
    return [Lack.of(one.guard, one.missing) for one in asked if one.missing]


def _show(request, room, to, form=None, *, refused=False, status=200):
    asked = queries.asked_of(room, to)
    if form is None:
        start = {"stage": to, "waits_for": room.waits_for, "version": room.version}
        form = MoveForm(initial=start, boxes=_lacks(asked), passing=may(request.member, "pass guards"))
    context = {
        "room": room,
        "here": name_of(room.stage, room.job),
        "to": to,
        "to_name": name_of(to, room.job),
        "back": place_of(to, room.job) < place_of(room.stage, room.job),
        "stays": to == room.stage,
        "steps": stages_of(room.job),
        "stage": stages()[to],
        "asked": [_line(one, form) for one in asked],
        "lacking": sum(1 for one in asked if one.missing),
        "hold": next_hold(room),
        "open": queries.open_passes(room),
        "form": form,
        "refused": refused,
        "hold_form": HoldForm(prefix="hold"),
        "cancel_form": ReasonForm(prefix="cancel"),
    }
    return render(request, "stages/stage.html", context, status=status)


def _line(one, form):
    """A guard with its boxes."""
    named = [SAY + one.guard.said, PASS + one.guard.key]
    return {"guard": one.guard, "missing": one.missing, "boxes": [form[name] for name in named if name in form.fields]}


# Beside the stages


def hold_room(request, room_id):
    room = room_at(request.shop, room_id)
    form = HoldForm(request.POST, prefix="hold")
    if not form.is_valid():
        messages.error(request, _("Not held up: say who must act, and why."))
        return redirect("move_stage", room.pk)
    return _done(request, room, lambda: services.hold(room, by=request.member, **form.cleaned_data), _("Held up."))


def lift_hold(request, room_id):
    room = room_at(request.shop, room_id)
    return _done(request, room, lambda: services.lift(room, by=request.member), _("The room goes on."))


def cancel_room(request, room_id):
    room = room_at(request.shop, room_id)
    form = ReasonForm(request.POST, prefix="cancel")
    if not form.is_valid():
        messages.error(request, _("Not cancelled: say why."))
        return redirect("move_stage", room.pk)
    why = form.cleaned_data["why"]
    return _done(request, room, lambda: services.cancel(room, why=why, by=request.member), _("The room is cancelled."))


def bring_back_room(request, room_id):
    room = room_at(request.shop, room_id)
    return _done(request, room, lambda: services.bring_back(room, by=request.member), _("The room is back."))


def _done(request, room, change, said):
    try:
        change()
    except services.Refused as refused:
        messages.error(request, " ".join(lack.words for lacks in refused.lacks.values() for lack in lacks))
    except Room.DoesNotExist:
        raise Http404 from None
    else:
        messages.success(request, said)
    return redirect("move_stage", room.pk)


# What was passed, and where the room has been


def look_again(request, room_id):
    room = room_at(request.shop, room_id)
    met = services.look_again(room, by=request.member)
    left = queries.open_passes(room).count()
    messages.success(request, _("Looked again: %(met)s met now, %(left)s still open.") % {"met": met, "left": left})
    return redirect("move_stage", room.pk)


def answer_pass(request, room_id, pass_id):
    room = room_at(request.shop, room_id)
    passed = queries.pass_of(room, pass_id)
    form = AnswerForm(request.POST or None, initial={"version": passed.version})
    if request.method == "POST" and form.is_valid():
        told = form.cleaned_data
        try:
            services.answer_pass(passed, told["words"], by=request.member, seen_version=told["version"])
        except services.StaysOpen as stays:
            form.add_error(None, str(stays))
        except StaleVersion:
            messages.error(request, _("It was answered meanwhile; nothing was changed."))
            return redirect("answer_pass", room.pk, passed.pk)
        else:
            messages.success(request, _("Answered."))
            return redirect("move_stage", room.pk)
    context = {"room": room, "passed": passed, "form": form}
    return render(request, "stages/pass.html", context, status=422 if form.errors else 200)


def stage_history(request, room_id):
    room = room_at(request.shop, room_id)
    page = queries.history(room, request.GET.get("page"))
    names = {stage.number: name_of(stage.number, room.job) for stage in stages()}
    return render(request, "stages/history.html", {"room": room, "page": page, "names": names})


def open_passes(request):
    return render(request, "stages/open.html", {"page": queries.page_of_open(request.shop, request.GET.get("page"))})


def job_passes(request, job_id):
    job = job_of(request.shop, job_id)
    page = queries.page_of_open(request.shop, request.GET.get("page"), job)
    return render(request, "stages/open.html", {"page": page, "job": job})
