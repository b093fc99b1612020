"""Pages about coming in: signing in and out, passwords, invitations."""

from django.contrib import messages
from django.contrib.auth import login, logout, update_session_auth_hash
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _

from projects.accounts.models import Membership, RoleChoice, User
from projects.doors import devices, invitations, pace, passwords, second, sessions, step_up
from projects.doors.forms import (
    ChangePasswordForm,
    ComeInForm,
    LostPasswordForm,
    NewPasswordForm,
    PasswordAgainForm,
    SignInForm,
)
from projects.doors.sessions import SHOP_KEY
from projects.joining.queries import let_in
from projects.platform.address import client_address, counted_as

BACKEND = "django.contrib.auth.backends.ModelBackend"


def paced(answer, wait):
    """429 and when to come again, where too much was tried."""
    if wait:
        answer.status_code = 429
        answer["Retry-After"] = str(wait)
    return answer


def safe(request, target, otherwise="rooms"):
    """An address of this server, else the named page."""
    allowed = url_has_allowed_host_and_scheme(target, {request.get_host()}, require_https=request.is_secure())
    return target if allowed and target.isprintable() else otherwise


def sign_in(request):
    form = SignInForm(request, request.POST or None, initial={"next": request.GET.get("next", "")})
    if request.method == "POST" and form.is_valid():
        if second.is_on(form.user):
            second.go_halfway(request, form.user, form.cleaned_data["next"])
            return redirect("sign_in_code")
        login(request, form.user)
        answer = redirect(safe(request, form.cleaned_data["next"], first_screen(form.user)))
        return devices.remember(request, answer, form.user.email)
    answer = render(request, "platform/sign_in.html", {"form": form}, status=422 if form.errors else 200)
    return paced(answer, form.wait)


def first_screen(user):
    """What a person wants to see first: who only works on site today's rooms, anyone else this week's lines."""
    roles = set(let_in(Membership.objects.filter(user=user)).values_list("role", flat=True))
    return "field" if roles == {RoleChoice.CREW} else "home"


def sign_out(request):
    logout(request)
    return redirect("sign_in")


def step_up_page(request):
    """The password once more, then on to the page that asked for it."""
    form = PasswordAgainForm(request.user, request.POST or None)
    to = safe(request, request.POST.get("next", request.GET.get("next", "")), "/")
    if request.method == "POST" and form.is_valid():
        sessions.typed(request)
        return redirect(to)
    context = {"sent": [("next", to)], "to": "", "box": "password"}
    if request.method == "GET" or not form.errors:
        return render(request, "doors/step_up.html", {"form": form, **context})
    return step_up.answer(request, form, context)


# Passwords


def own_password(request):
    """Change it by the old one. Every other session of the person ends; this one goes on under another key."""
    user = request.user
    if not user.email:  # came by a code: there is none to change
        raise Http404
    form = ChangePasswordForm(user, request.POST or None)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        changed = passwords.set_password(user, data["new"], end_tokens=data["end_tokens"])
        update_session_auth_hash(request, changed)
        sessions.typed(request)
        messages.success(request, _("Changed. Everywhere else you are signed out."))
        return redirect("own_password")
    answer = render(request, "doors/password.html", {"form": form}, status=422 if form.errors else 200)
    return paced(answer, form.wait)


def lost_password(request):
    """A letter with a link, if anybody has this e-mail; the page says the same either way."""
    form, asked = LostPasswordForm(request.POST or None), False
    if request.method == "POST" and form.is_valid():
        try:
            passwords.ask_for_letter(request, form.cleaned_data["email"])
        except pace.TooOften as refused:
            form.add_error(None, str(refused))
            return paced(render(request, "doors/lost_password.html", {"form": form}), refused.wait)
        asked = True
    context = {"form": form, "asked": asked}
    return render(request, "doors/lost_password.html", context, status=422 if form.errors else 200)


def new_password(request, reset):
    """Behind a letter's link: a new password, once."""
    try:
        user = passwords.user_of(reset)
        form = NewPasswordForm(user, request.POST or None)
        if request.method == "POST" and form.is_valid():
            data = form.cleaned_data
            passwords.reset_password(reset, data["new"], end_tokens=data["end_tokens"])
            messages.success(request, _("Set. Sign in with it."))
            return redirect("sign_in")
    except passwords.LinkOver:
        return _over(request)
    return render(request, "doors/new_password.html", {"form": form}, status=422 if form.errors else 200)


def _over(request):
    """410 for a link that was one once or might have been; a guess costs the place it comes from."""
    wait = 0
    try:
        pace.take(pace.LINK_FROM, counted_as(client_address(request)))
    except pace.TooOften as refused:
        wait = refused.wait
    return paced(render(request, "doors/link_over.html", status=410), wait)


# Invitations


def invitation(request, invitation):
    """Behind an invitation's link: an account with a password of one's own, or one's account joins the shop."""
    try:
        asked = invitations.invitation_of(invitation)
        if asked is None:
            raise Http404
        if request.user.is_authenticated:
            return _joins(request, asked)
        if User.objects.filter(email=asked.email).exists():
            return _page(request, asked, known=True)
        return _comes_in(request, asked)
    except (invitations.InvitationOver, invitations.OtherAddress):
        return _over(request)


def _comes_in(request, asked):
    form = ComeInForm(User(email=asked.email, name=asked.name), request.POST or None, initial={"name": asked.name})
    if request.method != "POST" or not form.is_valid():
        return _page(request, asked, form=form)
    member = invitations.take_up(asked, name=form.cleaned_data["name"], password=form.cleaned_data["new"])
    login(request, member.user, backend=BACKEND)
    return devices.remember(request, _into(request, member), asked.email)


def _joins(request, asked):
    mine = request.user.email == asked.email
    if request.method != "POST" or not mine:
        return _page(request, asked, mine=mine, other=not mine)
    return _into(request, invitations.take_up(asked, user=request.user))


def _into(request, member):
    request.session[SHOP_KEY] = member.shop_id
    return redirect(first_screen(member.user))


def _page(request, asked, form=None, **what):
    status = 422 if form is not None and form.errors else 200
    return render(request, "doors/invitation.html", {"asked": asked, "form": form, **what}, status=status)


def invitation_again(request, invitation_id):
    if not invitations.send_again(request.shop, invitation_id):
        raise Http404
    messages.success(request, _("The letter is on its way again."))
    return redirect("people")


def take_back_invitation(request, invitation_id):
    if not invitations.take_back(request.shop, invitation_id):
        raise Http404
    messages.success(request, _("Taken back. Its link opens nothing from now on."))
    return redirect("people")
