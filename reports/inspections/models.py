"""An inspector's visit to a job: the result for each room that was looked at, and each correction asked for."""

from decimal import Decimal

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from projects.accounts.models import Membership
from projects.jobs.models import Job, Room
from projects.photos.models import Photo
from projects.platform.fields import FIRST_DAY, LAST_DAY, NameField, NoteField, no_longer_than, number_between, one_of
from projects.platform.tenancy import ShopRecord

MOST_FEE = Decimal(100_000)
MOST_WORDS = 400


class Kind(models.TextChoices):
    """What is looked at. Power and low voltage may be looked at by one inspector or by two."""

    POWER = "power", _("rough-in, power")
    LOW_VOLTAGE = "low_voltage", _("rough-in, low voltage")
    FINAL = "final", _("final")


ROUGH_IN = (Kind.POWER, Kind.LOW_VOLTAGE)


class Outcome(models.TextChoices):
    PASS = "pass", _("passed")
    PARTIAL = "partial", _("passed in part")
    FAIL = "fail", _("failed")


class Visit(ShopRecord):
    """One visit. tag: the number on the tag or card that was left. again_on: the day it is looked at again."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="inspections")
    kind = models.CharField(max_length=11, choices=Kind)
    on = models.DateField()
    inspector = NameField(max_length=120)
    tag = models.CharField(max_length=60, blank=True, default="")
    fee = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    again_on = models.DateField(null=True, blank=True)
    note = NoteField(max_length=1000)
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            one_of("kind", Kind.values, model="inspection"),
            number_between("fee", 0, MOST_FEE, model="inspection"),
            models.CheckConstraint(condition=Q(on__gte=FIRST_DAY, on__lte=LAST_DAY), name="inspection_on_bounds"),
            models.CheckConstraint(
                condition=Q(again_on=None) | Q(again_on__gte=models.F("on"), again_on__lte=LAST_DAY),
                name="inspection_again_later",
            ),
            no_longer_than("inspector", 120, model="inspection"),
            no_longer_than("tag", 60, model="inspection"),
            no_longer_than("note", 1000, model="inspection"),
        ]
        indexes = [models.Index(fields=["shop", "on"])]

    def __str__(self):
        return f"{self.get_kind_display()}, {self.on}"


class RoomResult(models.Model):
    """What a visit came to in one room."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="results")
    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="inspection_results")
    outcome = models.CharField(max_length=7, choices=Outcome)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["visit", "room"], name="inspection_result_once"),
            one_of("outcome", Outcome.values, model="inspection_result"),
        ]

    def __str__(self):
        return f"{self.room}: {self.get_outcome_display()}"


class Correction(ShopRecord):
    """Something the inspector asked for in a room, and what was done about it; no answer: it is open."""

    result = models.ForeignKey(RoomResult, on_delete=models.CASCADE, related_name="corrections")
    words = models.CharField(max_length=MOST_WORDS)
    answer = models.CharField(max_length=MOST_WORDS, blank=True, default="")
    photo = models.ForeignKey(Photo, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    answered_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(words=""), name="correction_says_what"),
            models.CheckConstraint(
                condition=Q(answer="", answered_at=None, photo=None) | ~Q(answer="") & Q(answered_at__isnull=False),
                name="correction_answered_with_words",
            ),
            no_longer_than("words", MOST_WORDS, model="correction"),
            no_longer_than("answer", MOST_WORDS, model="correction"),
        ]

    def __str__(self):
        return self.words

    @property
    def is_open(self):
        return self.answered_at is None
