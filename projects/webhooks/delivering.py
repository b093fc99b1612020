"""Messages on their way: which are due, one try of one of them, and what its end means for the next.

A message is told at least once. Whoever gets it knows a second copy by its webhook-id. Between tries it waits longer
and longer, by chance a little more or less. A host that took none of several tries in a row rests for a while, is then
tried with one, and is turned off when it has taken nothing for days.
"""

import datetime as dt
import logging
import random
import time

from django.db import transaction
from django.db.models import F, Q
from django.utils import timezone
from django.utils.translation import gettext as _
from django_tasks import task

from projects.platform.speaking import speaking
from projects.webhooks import sending, signing
from projects.webhooks.models import MOST_TRIES, Delivery, State, Webhook

WAITS = (5, 30, 120, 600, 1800, 7200, 14_400, 28_800, 43_200)  # seconds before the second try, the third, ...
AT_ONCE = 20  # messages handed to the queue in one round
ON_ITS_WAY = 120  # seconds in which a try that was begun has ended, or its worker has
RESTS_AFTER, RESTS = 8, dt.timedelta(hours=1)
OFF_AFTER = dt.timedelta(days=3)
LOG_DAYS = 30
OF_A_LOG = 5000  # messages of one webhook that may wait
NOT_WANTED = 410
log = logging.getLogger(__name__)


def hand_on(now=None) -> int:
    """Put what is due into the queue, one message of each host, and return how many."""
    now = now or timezone.now()
    due = Delivery.objects.every_shop().filter(state=State.WAITING, due__lte=now, webhook__on=True)
    due = due.filter(Q(webhook__rests_until=None) | Q(webhook__rests_until__lte=now))
    chosen = {}
    for one in due.order_by("due", "pk").only("pk", "shop_id", "webhook_id", "due")[: AT_ONCE * 10]:
        chosen.setdefault(one.webhook_id, one)
    handed = 0
    for one in list(chosen.values())[:AT_ONCE]:
        if _busy(one, now):
            continue
        with transaction.atomic():
            mine = Delivery.objects.every_shop().filter(pk=one.pk, state=State.WAITING, due=one.due)
            if mine.update(due=now + dt.timedelta(seconds=ON_ITS_WAY), tried_at=now):
                deliver.using(priority=-10).enqueue(one.pk)
                handed += 1
    return handed


def _busy(one, now) -> bool:
    """Is a message to the same host on its way? A slow host holds up one worker, not all."""
    since = now - dt.timedelta(seconds=ON_ITS_WAY)
    others = Delivery.objects.every_shop().filter(webhook=one.webhook_id, state=State.WAITING, due__gt=now)
    return others.filter(tried_at__gt=since, due=F("tried_at") + dt.timedelta(seconds=ON_ITS_WAY)).exists()


@task
def deliver(delivery_id):
    one = Delivery.objects.every_shop().select_related("webhook").filter(pk=delivery_id, state=State.WAITING).first()
    if one is not None and one.webhook.on:
        with speaking(shop=one.shop_id, via="work"):
            attempt(one)


def attempt(one: Delivery) -> Delivery:
    """One try. Nothing is written while the line is open."""
    answer, why = None, ""
    try:
        body = one.body.encode()
        headers = signing.headers(one.said_id, int(time.time()), body, live_secrets(one.webhook))
        answer = sending.send(one.webhook.url, body, headers)
    except (sending.NotThere, sending.NoAnswer) as refused:
        why = str(refused)
    except signing.KeyGone:
        why = _("The secret was made with a key that the server no longer has. Make a new one.")
    _note(one, answer, why)
    return one


def live_secrets(webhook: Webhook) -> list[str]:
    """The newest first; two while an older one still counts. Raises KeyGone."""
    pairs = [(webhook.secret_seed, webhook.secret_mark), (webhook.older_secret_seed, webhook.older_secret_mark)]
    return [signing.secret_of(*pair) for pair in pairs if pair[0]]


@transaction.atomic
def _note(one, answer, why):
    now, one.tries = timezone.now(), one.tries + 1
    one.status, one.ms, one.answer = (answer.status, answer.ms, answer.said) if answer else (0, 0, "")
    one.why, one.tried_at = why, now
    hosts = Webhook.objects.of(one.shop_id).filter(pk=one.webhook_id)
    if answer and answer.taken:
        one.state = State.TAKEN
        hosts.exclude(failed=0).update(failed=0, failing_since=None, rests_until=None)
    else:
        one.state = State.GIVEN_UP if one.tries >= MOST_TRIES else State.WAITING
        one.due = now + dt.timedelta(seconds=_wait(one.tries))
        _failed(hosts, now, gone=bool(answer and answer.status == NOT_WANTED))
    # Only the message as it was taken up: one that was given up or replayed meanwhile keeps what it became.
    Delivery.objects.of(one.shop_id).filter(pk=one.pk, state=State.WAITING).update(
        state=one.state, due=one.due, tries=one.tries, tried_at=now, status=one.status, ms=one.ms, why=why,
        answer=one.answer, updated_at=now,
    )  # fmt: skip


def _wait(tries: int) -> float:
    """By chance a fifth more or less, so that what failed together does not come back together."""
    return WAITS[min(tries, len(WAITS)) - 1] * random.uniform(0.8, 1.2)


def _failed(hosts, now, gone):
    hosts.filter(failing_since=None).update(failing_since=now)
    hosts.filter(failed__lt=30_000).update(failed=F("failed") + 1)
    hosts.filter(failed__gte=RESTS_AFTER).update(rests_until=now + RESTS)
    long = hosts.filter(on=True) if gone else hosts.filter(on=True, failing_since__lt=now - OFF_AFTER)
    why = _("The host said that it wants no more.") if gone else _("It took nothing for three days.")
    if long.update(on=False, off_why=why, version=F("version") + 1, updated_at=now):
        log.warning("A webhook was turned off: its host took nothing.")


def forget(now=None) -> None:
    """Messages that ended long ago."""
    before = (now or timezone.now()) - dt.timedelta(days=LOG_DAYS)
    Delivery.objects.every_shop().exclude(state=State.WAITING).filter(created_at__lt=before).delete()
