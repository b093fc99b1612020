"""Letters about coming in, written by the worker: who asks learns nothing from how long it takes.

No secret waits in the queue: a link is reckoned when the letter is written.
"""

from django.conf import settings
from django.core.mail import EmailMessage
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import translation
from django.utils.translation import gettext as _
from django_tasks import task

from projects.accounts.models import User
from projects.doors.links import full, invitation_path, reset_path
from projects.doors.models import Invitation


@task
def write_letter(kind, about):
    """kind: a key of LETTERS; about: an e-mail, or an invitation's id. Nothing is sent to who isn't there."""
    LETTERS[kind](about)


def _user(email):
    return User.objects.filter(email=email, is_active=True).first()


def _send(to, language, subject, template, **context):
    with translation.override(language or settings.LANGUAGE_CODE):
        body = render_to_string(template, context)
        EmailMessage(" ".join(str(subject()).split()), body, to=[to]).send()


def _reset(email):
    if user := _user(email):
        link = full(reset_path(user))
        _send(user.email, user.language, lambda: _("A new password"), "doors/reset.txt", user=user, link=link)


def _guesses(email):
    if user := _user(email):
        link = full(reverse("lost_password"))
        _send(
            user.email,
            user.language,
            lambda: _("Somebody tried to sign in as you"),
            "doors/guesses.txt",
            user=user,
            link=link,
        )


def _changed(email):
    if user := _user(email):
        link = full(reverse("lost_password"))
        _send(
            user.email, user.language, lambda: _("Your password was changed"), "doors/changed.txt", user=user, link=link
        )


def _invitation(invitation_id):
    found = Invitation.objects.every_shop().filter(pk=invitation_id, ended_at=None)
    if asked := found.select_related("shop", "made_by__user").first():
        _send(
            asked.email,
            asked.made_by.user.language,
            lambda: _("%(shop)s asks you in") % {"shop": asked.shop},
            "doors/invitation.txt",
            asked=asked,
            link=full(invitation_path(asked)),
        )


LETTERS = {"reset": _reset, "guesses": _guesses, "changed": _changed, "invitation": _invitation}
