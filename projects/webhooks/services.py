"""What an owner does with a webhook."""

from django.db import transaction
from django.db.models import F
from django.http import Http404
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.platform.tenancy import StaleVersion, save_from
from projects.webhooks import reading, signing
from projects.webhooks.models import Delivery, State, Webhook

MOST = 20  # of a shop


class CannotDo(Exception):
    """In words for the person who asked."""


def of(shop, webhook_id) -> Webhook:
    """Raises Http404."""
    found = Webhook.objects.of(shop).filter(pk=webhook_id).first()
    if found is None:
        raise Http404
    return found


@transaction.atomic
def make(shop, by, *, name, url, events, on=True) -> tuple[Webhook, str]:
    """A new webhook and its secret, which is shown once. Raises CannotDo."""
    if Webhook.objects.of(shop).count() >= MOST:
        raise CannotDo(_("A shop has at most %(most)s webhooks. Remove one first.") % {"most": MOST})
    reading.begin()
    seed, mark = signing.new_seed()
    made = Webhook.objects.create(
        shop=shop, made_by=by, name=name, url=url, events=",".join(sorted(events)), secret_seed=seed, secret_mark=mark,
        on=on,
    )  # fmt: skip
    return made, signing.secret_of(seed, mark)


def change(webhook, seen, *, name, url, events, on) -> Webhook:
    """Turned on again it begins afresh; turned off, what waits is given up. Raises StaleVersion, Http404."""
    changes = {"name": name, "url": url, "events": ",".join(sorted(events)), "on": on}
    if (on and not webhook.on) or url != webhook.url:
        changes |= {"off_why": "", "failed": 0, "failing_since": None, "rests_until": None}
    with transaction.atomic():
        stored = save_from(webhook, seen, changes, at=timezone.now())
        if not on:
            _give_up(stored)
    return stored


def _give_up(webhook):
    waiting = Delivery.objects.of(webhook.shop_id).filter(webhook=webhook, state=State.WAITING)
    waiting.update(state=State.GIVEN_UP, updated_at=timezone.now())


def remove(webhook, seen) -> None:
    """With its log. Raises StaleVersion, Http404."""
    with transaction.atomic():
        if not Webhook.objects.of(webhook.shop_id).filter(pk=webhook.pk, version=seen).delete()[0]:
            raise StaleVersion(of(webhook.shop_id, webhook.pk), {})


def renew_secret(webhook) -> str:
    """A second secret beside the one there is; both sign until the older is ended. Shown once. Raises CannotDo."""
    seed, mark = signing.new_seed()
    rows = Webhook.objects.of(webhook.shop_id).filter(pk=webhook.pk, older_secret_seed="")
    renewed = {
        "older_secret_seed": F("secret_seed"), "older_secret_mark": F("secret_mark"), "secret_seed": seed,
        "secret_mark": mark, "version": F("version") + 1, "updated_at": timezone.now(),
    }  # fmt: skip
    if not rows.update(**renewed):
        raise CannotDo(_("Two secrets are live already. End the older one first."))
    return signing.secret_of(seed, mark)


def end_older_secret(webhook) -> None:
    """Raises CannotDo."""
    rows = Webhook.objects.of(webhook.shop_id).filter(pk=webhook.pk).exclude(older_secret_seed="")
    ended = {"older_secret_seed": "", "older_secret_mark": "", "version": F("version") + 1}
    if not rows.update(**ended, updated_at=timezone.now()):
        raise CannotDo(_("Only one secret is live. Make a new one first, then end the older."))


def ping(webhook) -> Delivery:
    """A message that says nothing but that it came. Raises CannotDo."""
    _insist_on(webhook)
    return reading.ping(webhook)


def send_again(webhook, delivery_id) -> Delivery:
    """The same message, under the same id, with ten tries more. Raises Http404, CannotDo."""
    rows = Delivery.objects.of(webhook.shop_id).filter(webhook=webhook, pk=delivery_id)
    if not rows.exists():
        raise Http404
    _insist_on(webhook)
    now = timezone.now()
    again = {"state": State.WAITING, "due": now, "tries": 0, "version": F("version") + 1, "updated_at": now}
    if not rows.exclude(state=State.WAITING).update(**again):
        raise CannotDo(_("This message is on its way still."))
    return rows.get()


def _insist_on(webhook):
    if not webhook.on:
        raise CannotDo(_("This webhook is off. Turn it on first."))
