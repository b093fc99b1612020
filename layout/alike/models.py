"""What a room made from another one had of it when it was last the same. Knows what is compared, not how."""

from django.db import models

from projects.jobs.models import Room
from projects.platform.fields import no_longer_than


class Follows(models.Model):
    """By part of the room (layout.alike.parts), the digest of what its type had when the two were last made equal.

    The room differs in a part when it has something else there now; the type has a change for it when the type does.
    """

    room = models.OneToOneField(Room, on_delete=models.CASCADE, related_name="follows")
    equal = models.TextField()  # JSON: {part: digest}
    at = models.DateTimeField()

    class Meta:
        constraints = [no_longer_than("equal", 4000, model="follows")]

    def __str__(self):
        return f"{self.room} follows its type"
