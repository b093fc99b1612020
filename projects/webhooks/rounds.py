"""What whoever works does for webhooks, every few seconds."""

import logging
import time

from django.db.utils import DatabaseError

from projects.webhooks.delivering import forget, hand_on
from projects.webhooks.models import Webhook
from projects.webhooks.reading import read

EVERY, FORGETS_EVERY = 2.0, 3600.0  # seconds
log = logging.getLogger(__name__)
_last = {"round": -EVERY, "forgot": -FORGETS_EVERY}


def make_a_round() -> None:
    """Read, hand on, and once an hour forget. A database that is busy is no reason to stop working."""
    now = time.monotonic()
    if now - _last["round"] < EVERY:
        return
    _last["round"] = now
    try:
        read()
        if Webhook.objects.every_shop().exists():
            hand_on()
        if now - _last["forgot"] >= FORGETS_EVERY:
            _last["forgot"] = now
            forget()
    except DatabaseError:
        log.warning("Webhooks could not be told just now.", exc_info=True)
