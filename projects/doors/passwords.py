"""Passwords: changed by who knows the old one, or set anew by who holds a letter's link.

Either way every other session of the person ends: a session holds to the password's hash it began with.
"""

from django.contrib.auth.tokens import default_token_generator
from django.db import transaction
from django.utils import timezone
from django.utils.http import base36_to_int

from projects.accounts.models import ApiToken, User
from projects.doors import pace
from projects.doors.letters import write_letter
from projects.platform.address import client_address, counted_as
from projects.platform.speaking import speaking
from projects.platform.walling import every_shop


class LinkOver(Exception):
    """The letter's link was used, is older than an hour, or was never one. Which of them isn't told."""


def is_their_password(user, password):
    """Did they type it right? A guess is counted before it is looked at. Raises TooOften."""
    pace.take(pace.AGAIN, user.pk)
    if not user.check_password(password):
        return False
    pace.give_back(pace.AGAIN, user.pk)
    return True


@transaction.atomic
def set_password(user, password, *, end_tokens):
    """The new password, from the next request on the only way in. Returns the user as stored."""
    held = User.objects.select_for_update().get(pk=user.pk)
    return _set(held, password, end_tokens)


def _set(held, password, end_tokens):
    held.set_password(password)
    held.save(update_fields=["password"])
    if end_tokens:
        with every_shop():  # their tokens in each shop they work for
            ApiToken.objects.filter(member__user=held, ended_at=None).update(ended_at=timezone.now())
    if held.email:
        write_letter.enqueue("changed", held.email)
    return held


# Who lost it


def ask_for_letter(request, email):
    """A letter with a link, if anybody signs in by this e-mail: found out by the queue. Raises TooOften for the place.

    An e-mail asked for too often is silently not written to: a flood fills no letter box, and the answer is the same.
    """
    pace.take(pace.RESET_FROM, counted_as(client_address(request)))
    try:
        pace.take(pace.RESET, email)
    except pace.TooOften:
        return
    write_letter.enqueue("reset", email)


def user_of(reset):
    """Whose link this is. Raises LinkOver."""
    return _held(reset, User.objects.all())


@transaction.atomic
def reset_password(reset, password, *, end_tokens):
    """Set it by the link, which is used up with that; of two at once one is. Raises LinkOver."""
    held = _held(reset, User.objects.select_for_update())
    with speaking(user=held.pk, via="page"):
        return _set(held, password, end_tokens)


def _held(reset, users):
    number, _dash, token = reset.partition("-")
    try:
        pk = base36_to_int(number)
    except ValueError:
        raise LinkOver from None
    user = users.filter(pk=pk, is_active=True, email__isnull=False).first() if pk < 2**63 else None
    if user is None or not default_token_generator.check_token(user, token):
        raise LinkOver
    return user
