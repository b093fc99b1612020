"""What a person asked to be told outside the pages: a calendar to read, a letter in the morning."""

from django.db import models

from projects.accounts.models import Membership
from projects.platform.tenancy import ShopRecord


class CalendarFeed(ShopRecord):
    """A person's own calendar address. Only its digest is kept; ended, the address is nobody's."""

    member = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="calendar_feeds")
    digest = models.CharField(max_length=64, unique=True)
    last_read_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["member"], condition=models.Q(ended_at=None), name="calendar_feed_one_at_a_time"
            ),
        ]

    def __str__(self):
        return f"{self.member.user}, {self.created_at:%Y-%m-%d}"


class MorningLetter(ShopRecord):
    """That a person wants the day's letter. sent_on: the day it was last sent for; one a day."""

    member = models.OneToOneField(Membership, on_delete=models.PROTECT, related_name="morning_letter")
    wanted = models.BooleanField(default=True)
    sent_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self):
        return str(self.member.user)
