"""A packet that was made and kept, and what the shop stands for after the job. Knows no page."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from projects.accounts.models import Membership
from projects.jobs.models import Job
from projects.platform.fields import NameField, no_longer_than, number_between, one_of
from projects.platform.tenancy import ShopRecord
from projects.work.models import Work
from reports.close_out.days import last_day

MOST_MONTHS = 600


class What(models.TextChoices):
    JOB = "job", _("Job packet")
    CLOSE_OUT = "close_out", _("Close-out packet")


class PaperChoice(models.TextChoices):
    """As an address asks for it: a key of reports.documents.head.PAPERS."""

    LETTER = "letter", _("Letter")
    A4 = "a4", _("A4")


class Packet(ShopRecord):
    """One packet as a PDF; a newer one of the same kind and paper takes its place. stands_on: the revisions it was made
    from, by room, so that it can be told when one is newer. work: what made it, so that nothing makes it twice.
    """

    KEEPS_FILES = ("file",)

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="packets")
    what = models.CharField(max_length=9, choices=What)
    paper = models.CharField(max_length=6, choices=PaperChoice, default="letter")
    file = models.CharField(max_length=40, unique=True)
    pages = models.PositiveIntegerField()
    bytes = models.PositiveIntegerField()
    stands_on = models.CharField(max_length=64)
    work = models.OneToOneField(Work, on_delete=models.SET_NULL, related_name="+", null=True, blank=True)
    made_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["job", "what", "paper"], name="packet_newest_alone"),
            one_of("what", What.values, model="packet"),
            one_of("paper", PaperChoice.values, model="packet"),
            number_between("pages", 1, 100_000, model="packet"),
            number_between("bytes", 1, 2_000_000_000, model="packet"),
            no_longer_than("file", 40, model="packet"),
            no_longer_than("stands_on", 64, model="packet"),
        ]

    def __str__(self):
        return str(self.get_what_display())


class Warranty(ShopRecord):
    """What is warranted on a job, from when, and for how many months."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="warranties")
    what = NameField(max_length=120)
    starts_on = models.DateField()
    months = models.PositiveSmallIntegerField()
    said_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            number_between("months", 1, MOST_MONTHS, model="warranty"),
            no_longer_than("what", 120, model="warranty"),
        ]

    def __str__(self):
        return self.what

    @property
    def ends_on(self):
        """The last day: the day before the same day of the month so many months on, or that month's last day."""
        return last_day(self.starts_on, self.months)
