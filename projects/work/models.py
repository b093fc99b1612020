"""Long work a shop has waiting, running or behind it: how far it is, and who asked. Knows no kind of work."""

import json

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from projects.accounts.models import Membership
from projects.platform.fields import NameField, NoteField, no_longer_than, number_between, one_of
from projects.platform.tenancy import ShopRecord

MOST_STEPS = 100_000_000
LONGEST_WORDS = 20_000  # of what is given and of what comes out, as JSON; anything longer belongs in a record


class State(models.TextChoices):
    WAITING = "waiting", _("waiting")
    RUNNING = "running", _("running")
    DONE = "done", _("done")
    FAILED = "failed", _("failed")
    CANCELLED = "cancelled", _("cancelled")


def canonical(values):
    """Plain values as the one text they are kept and compared by."""
    return json.dumps(values, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


UNDER_WAY = (State.WAITING.value, State.RUNNING.value)


class Work(ShopRecord):
    """One piece of long work. `task` is the queued task that may carry it out: another one finds nothing to do."""

    kind = models.CharField(max_length=40)
    title = NameField(max_length=200)
    state = models.CharField(max_length=9, choices=State, default=State.WAITING)
    done = models.PositiveIntegerField(default=0)
    total = models.PositiveIntegerField(default=0)  # 0: not known yet
    cancel_asked = models.BooleanField(default=False)
    task = models.UUIDField(null=True, blank=True)
    beat = models.DateTimeField()  # the last sign of life; while waiting, since when
    taken_up_again = models.PositiveSmallIntegerField(default=0)  # since it was started or resumed
    arguments = models.TextField(default="{}")  # canonical JSON
    given = models.CharField(max_length=64)  # SHA-256 of the arguments: the same work is not done twice at once
    result = models.TextField(default="{}")
    error = NoteField()
    asked_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    started_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            one_of("state", State.values, model="work"),
            number_between("done", 0, MOST_STEPS, model="work"),
            number_between("total", 0, MOST_STEPS, model="work"),
            number_between("taken_up_again", 0, 100, model="work"),
            models.CheckConstraint(condition=Q(total=0) | Q(done__lte=F("total")), name="work_done_within_total"),
            models.UniqueConstraint(
                fields=["shop", "kind", "given"], condition=Q(state__in=UNDER_WAY), name="work_once_at_a_time"
            ),
            no_longer_than("title", 200, model="work"),
            no_longer_than("arguments", LONGEST_WORDS, model="work"),
            no_longer_than("result", LONGEST_WORDS, model="work"),
            no_longer_than("error", 4000, model="work"),
        ]
        indexes = [models.Index(fields=["state", "beat"])]

    def __str__(self):
        return self.title

    @property
    def asked_for(self):
        """The arguments as they were given."""
        return json.loads(self.arguments)

    @property
    def outcome(self):
        return json.loads(self.result)

    @property
    def under_way(self):
        return self.state in UNDER_WAY

    @property
    def percent(self):
        """Whole percent done, rounded down; None while nobody knows how much there is."""
        return self.done * 100 // self.total if self.total else None


class Worker(models.Model):
    """A worker's sign of life, written every few seconds while it runs. Of no shop: each does every shop's work."""

    name = models.CharField(max_length=32, unique=True)
    started_at = models.DateTimeField()
    beat = models.DateTimeField(db_index=True)

    class Meta:
        constraints = [no_longer_than("name", 32, model="worker")]

    def __str__(self):
        return self.name
