"""Hosts that are told, and messages to them."""

import datetime as dt

from factory import SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from projects.webhooks.models import Delivery, ReadUpTo, Webhook
from projects.webhooks.signing import new_seed
from tests.factories.people import MemberFactory, ShopFactory

SEED = new_seed()


class WebhookFactory(DjangoModelFactory):
    class Meta:
        model = Webhook

    shop = SubFactory(ShopFactory)
    name = Sequence(lambda n: f"Ledger {n}")
    url = "https://hooks.alder-court.com/ceiling"
    events = "room.added,room.moved"
    secret_seed, secret_mark = SEED
    made_by = SubFactory(MemberFactory, shop=SelfAttribute("..shop"))


class DeliveryFactory(DjangoModelFactory):
    class Meta:
        model = Delivery

    webhook = SubFactory(WebhookFactory)
    shop = SelfAttribute("webhook.shop")
    event = "room.moved"
    said_id = Sequence(lambda n: f"msg_{n:032}")
    body = '{"type":"room.moved"}'
    state = "given up"
    due = dt.datetime(2026, 5, 4, tzinfo=dt.UTC)


class ReadUpToFactory(DjangoModelFactory):
    class Meta:
        model = ReadUpTo
        django_get_or_create = ("id",)

    id = 1  # there is one


def told_to(shop):
    """Ids of a webhook of the shop and of a message to it."""
    made = DeliveryFactory(webhook__shop=shop)
    return {"webhook_id": made.webhook_id, "delivery_id": made.pk}
