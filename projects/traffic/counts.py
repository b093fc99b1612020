"""How much may be asked in a stretch of time, exactly, over any number of processes. Knows not what is asked.

One UPDATE counts and decides. A process takes a few at once and spends them from its own memory, so that most reads
write nothing: no more than the limit is ever let through, and one process alone lets through exactly that many.
Passwords and codes are guesses, not requests: projects.doors.pace counts each, and gives a right one back.
"""

import time
from threading import Lock

from django.db.models import Case, F, Q, Value, When
from django.utils.crypto import salted_hmac

from projects.traffic.models import Count

LEASES_OF_A_STRETCH = 60
MOST_HELD = 10_000
FORGOTTEN_AFTER = 24 * 3600  # seconds

_held: dict[str, tuple[int, int]] = {}  # who -> (stretch, how many this process may still spend)
_lock = Lock()


def take(who: str, most: int, seconds: int, n: int = 1, *, now: float | None = None) -> int:
    """Count n of at most `most` in a stretch of so many seconds. 0, or how many seconds to wait: then none counted."""
    moment = time.time() if now is None else now
    stretch, key = int(moment // seconds), salted_hmac("projects.traffic", who, algorithm="sha256").hexdigest()
    if _counted(key, stretch, most, n):
        return 0
    if not Count.objects.filter(who=key).exists():
        Count.objects.filter(stretch__lt=(moment - FORGOTTEN_AFTER) // seconds).delete()
        Count.objects.bulk_create([Count(who=key, stretch=stretch, used=0)], ignore_conflicts=True)
        if _counted(key, stretch, most, n):
            return 0
    return _wait(stretch, seconds, moment)


def _counted(key, stretch, most, n):
    if n > most:
        return False
    anew = ~Q(stretch=stretch)
    rows = Count.objects.filter(anew | Q(used__lte=most - n), who=key)
    return rows.update(used=Case(When(anew, then=Value(n)), default=F("used") + n), stretch=stretch)


def spend(who: str, most: int, seconds: int = 60, *, now: float | None = None) -> int:
    """Like `take` of one, from what this process took before when there is some left."""
    moment = time.time() if now is None else now
    stretch = int(moment // seconds)
    with _lock:
        held_in, left = _held.get(who, (stretch, 0))
        if held_in == stretch and left > 0:
            _held[who] = (stretch, left - 1)
            return 0
    several = max(1, most // LEASES_OF_A_STRETCH)
    if not take(who, most, seconds, several, now=moment):
        _hold(who, stretch, several - 1)
        return 0
    return take(who, most, seconds, 1, now=moment) if several > 1 else _wait(stretch, seconds, moment)


def _hold(who, stretch, n):
    with _lock:
        if len(_held) > MOST_HELD:
            _held.clear()
        held_in, left = _held.get(who, (stretch, 0))
        _held[who] = (stretch, n + (left if held_in == stretch else 0))


def _wait(stretch, seconds, moment):
    return max(1, int((stretch + 1) * seconds - moment) + 1)


def forget():
    """For tests: a process that just started."""
    with _lock:
        _held.clear()
