"""Pages of the second factor: setting it up, and typing its code after the password."""

from django import forms
from django.contrib import messages
from django.contrib.auth import login
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from projects.doors import devices, second, step_up
from projects.doors.forms import Paced
from projects.doors.web import first_screen, paced, safe


class CodeForm(Paced):
    code = forms.CharField(
        label=gettext_lazy("Code"),
        max_length=20,
        help_text=gettext_lazy("Six digits from the phone, or one of the codes on paper."),
        widget=forms.TextInput(attrs={"autocomplete": "one-time-code", "inputmode": "text"}),
    )

    def clean_code(self):
        """As it is typed: spaces and capitals don't matter, and no other script's digits are taken."""
        code = "".join(self.cleaned_data["code"].split()).casefold()
        if not (code.isascii() and code.isalnum()):
            raise forms.ValidationError(_("Type the six digits that the phone shows."))
        return code


def sign_in_code(request):
    """After the right password: the code, then in."""
    user, to = second.halfway(request)
    if user is None:
        return redirect("sign_in")
    form = CodeForm(request.POST or None)
    if request.method == "POST" and form.is_valid() and _right(form, lambda code: second.is_their_code(user, code)):
        login(request, user)
        request.session.pop(second.HALFWAY, None)
        return devices.remember(request, redirect(safe(request, to, first_screen(user))), user.email)
    return _page(request, "doors/sign_in_code.html", form)


def second_factor(request):
    """Set it up, make new codes for paper, turn it off; each after the password."""
    if not request.user.email:
        raise Http404
    if request.method == "POST":
        return step_up.ask_again(request, again=True, name="second_factor") or _changed(request)
    return _standing(request)


def _changed(request):
    user, what = request.user, request.POST.get("do")
    if what == "begin":
        second.begin(user)
        return redirect("second_factor")
    if what == "codes" and second.is_on(user):
        return _standing(request, codes=second.new_codes(user))
    if what == "off":
        second.turn_off(user)
        messages.success(request, _("Turned off. The password alone lets you in."))
        return redirect("second_factor")
    form = CodeForm(request.POST)
    made = form.is_valid() and _right(form, lambda code: second.turn_on(user, code))
    return _standing(request, codes=made) if made else _standing(request, form)


def _right(form, look):
    """What look(code) gives; nothing, and the form says why, for a wrong code or one too many."""
    try:
        found = form.counted(lambda: look(form.cleaned_data["code"]))
    except forms.ValidationError as refused:
        form.add_error("code", refused)
        return None
    if not found:
        form.add_error("code", _("That is not the code. Wait for the next one and type it."))
    return found


def _standing(request, form=None, codes=()):
    user = request.user
    waiting = None if codes else second.waiting(user)
    context = {
        "on": second.is_on(user),
        "waiting": second.shown(waiting) if waiting else None,
        "codes": codes,
        "left": second.codes_left(user),
    }
    return _page(request, "doors/second_factor.html", form or CodeForm(), **context)


def _page(request, template, form, **context):
    answer = render(request, template, {"form": form, **context}, status=422 if form.errors else 200)
    return paced(answer, form.wait)
