"""The page of what was marked, set and cut, and the answers to moves that were asked: door, service, answer."""

from django import forms
from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout.as_built import services
from layout.as_built.models import Step
from layout.as_built.page import built_svg, lines_of
from layout.as_built.queries import last_moves, marks_of
from layout.engine.lengths import LengthError
from layout.services import NotAsIssued, thawed
from projects.jobs.queries import room_of
from projects.platform.forms import NoteFormField


class StepForm(forms.Form):
    """Marks at one step, where they go: what is ticked."""

    step = forms.ChoiceField(choices=Step.choices)
    marks = forms.MultipleChoiceField()

    def __init__(self, data=None, *, idents):
        super().__init__(data)
        self.fields["marks"].choices = [(ident, ident) for ident in idents]


class TakeBackForm(forms.Form):
    ident = forms.CharField(max_length=8)
    step = forms.ChoiceField(choices=Step.choices)
    version = forms.IntegerField(min_value=1)


class AnswerForm(forms.Form):
    move = forms.IntegerField(min_value=1, max_value=2**62)
    note = NoteFormField(label=gettext_lazy("Note"), max_length=400, required=False)


def as_built(request, room_id):
    room = room_of(request.shop, room_id)
    now = marks_of(room)
    if request.method == "POST":
        return _enter(request, room, now)
    return _page(request, room, now)


def _page(request, room, now, form=None, status=200):
    context = {"room": room, "now": now, "form": form, "steps": Step.choices, "moves": last_moves(room)}
    if now.revision is not None:
        try:
            layout = thawed(now.revision)
        except NotAsIssued as refused:
            context["refused"] = str(refused)
        else:
            tape = room.job.tape
            context |= {"lines": lines_of(now, layout, tape), "svg": built_svg(now, layout, room, tape)}
            context["counts"] = [(words, now.count(step)) for step, words in Step.choices]
            context["limit"] = tape.show(room.job.crew_may_move)
    return render(request, "as_built/as_built.html", context, status=status)


def _enter(request, room, now):
    form = StepForm(request.POST, idents=[mark.ident for mark in now.marks])
    if not form.is_valid():
        messages.error(request, _("Nothing was entered: choose a step and tick the marks that are there."))
        return _page(request, room, now, form, status=422)
    said = form.cleaned_data
    try:
        kept = services.record_all(room, said["marks"], step=said["step"], by=request.member)
    except (services.NotKept, services.Differs, LengthError) as refused:
        messages.error(request, str(refused))
        return _page(request, room, now, form, status=422)
    messages.success(request, _("%s marks kept.") % len(kept))
    return redirect("as_built", room.pk)


def take_back_mark(request, room_id):
    room = room_of(request.shop, room_id)
    form = TakeBackForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Nothing was taken back: open the page anew and press it again."))
        return redirect("as_built", room.pk)
    said = form.cleaned_data
    try:
        services.take_back(room, said["ident"], step=said["step"], by=request.member, base=said["version"])
    except (services.NotKept, services.Differs) as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, _("Taken back. It stays in the history."))
    return redirect("as_built", room.pk)


def answer_mark_move(request, room_id):
    room = room_of(request.shop, room_id)
    form = AnswerForm(request.POST)
    yes = "yes" in request.POST
    if not form.is_valid() or not (yes or "no" in request.POST):
        messages.error(request, _("Nothing was answered: open the page anew, then press yes or no there."))
        return redirect("as_built", room.pk)
    said = form.cleaned_data
    try:
        services.answer(room, said["move"], yes=yes, note=said["note"], by=request.member)
    except (services.NotKept, services.Differs) as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, _("Yes: the marks go there.") if yes else _("No. The crew's page says so."))
    return redirect("as_built", room.pk)
