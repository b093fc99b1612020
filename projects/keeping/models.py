"""What was kept and what was tried: a row for each backup and each restore drill. Knows no shop."""

from django.db import models

from projects.platform.fields import no_longer_than, number_between

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
