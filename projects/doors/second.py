"""A second factor: six digits of a phone's clock (TOTP, RFC 6238), and ten codes on paper for when the phone is lost.

The reckoning is django-otp's. Each guess is counted first (pace.py), and the device's row is locked while it is looked
at: a code opens once, also when it is sent twice at the same moment.
"""

import time
from base64 import b32encode

import segno
from django.conf import settings
from django.db import transaction
from django_otp.plugins.otp_static.models import StaticDevice, StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from projects.accounts.models import User
from projects.doors import pace

CODES = 10
HALFWAY = "halfway"  # where a session keeps who typed the right password and has still to type a code
HALFWAY_STANDS = 600  # seconds
GUESSES = pace.Pace("second factor", burst=5, every=180)


def is_on(user):
    return TOTPDevice.objects.filter(user=user, confirmed=True).exists()


@transaction.atomic
def begin(user):
    """A device that waits for its first code. One that waited before is forgotten."""
    User.objects.select_for_update().get(pk=user.pk)
    TOTPDevice.objects.filter(user=user, confirmed=False).delete()
    return TOTPDevice.objects.create(user=user, name="phone", confirmed=False)


def waiting(user):
    return TOTPDevice.objects.filter(user=user, confirmed=False).first()


def shown(device):
    """What the phone's program is told: the key in groups of four, and a picture of all of it as a data URI."""
    key = b32encode(device.bin_key).decode().rstrip("=")
    picture = segno.make(device.config_url, error="m").svg_data_uri(scale=4, border=4)
    return {"key": " ".join(key[at : at + 4] for at in range(0, len(key), 4)), "picture": picture}


@transaction.atomic
def turn_on(user, code):
    """The first code is right: from now on it is asked for. Returns the codes for paper, None for a wrong code."""
    pace.take(GUESSES, user.pk)
    device = TOTPDevice.objects.select_for_update().filter(user=user, confirmed=False).first()
    if device is None or not device.verify_token(code):
        return None
    TOTPDevice.objects.filter(user=user, confirmed=True).exclude(pk=device.pk).delete()
    device.confirmed = True
    device.save(update_fields=["confirmed"])
    pace.give_back(GUESSES, user.pk)
    return new_codes(user)


@transaction.atomic
def new_codes(user):
    """Ten codes for paper, shown once; those from before open nothing any more."""
    StaticDevice.objects.filter(user=user).delete()
    device = StaticDevice.objects.create(user=user, name="paper", confirmed=True)
    codes = [StaticToken.random_token() for _each in range(CODES)]
    StaticToken.objects.bulk_create(StaticToken(device=device, token=code) for code in codes)
    return codes


def codes_left(user):
    return StaticToken.objects.filter(device__user=user).count()


@transaction.atomic
def turn_off(user):
    TOTPDevice.objects.filter(user=user).delete()
    StaticDevice.objects.filter(user=user).delete()


def is_their_code(user, code):
    """Did they type what the phone shows, or a code from paper? Raises TooOften."""
    pace.take(GUESSES, user.pk)
    if not _opens(user, code):
        return False
    pace.give_back(GUESSES, user.pk)
    return True


@transaction.atomic
def _opens(user, code):
    kind = TOTPDevice if code.isdecimal() else StaticDevice
    devices = kind.objects.select_for_update().filter(user=user, confirmed=True)
    return any(device.verify_token(code) for device in devices)


# Between password and code


def go_halfway(request, user, to):
    """The password was right. The session is a new one, and holds nobody until the code is."""
    request.session.cycle_key()
    known = user.get_session_auth_hash()
    request.session[HALFWAY] = {"user": user.pk, "knows": known, "at": int(time.time()), "next": to}


def halfway(request):
    """(who, where to) of a session whose password was right a short while ago; (None, "") else."""
    kept = request.session.get(HALFWAY) or {}
    if kept.get("at", 0) < time.time() - HALFWAY_STANDS:
        return None, ""
    user = User.objects.filter(pk=kept["user"], is_active=True).first()
    if user is None or user.get_session_auth_hash() != kept["knows"]:
        return None, ""
    user.backend = settings.AUTHENTICATION_BACKENDS[0]
    return user, kept["next"]
