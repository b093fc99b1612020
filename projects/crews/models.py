"""Who works where on which day. Knows nothing of layouts, prices or documents."""

from django.db import models

from projects.accounts.models import Membership
from projects.jobs.models import Job, Room
from projects.platform.fields import FIRST_DAY, LAST_DAY
from projects.platform.tenancy import ShopRecord


class CrewDay(ShopRecord):
    """A person is to work in a room on a day; without a room, wherever the job needs it."""

    member = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="crew_days")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="crew_days")
    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="crew_days", null=True, blank=True)
    on = models.DateField()
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)

    class Meta:
        ordering = ["on", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["member", "on", "room"], name="crew_day_room_once"),
            models.UniqueConstraint(
                fields=["member", "on", "job"], condition=models.Q(room=None), name="crew_day_job_once"
            ),
            models.CheckConstraint(
                condition=models.Q(on__gte=FIRST_DAY, on__lte=LAST_DAY), name="crew_day_on_bounds"
            ),
        ]
        indexes = [models.Index(fields=["shop", "on"]), models.Index(fields=["room", "on"])]

    def __str__(self):
        return f"{self.member.user}: {self.room or self.job}, {self.on}"
