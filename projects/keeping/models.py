"""What was kept and what was tried: backups, restore drills, and shops that were taken out or came in."""

from django.db import models

from projects.accounts.models import Membership, Shop
from projects.jobs.models import Room
from projects.platform.fields import no_longer_than, number_between
from projects.platform.tenancy import ShopRecord

LONGEST_REPORT = 200_000


class BackupMade(models.Model):
    """A backup that stands whole in its folder. digest: SHA-256 of its manifest, which vouches for all the rest."""

    name = models.CharField(max_length=60)
    made_at = models.DateTimeField()
    seconds = models.FloatField()
    bytes = models.BigIntegerField()  # of the database and of all files the backup names
    files = models.PositiveIntegerField()
    missing = models.PositiveIntegerField(default=0)  # files that records name and nobody has
    digest = models.CharField(max_length=64)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            no_longer_than("name", 60, model="backup"),
            no_longer_than("digest", 64, model="backup"),
            number_between("seconds", 0, 1_000_000, model="backup"),
            number_between("bytes", 0, 2**60, model="backup"),
            number_between("files", 0, 1_000_000_000, model="backup"),
            number_between("missing", 0, 1_000_000_000, model="backup"),
        ]

    def __str__(self):
        return self.name


class DrillMade(models.Model):
    """The receipt of one restore drill, whether it held or not. report: what was found, as JSON."""

    backup = models.CharField(max_length=60)
    backup_made_at = models.DateTimeField(null=True)
    at = models.DateTimeField()
    seconds = models.FloatField()
    held = models.BooleanField()
    report = models.TextField()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            no_longer_than("backup", 60, model="drill"),
            no_longer_than("report", LONGEST_REPORT, model="drill"),
            number_between("seconds", 0, 1_000_000, model="drill"),
        ]

    def __str__(self):
        return f"drill of {self.backup}"


class KnownAs(models.Model):
    """The number by which kept texts know a room that has another id here (see known_as.py)."""

    shop = models.ForeignKey(Shop, on_delete=models.CASCADE, related_name="+")
    room = models.ForeignKey(Room, on_delete=models.CASCADE, related_name="+")
    number = models.BigIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["shop", "number"], name="known_as_once"),
            number_between("number", 1, 2**62, model="known_as"),
        ]

    def __str__(self):
        return f"{self.number}: {self.room_id}"


class TakenOut(ShopRecord):
    """A shop's own records and files as one file, for its owner to fetch. Only the newest is kept."""

    KEEPS_FILES = ("file",)

    file = models.CharField(max_length=40, unique=True)
    bytes = models.BigIntegerField()
    digest = models.CharField(max_length=64)
    rows = models.PositiveIntegerField()
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            no_longer_than("file", 40, model="taken_out"),
            no_longer_than("digest", 64, model="taken_out"),
            number_between("bytes", 1, 2**50, model="taken_out"),
            number_between("rows", 1, 2_000_000_000, model="taken_out"),
        ]

    def __str__(self):
        return self.file
