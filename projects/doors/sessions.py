"""How long a sign-in lasts, when its password is asked for again, for which shop. Knows the session, no record.

Three moments are kept in a session, in seconds since 1970: signed in, seen (noted at most once an hour for an owner,
once a day for others), and the last time the password was typed.
"""

import time

from django.contrib.auth.signals import user_logged_in

from projects.platform.permissions import Role

SEEN, TYPED = "seen", "password_typed"
SHOP_KEY = "shop"  # the id of the shop that was chosen
FRESH = 15 * 60  # for what an owner does to people and keys the password was typed this lately
OWNER_IDLE = 12 * 3600
NOTED_EVERY = {True: 3600, False: 24 * 3600}  # by: is an owner


def note_sign_ins():
    user_logged_in.connect(_signed_in, dispatch_uid="projects.doors.sessions")


def _signed_in(sender, request, user, **kwargs):
    now = int(time.time())
    request.session.update({SEEN: now, TYPED: now})


def typed(request):
    """The password was typed just now."""
    now = int(time.time())
    request.session.update({SEEN: now, TYPED: now})


def is_fresh(request):
    return request.session.get(TYPED, 0) > time.time() - FRESH


def note(request, member):
    """Keep an idle session's clock going. True: an owner's, idle for so long that the password is asked for again."""
    owner, now = member.role == Role.OWNER.value, int(time.time())
    seen = request.session.get(SEEN, 0)
    if owner and max(seen, request.session.get(TYPED, 0)) < now - OWNER_IDLE:
        return True
    if seen < now - NOTED_EVERY[owner]:
        request.session[SEEN] = now  # saved with the answer, which moves the session's own end too
    return False
