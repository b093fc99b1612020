"""When the history is sealed: every minute by whoever works, and before a backup is taken."""

import logging
import time

from django.conf import settings
from django.db.utils import DatabaseError

from projects.history.chain import seal

EVERY = 60.0  # seconds
log = logging.getLogger(__name__)
_last = -EVERY


def when_it_is_time() -> None:
    """Seal, once a minute. A database that is busy is no reason to stop working: the next minute tries again."""
    global _last
    if not settings.HISTORY or time.monotonic() - _last < EVERY:
        return
    _last = time.monotonic()
    try:
        seal(patience=0.5)
    except DatabaseError:
        log.warning("The history could not be sealed.", exc_info=True)


def before_backup() -> None:
    if settings.HISTORY:
        seal()
