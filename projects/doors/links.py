"""The links that letters carry: each is reckoned from a row with the server's key, and stored nowhere.

An invitation's is its id and a keyed digest of what it says: nobody makes one up. A reset's is Django's own token.
"""

from django.conf import settings
from django.contrib.auth.tokens import default_token_generator
from django.urls import reverse
from django.utils.crypto import constant_time_compare, salted_hmac
from django.utils.http import int_to_base36


def full(path):
    """With the server's own address in front, which comes from its settings, never from a request."""
    return settings.PUBLIC_URL + path


def invitation_path(invitation):
    return reverse("invitation", args=[f"{invitation.pk}-{_mark(invitation)}"])


def is_mark_of(mark, invitation):
    """Does a link that ends so open this invitation?"""
    return constant_time_compare(mark, _mark(invitation))


def _mark(invitation):
    says = (invitation.pk, invitation.shop_id, invitation.email, invitation.role, invitation.made_at.timestamp())
    return salted_hmac("projects.doors.invitation", repr(says), algorithm="sha256").hexdigest()


def reset_path(user):
    """It ends with its hour, the next sign-in, another password or another e-mail."""
    reset = f"{int_to_base36(user.pk)}-{default_token_generator.make_token(user)}"
    return reverse("new_password", args=[reset])
