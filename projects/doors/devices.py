"""A machine that somebody signed in on before: a signed cookie says for which account. It lets nobody in by itself.

A guess from such a machine is counted against the machine, not the account: who tries passwords from elsewhere can't
keep the person out of it.
"""

import secrets

from django.conf import settings
from django.core import signing

from projects.doors.pace import SIGN_IN, key_of

SALT = "projects.doors.device"
KEPT_SECONDS = 180 * 24 * 3600


def known_device(request, email):
    """The device's own id when its cookie was given for this account; None otherwise."""
    try:
        said = signing.loads(request.COOKIES.get(settings.DEVICE_COOKIE_NAME, ""), salt=SALT, max_age=KEPT_SECONDS)
        account, device = said
    except (signing.BadSignature, TypeError, ValueError):
        return None
    return device if account == key_of(SIGN_IN, email) else None


def remember(request, response, email):
    """The cookie of this machine for this account; the id it had stays."""
    device = known_device(request, email) or secrets.token_urlsafe(16)
    response.set_cookie(
        settings.DEVICE_COOKIE_NAME,
        signing.dumps([key_of(SIGN_IN, email), device], salt=SALT),
        max_age=KEPT_SECONDS,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )
    return response
