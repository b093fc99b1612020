"""Takeoffs that were kept, the rules they were counted by, and what was asked. Knows no prices and no counting."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import feet
from projects.accounts.models import Membership
from projects.jobs.models import Job, Room
from projects.platform.fields import LengthField, NoteField, length_between, no_longer_than, number_between, one_of
from projects.platform.tenancy import ShopRecord

FEET = (feet(0), feet(1000))  # of cable for one device
MOST = 9999


class NeverChanged(RuntimeError):
    """An attempt to change a record that is only ever added to. A fault in the program."""


class AddedTo(ShopRecord):
    """A record that is written once."""

    class Meta:
        abstract = True

    def save(self, *args, **kwargs):
        if self.pk is not None:
            raise NeverChanged(f"{type(self).__name__} {self.pk} is never changed: write a new one.")
        super().save(*args, **kwargs)


class RulesVersion(AddedTo):
    """The shop's takeoff rules as they were saved once. The highest number is what is counted by now.

    back_to: the version whose rules were put back; 0: the rules the program came with.
    """

    number = models.PositiveSmallIntegerField()
    body = models.TextField()  # canonical JSON, in the shape of fixtures/takeoff_rules.json
    digest = models.CharField(max_length=64)
    why = NoteField(max_length=400, blank=False)
    back_to = models.PositiveSmallIntegerField(null=True, blank=True)
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "number"], name="rules_version_once_per_shop"),
            number_between("number", 1, MOST, model="rules_version"),
            number_between("back_to", 0, MOST, model="rules_version"),
            no_longer_than("why", 400, model="rules_version"),
            models.CheckConstraint(condition=~models.Q(why=""), name="rules_version_says_why"),
        ]

    def __str__(self):
        return f"rules {self.number}"


class AskedItem(models.Model):
    """An optional item that a job, or one of its rooms, takes."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="asked_items")
    room = models.ForeignKey(Room, on_delete=models.CASCADE, related_name="asked_items", null=True, blank=True)
    item = models.CharField(max_length=40)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["room", "item"], name="item_asked_once_for_a_room"),
            models.UniqueConstraint(
                fields=["job", "item"], condition=models.Q(room=None), name="item_asked_once_for_a_job"
            ),
            no_longer_than("item", 40, model="asked_item"),
        ]


class DeviceChoice(models.TextChoices):
    LIGHT = "light", _("light")
    SPEAKER = "speaker", _("speaker")
    SUBWOOFER = "subwoofer", _("subwoofer")


class DeviceFeet(models.Model):
    """Cable for each device of a room that is counted before it is measured, where it isn't the shop's usual length."""

    room = models.ForeignKey(Room, on_delete=models.CASCADE, related_name="device_feet")
    device = models.CharField(max_length=9, choices=DeviceChoice)
    each = LengthField()

    class Meta:
        ordering = ["device"]
        constraints = [
            models.UniqueConstraint(fields=["room", "device"], name="device_feet_once_per_room"),
            one_of("device", DeviceChoice.values, model="device_feet"),
            length_between("each", *FEET, model="device_feet"),
        ]


class RoomLines(models.Model):
    """A room's lines as they were last counted, under a key of all they were counted from. Kept only to be quick:
    another key, and the room is counted anew.
    """

    room = models.OneToOneField(Room, on_delete=models.CASCADE, related_name="kept_lines")
    key = models.CharField(max_length=64)
    brief = models.TextField()  # its quantities alone; empty: nothing to count
    body = models.TextField()  # canonical JSON of the counted room

    class Meta:
        constraints = [no_longer_than("key", 64, model="room_lines")]


class Takeoff(AddedTo):
    """A job's takeoff as it was counted on a day, with its rules. Never changed.

    prices holds all its money, apart from the body: it is read only for people who may see prices.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="takeoffs")
    number = models.PositiveSmallIntegerField()
    label = models.CharField(max_length=120, blank=True, default="")
    body = models.TextField()
    prices = models.TextField(blank=True, default="")
    rules = models.TextField()  # in the shape of fixtures/takeoff_rules.json
    digest = models.CharField(max_length=64)
    rooms = models.PositiveSmallIntegerField()
    rooms_counted = models.PositiveSmallIntegerField(default=0)  # of them, those nobody had measured
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["job", "number"], name="takeoff_number_once_per_job"),
            number_between("number", 1, MOST, model="takeoff"),
            number_between("rooms", 0, MOST, model="takeoff"),
            number_between("rooms_counted", 0, MOST, model="takeoff"),
            no_longer_than("label", 120, model="takeoff"),
        ]

    def __str__(self):
        return f"{self.job.number} takeoff {self.number}"
