"""A list of rooms that is too long to be entered while a page waits, as it was pasted."""

from django.db import models

from projects.accounts.models import Membership
from projects.jobs.models import Job, SurveyKind
from projects.platform.fields import no_longer_than, one_of
from projects.platform.tenancy import ShopRecord

MOST_TEXT = 600_000  # characters
MOST_ROWS = 5_000


class RoomList(ShopRecord):
    """entered_at: when its rooms were made, all in one transaction; none before. So they are never made twice."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="room_lists")
    text = models.TextField()
    kind = models.CharField(max_length=8, choices=SurveyKind)
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    entered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            no_longer_than("text", MOST_TEXT, model="room_list"),
            one_of("kind", SurveyKind.values, model="room_list"),
        ]

    def __str__(self):
        return f"rooms pasted into {self.job}"
