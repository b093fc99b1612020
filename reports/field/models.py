"""What phones sent, once each, and which phones there are. Knows nothing of what an entry does."""

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from projects.accounts.models import Membership
from projects.jobs.models import Room
from projects.platform.fields import NoteField, no_longer_than, number_between, one_of
from projects.platform.tenancy import ShopRecord

MOST_WAITING = 100_000  # on one phone; more is no report that can be true
LAST_VERSION = 2_000_000_000


class Phone(ShopRecord):
    """One browser on one phone, as one person uses it. waiting: unsent entries by its own last report.

    ident: random, made by the phone. lost: what it had not sent when it was ended, if it never speaks again.
    """

    member = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="phones")
    ident = models.CharField(max_length=32)
    waiting = models.PositiveIntegerField(default=0)
    waiting_since = models.DateTimeField(null=True, blank=True)
    last_seen = models.DateTimeField(default=timezone.now)
    session_key = models.CharField(max_length=40, blank=True, default="")
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    lost = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-last_seen", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["member", "ident"], name="phone_once"),
            number_between("waiting", 0, MOST_WAITING, model="phone"),
            number_between("lost", 0, MOST_WAITING, model="phone"),
            no_longer_than("ident", 32, model="phone"),
            no_longer_than("session_key", 40, model="phone"),
        ]
        indexes = [models.Index(fields=["shop", "-last_seen"], name="phone_last_seen")]


class SiteNote(ShopRecord):
    """What the next person in the room has to know: one text a room, whoever wrote last."""

    room = models.OneToOneField(Room, on_delete=models.CASCADE, related_name="site_note")
    text = NoteField(max_length=2000)
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [no_longer_than("text", 2000, model="site_note")]


class EntryKept(ShopRecord):
    """An entry as it came from a phone, and what became of it. Stored in the transaction that applied it.

    key: 128 bits, the phone's own; sent again it gets the same answer. digest: of all that was sent under it.
    entered_at: by the server's reckoning; said_at: the phone's clock, as a remark. settled_*: who looked at what could
    not be applied. picture: kept only while it waits for that.
    """

    class Outcome(models.TextChoices):
        APPLIED = "applied", _("applied")
        CONFLICT = "conflict", _("somebody else entered another value")
        REFUSED = "refused", _("could not be taken")
        GONE = "gone", _("its room is gone")

    class Settled(models.TextChoices):
        THEIRS = "theirs", _("left as it stands")
        MINE = "mine", _("entered over it")
        BOTH = "both", _("both kept")

    member = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="entries")
    phone = models.ForeignKey(Phone, on_delete=models.PROTECT, related_name="entries", null=True, blank=True)
    key = models.CharField(max_length=32)
    digest = models.CharField(max_length=64)
    kind = models.CharField(max_length=30)
    room = models.ForeignKey(Room, on_delete=models.SET_NULL, related_name="+", null=True, blank=True)
    room_name = models.CharField(max_length=80, blank=True, default="")
    base = models.PositiveIntegerField(default=0)
    data = models.JSONField(default=dict)
    picture = models.BinaryField(null=True, blank=True)
    said_at = models.CharField(max_length=40, blank=True, default="")
    entered_at = models.DateTimeField()
    at = models.DateTimeField()
    outcome = models.CharField(max_length=8, choices=Outcome)
    words = models.CharField(max_length=1000, blank=True, default="")
    answer = models.JSONField(default=dict)
    settled_at = models.DateTimeField(null=True, blank=True)
    settled_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    settled_how = models.CharField(max_length=6, choices=Settled, blank=True, default="")

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "member", "key"], name="entry_kept_once"),
            number_between("base", 0, LAST_VERSION, model="entry_kept"),
            one_of("outcome", ["applied", "conflict", "refused", "gone"], model="entry_kept"),
            one_of("settled_how", ["", "theirs", "mine", "both"], model="entry_kept"),
            models.CheckConstraint(
                condition=models.Q(settled_how="", settled_at=None)
                | ~models.Q(settled_how="") & models.Q(settled_at__isnull=False),
                name="entry_kept_settled_once",
            ),
            no_longer_than("key", 32, model="entry_kept"),
            no_longer_than("digest", 64, model="entry_kept"),
            no_longer_than("kind", 30, model="entry_kept"),
            no_longer_than("room_name", 80, model="entry_kept"),
            no_longer_than("said_at", 40, model="entry_kept"),
            no_longer_than("words", 1000, model="entry_kept"),
        ]
        indexes = [
            models.Index(
                fields=["shop", "member"],
                condition=models.Q(settled_at=None) & ~models.Q(outcome="applied"),
                name="entry_kept_to_look_at",
            )
        ]

    @property
    def needs_a_look(self):
        return self.outcome != self.Outcome.APPLIED and self.settled_at is None
