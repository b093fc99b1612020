"""What was asked at each move of a room, who passed what, who said what, and when it was held up. Append-only."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from projects.accounts.models import Membership
from projects.jobs.models import HeldUp, Room, StageEvent
from projects.platform.fields import NoteField, no_longer_than, one_of
from projects.platform.tenancy import ShopRecord

LONGEST = 400  # characters of a reason
LONGEST_MISSING = 1000  # of what a guard says


class Outcome(models.TextChoices):
    MET = "met", _("met")
    PASSED = "passed", _("passed by the owner")
    NOTED = "noted", _("taken over from notes, not looked at")


class GuardResult(models.Model):
    """What one guard found at one move. title and missing are kept as they were said then."""

    event = models.ForeignKey(StageEvent, on_delete=models.PROTECT, related_name="results")
    guard = models.CharField(max_length=60)
    title = models.CharField(max_length=200)
    outcome = models.CharField(max_length=6, choices=Outcome)
    missing = models.CharField(max_length=LONGEST_MISSING, blank=True, default="")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["event", "guard"], name="guard_result_once_per_move"),
            one_of("outcome", Outcome.values, model="guard_result"),
            models.CheckConstraint(
                condition=models.Q(outcome="passed") & ~models.Q(missing="")
                | ~models.Q(outcome="passed") & models.Q(missing=""),
                name="guard_result_says_what_was_missing",
            ),
            no_longer_than("guard", 60, model="guard_result"),
            no_longer_than("title", 200, model="guard_result"),
            no_longer_than("missing", LONGEST_MISSING, model="guard_result"),
        ]


class Pass(ShopRecord):
    """A guard that the owner let a room past, with a reason. Open, in red, until it is met or answered with words.

    It marks nothing done. answered_at: the day it was met at a later look (answer is empty), or answered.
    """

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="passes")
    event = models.ForeignKey(StageEvent, on_delete=models.PROTECT, related_name="passes")
    guard = models.CharField(max_length=60)
    title = models.CharField(max_length=200)
    safety = models.BooleanField(default=False)
    missing = models.CharField(max_length=LONGEST_MISSING)
    why = NoteField(max_length=LONGEST, blank=False)
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    answer = NoteField(max_length=LONGEST)
    answered_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["event", "guard"], name="pass_once_per_move"),
            models.CheckConstraint(
                condition=~models.Q(why="") & ~models.Q(missing=""), name="pass_has_a_reason"
            ),
            models.CheckConstraint(
                condition=models.Q(answered_at__isnull=False) | models.Q(answer="", answered_by=None),
                name="pass_answered_on_a_day",
            ),
            no_longer_than("guard", 60, model="pass"),
            no_longer_than("title", 200, model="pass"),
            no_longer_than("missing", LONGEST_MISSING, model="pass"),
            no_longer_than("why", LONGEST, model="pass"),
            no_longer_than("answer", LONGEST, model="pass"),
        ]
        indexes = [
            models.Index(fields=["shop", "at"], condition=models.Q(answered_at=None), name="pass_open_of_shop"),
            models.Index(fields=["room"], condition=models.Q(answered_at=None), name="pass_open_of_room"),
        ]

    def __str__(self):
        return self.title

    @property
    def is_open(self):
        return self.answered_at is None


class Said(ShopRecord):
    """A question of fixtures/stages.json, answered by name. stands: the room never went back behind it since."""

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="said")
    question = models.CharField(max_length=40)
    words = NoteField(max_length=LONGEST)
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    stands = models.BooleanField(default=True)

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            no_longer_than("question", 40, model="said"),
            no_longer_than("words", LONGEST, model="said"),
        ]


class Turn(models.TextChoices):
    """What happened to a room beside its stages."""

    ON_HOLD = HeldUp.ON_HOLD.value, _("put on hold")
    BLOCKED = HeldUp.BLOCKED.value, _("blocked by another trade")
    REWORK = HeldUp.REWORK.value, _("sent to rework")
    LIFTED = "lifted", _("goes on")
    CANCELLED = "cancelled", _("cancelled")
    BROUGHT_BACK = "back", _("brought back")


class SideEvent(ShopRecord):
    """A room was held up, goes on, was cancelled or brought back. Append-only, like its stage events."""

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="side_events")
    what = models.CharField(max_length=9, choices=Turn)
    who = models.CharField(max_length=120, blank=True, default="")  # who must act
    why = NoteField(max_length=LONGEST)
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            one_of("what", Turn.values, model="side_event"),
            no_longer_than("who", 120, model="side_event"),
            no_longer_than("why", LONGEST, model="side_event"),
        ]
