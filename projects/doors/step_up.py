"""The password once more: before what an owner does to people and keys, and when an owner was long away.

What was sent is not lost: the page that asks for the password carries it, and sends both to the same address.
"""

from django.shortcuts import redirect, render
from django.utils.http import urlencode

from projects.doors import sessions
from projects.doors.forms import PasswordAgainForm

BOX = "password_again"


def wants_password(request, again, *, on_site=False):
    """Has the password to be typed before this? Keeps the idle session's clock going as it asks."""
    idle = request.member is not None and sessions.note(request, request.member) and not on_site
    if not request.user.email:  # came by a code, from a phone: has no password, and sees one job
        return False
    return idle or (again and not sessions.is_fresh(request))


def ask_again(request, *, again, name):
    """The answer that asks for the password, or None when it needn't be asked. again: the route wants it fresh."""
    # On site a phone is kept open all day, offline for part of it; nothing there is an owner's alone.
    if not wants_password(request, again, on_site=name.startswith("field")):
        return None
    if request.method == "POST" and not request.FILES:
        return _with_what_was_sent(request)
    page = request.get_full_path() if request.method in ("GET", "HEAD") else request.path
    return redirect(f"/step-up/?{urlencode({'next': page})}")


def _with_what_was_sent(request):
    typed = {"password": request.POST[BOX]} if BOX in request.POST else None
    form = PasswordAgainForm(request.user, typed)
    if typed and form.is_valid():
        sessions.typed(request)
        return None
    sent = [
        (key, value)
        for key, values in request.POST.lists()
        if key not in (BOX, "csrfmiddlewaretoken")
        for value in values
    ]
    return answer(request, form, {"sent": sent, "to": request.get_full_path(), "box": BOX})


def answer(request, form, context):
    status = 429 if form.wait else 403
    asked = render(request, "doors/step_up.html", {"form": form, **context}, status=status)
    if form.wait:
        asked["Retry-After"] = str(form.wait)
    return asked
