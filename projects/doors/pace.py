"""How often something may be tried. Each try is counted by one UPDATE before what was tried is looked at, so that
tries made at once, from any number of processes, are counted as tries made in turn.

A pace lets `burst` tries pass at once and then one every `every` seconds: in any stretch of time T at most
burst + T / every. The row holds the moment at which all that was taken will have been given back.

For guesses, each of which is written and recovers slowly. Requests of programs are counted by
projects.traffic.counts: so many in a minute, several of them by one write.
"""

import time
from dataclasses import dataclass

from django.db.models import F, Value
from django.db.models.functions import Greatest
from django.utils.crypto import salted_hmac
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from projects.doors.models import Tried

FORGOTTEN_AFTER_MS = 24 * 3600 * 1000


@dataclass(frozen=True, slots=True)
class Pace:
    what: str
    burst: int
    every: int  # seconds

    @property
    def step_ms(self):
        return self.every * 1000

    @property
    def slack_ms(self):
        return (self.burst - 1) * self.step_ms


# An account: at most 5 + 5 guesses in any quarter of an hour. Numbers are ours: common practice, no source.
SIGN_IN = Pace("sign in", burst=5, every=180)
# The same from a machine this person has signed in on before: nobody else's guesses close it.
KNOWN_DEVICE = Pace("known device", burst=5, every=180)
# From one place, over all accounts: a shop's whole office stands behind one address.
FROM_A_PLACE = Pace("sign in from", burst=40, every=15)
AGAIN = Pace("password again", burst=5, every=180)
RESET = Pace("reset", burst=3, every=1200)
RESET_FROM = Pace("reset from", burst=10, every=120)
LINK_FROM = Pace("link from", burst=30, every=30)
TOLD = Pace("told of guesses", burst=1, every=86_400)


class TooOften(Exception):
    """Not now. wait: seconds until the next try is looked at."""

    def __init__(self, wait):
        super().__init__(wait)
        self.wait = wait

    def __str__(self):
        minutes = -(-self.wait // 60)
        said = ngettext(
            "Wait %(minutes)s minute, then try again.", "Wait %(minutes)s minutes, then try again.", minutes
        )
        return _("Tried too often.") + " " + said % {"minutes": minutes}


def key_of(pace, whom):
    return salted_hmac(f"projects.doors.{pace.what}", str(whom), algorithm="sha256").hexdigest()


def take(pace, whom, now_ms=None):
    """Count one try, or raise TooOften and count nothing."""
    now = int(time.time() * 1000) if now_ms is None else now_ms
    key = key_of(pace, whom)
    if _taken(pace, key, now):
        return
    row = Tried.objects.filter(what=pace.what, key=key)
    if not row.exists():
        Tried.objects.filter(due__lt=now - FORGOTTEN_AFTER_MS).delete()
        Tried.objects.bulk_create([Tried(what=pace.what, key=key, due=now)], ignore_conflicts=True)
    if _taken(pace, key, now):  # the row may have been made by another between the two looks
        return
    due = row.values_list("due", flat=True).first() or now
    raise TooOften(max(1, -(-(due - pace.slack_ms - now) // 1000)))


def _taken(pace, key, now):
    free = Tried.objects.filter(what=pace.what, key=key, due__lte=now + pace.slack_ms)
    return bool(free.update(due=Greatest(F("due"), Value(now)) + pace.step_ms))


def give_back(pace, whom):
    """The try was no guess: a right password is not counted against anybody."""
    Tried.objects.filter(what=pace.what, key=key_of(pace, whom)).update(due=F("due") - pace.step_ms)
