"""A checklist as it is answered: the list as it was when it was begun, and every answer. Knows no rule of the list."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from projects.accounts.models import Membership
from projects.jobs.models import Job, Room
from projects.photos.models import Photo
from projects.platform.fields import NoteField, no_longer_than, number_between, one_of
from projects.platform.tenancy import ShopRecord
from reports.estimating.checklist import ASKED_ON_SITE

MOST_ITEMS = 400  # of a list
MOST_WORDS = 1000
MOST_CONTENTS = 100_000


class OncePer(models.TextChoices):
    """Whom an item is asked once for."""

    JOB = "job", _("once for the job")
    FLOOR = "floor", _("once for the floor")
    ROOM = "room", _("for each room")


class Run(ShopRecord):
    """One list being answered: a room's own items, or those of a floor or of the job.

    contents: its items as canonical JSON, kept when the first was answered, so that a later edition of the list never
    changes what was signed. list_version: that edition. level: the floor's name, blank for the job and for a room.
    """

    once_per = models.CharField(max_length=5, choices=OncePer)
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="check_runs")
    room = models.OneToOneField(Room, on_delete=models.PROTECT, related_name="check_run", null=True, blank=True)
    level = models.CharField(max_length=40, blank=True, default="")
    list_version = models.CharField(max_length=20)
    closing = models.CharField(max_length=400, blank=True, default="")
    contents = models.TextField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["job", "once_per", "level"], condition=Q(room=None), name="check_run_once_per_floor"
            ),
            one_of("once_per", OncePer.values, model="check_run"),
            models.CheckConstraint(
                condition=Q(once_per="room", room__isnull=False, level="")
                | Q(once_per="floor", room=None)
                | Q(once_per="job", room=None, level=""),
                name="check_run_of_one_thing",
            ),
            no_longer_than("level", 40, model="check_run"),
            no_longer_than("list_version", 20, model="check_run"),
            no_longer_than("closing", 400, model="check_run"),
            no_longer_than("contents", MOST_CONTENTS, model="check_run"),
        ]

    def __str__(self):
        return f"checklist {self.list_version} of {self.room or self.level or self.job}"


class Outcome(models.TextChoices):
    PASS = "pass", _("pass")
    FAIL = "fail", _("fail")
    NOT_HERE = "n-a", _("n/a")


class Answer(models.Model):
    """What somebody said of one item. Append-only: another answer takes its place and leaves it to be read.

    version: 1 for the first answer of the item, then up. current: it is the last one.
    """

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="answers")
    number = models.PositiveSmallIntegerField()
    version = models.PositiveIntegerField(default=1)
    current = models.BooleanField(default=True)
    outcome = models.CharField(max_length=4, choices=Outcome)
    reason = NoteField(max_length=MOST_WORDS)
    photo = models.ForeignKey(Photo, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["number", "version"]
        constraints = [
            models.UniqueConstraint(fields=["run", "number", "version"], name="check_answer_version_once"),
            models.UniqueConstraint(
                fields=["run", "number"], condition=Q(current=True), name="check_answer_one_current"
            ),
            number_between("number", 1, MOST_ITEMS, model="check_answer"),
            one_of("outcome", Outcome.values, model="check_answer"),
            models.CheckConstraint(condition=Q(outcome="pass") | ~Q(reason=""), name="check_answer_says_why"),
            no_longer_than("reason", MOST_WORDS, model="check_answer"),
        ]

    def __str__(self):
        return f"{self.number}: {self.get_outcome_display()}"


class RoomKnown(ShopRecord):
    """What a person who stood in the room said about it that no drawing tells; none: nobody knows yet."""

    room = models.OneToOneField(Room, on_delete=models.PROTECT, related_name="checks_known")
    fire_rated = models.BooleanField(null=True, blank=True)
    insulated = models.BooleanField(null=True, blank=True)
    wet = models.BooleanField(null=True, blank=True)
    attic = models.BooleanField(null=True, blank=True)
    sawn_joists = models.BooleanField(null=True, blank=True)
    engineered_lumber = models.BooleanField(null=True, blank=True)
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)

    def __str__(self):
        return f"known of {self.room}"

    @property
    def told(self):
        """Those that were answered."""
        return {name: said for name in ASKED_ON_SITE if (said := getattr(self, name)) is not None}
