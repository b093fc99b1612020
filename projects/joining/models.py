"""People who came to a job by a code instead of an e-mail, and the codes. Knows nothing of what they then do."""

from django.db import models
from django.utils import timezone

from projects.accounts.models import Membership
from projects.jobs.models import Job
from projects.platform.fields import number_between
from projects.platform.tenancy import ShopRecord

MOST_WRONG = 5  # tries that a code stands; of a million secrets, five guesses
MOST_PHONES = 20  # let in by one code


class Joined(ShopRecord):
    """A person who joined one job from a phone: sees that job alone, until a day, or until somebody ends it."""

    member = models.OneToOneField(Membership, on_delete=models.PROTECT, related_name="joined")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="joined")
    until = models.DateField()  # the last day
    let_in_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+")
    phone_since = models.DateTimeField(default=timezone.now)  # when the phone that is in now came in
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(ended_by=None) | models.Q(ended_at__isnull=False), name="joined_ended_by_somebody"
            ),
        ]

    def __str__(self):
        return str(self.member.user)


class JoinCode(ShopRecord):
    """A code as a lead shows it: four digits by which it is found, six that are kept only as a digest.

    place: the four; no two codes that stand share them. again: the one person it lets back in on another phone.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="join_codes")
    place = models.CharField(max_length=4)
    digest = models.CharField(max_length=64)
    until = models.DateField()  # the last day of who joins by it
    made_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+")
    again = models.ForeignKey(Joined, on_delete=models.PROTECT, related_name="codes", null=True, blank=True)
    ends_at = models.DateTimeField()
    wrong = models.PositiveSmallIntegerField(default=0)
    phones = models.PositiveSmallIntegerField(default=0)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["place"], condition=models.Q(ended_at=None), name="join_code_place_once_at_a_time"
            ),
            number_between("wrong", 0, MOST_WRONG, model="join_code"),
            number_between("phones", 0, MOST_PHONES, model="join_code"),
        ]

    def __str__(self):
        return f"{self.job}, until {self.until}"
