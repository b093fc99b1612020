"""Hosts that a shop's events are told to, the messages to them, and how far the history has been read for it."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from projects.accounts.models import Membership
from projects.platform.fields import NameField, no_longer_than, number_between, one_of
from projects.platform.tenancy import ShopRecord
from projects.webhooks.addresses import LONGEST

LONGEST_EVENTS, LONGEST_BODY = 1000, 4000
MOST_TRIES = 10


class Webhook(ShopRecord):
    """A host that is told what happens in the shop. Its secrets are reckoned (signing.py): only their seeds stand here.

    failed: tries in a row that were not taken. rests_until: no message is tried before. failing_since: the first of
    these tries. off_why: empty while it is on.
    """

    name = NameField()
    url = models.CharField(max_length=LONGEST)
    events = models.CharField(max_length=LONGEST_EVENTS)  # 'bid.accepted,room.moved'
    secret_seed = models.CharField(max_length=64)
    secret_mark = models.CharField(max_length=16)
    older_secret_seed = models.CharField(max_length=64, blank=True, default="")
    older_secret_mark = models.CharField(max_length=16, blank=True, default="")
    on = models.BooleanField(default=True)
    off_why = models.CharField(max_length=200, blank=True, default="")
    failed = models.PositiveSmallIntegerField(default=0, editable=False)
    failing_since = models.DateTimeField(null=True, blank=True, editable=False)
    rests_until = models.DateTimeField(null=True, blank=True, editable=False)
    made_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["pk"]
        constraints = [
            no_longer_than("name", 120, model="webhook"),
            no_longer_than("url", LONGEST, model="webhook"),
            no_longer_than("events", LONGEST_EVENTS, model="webhook"),
            no_longer_than("off_why", 200, model="webhook"),
            number_between("failed", 0, 30_000, model="webhook"),
            models.CheckConstraint(
                condition=models.Q(older_secret_seed="", older_secret_mark="")
                | ~models.Q(older_secret_seed="") & ~models.Q(older_secret_mark=""),
                name="webhook_older_secret_whole",
            ),
        ]

    def __str__(self):
        return self.name

    @property
    def event_names(self):
        return self.events.split(",")


class State(models.TextChoices):
    WAITING = "waiting", _("waiting")
    TAKEN = "taken", _("taken")
    GIVEN_UP = "given up", _("given up")


class Delivery(ShopRecord):
    """One message to one host, with how its last try ended. said_id: of the message; sent again it is the same.

    status: of the answer, 0 for none. why: in words, where there was none. answer: the first of what came back.
    """

    webhook = models.ForeignKey(Webhook, on_delete=models.CASCADE, related_name="deliveries")
    event = models.CharField(max_length=40)
    said_id = models.CharField(max_length=40)
    body = models.TextField(max_length=LONGEST_BODY)
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    due = models.DateTimeField()
    tries = models.PositiveSmallIntegerField(default=0)
    tried_at = models.DateTimeField(null=True, blank=True)
    status = models.PositiveSmallIntegerField(default=0)
    ms = models.PositiveIntegerField(default=0)
    why = models.CharField(max_length=200, blank=True, default="")
    answer = models.CharField(max_length=500, blank=True, default="")

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(fields=["webhook", "said_id"], name="delivery_once"),
            one_of("state", State.values, model="delivery"),
            number_between("tries", 0, 1000, model="delivery"),
            number_between("status", 0, 999, model="delivery"),
            number_between("ms", 0, 1_000_000, model="delivery"),
            no_longer_than("event", 40, model="delivery"),
            no_longer_than("said_id", 40, model="delivery"),
            no_longer_than("body", LONGEST_BODY, model="delivery"),
            no_longer_than("why", 200, model="delivery"),
            no_longer_than("answer", 500, model="delivery"),
        ]
        indexes = [models.Index(fields=["due"], condition=models.Q(state="waiting"), name="delivery_waiting")]

    def __str__(self):
        return f"{self.event} {self.said_id}"


class ReadUpTo(models.Model):
    """The last entry of the history that was looked at for events. One row."""

    entry = models.BigIntegerField(default=0)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="read_up_to_once"),
            number_between("entry", 0, 2**62, model="read_up_to"),
        ]

    def __str__(self):
        return f"{self.entry}"
