"""What stands in a room that its lights are laid out for, now and as each revision had it. Knows no page.

Places are told from the finished walls, from the left one and from the door's: nothing here turns with the rows or the
zero corner.
"""

from django.db import models

from layout.engine.lengths import ZERO, feet, inches
from layout.models import LayoutRevision
from projects.accounts.models import Membership
from projects.jobs.models import Room
from projects.platform.fields import LengthField, NameField, length_between, no_longer_than, number_between
from projects.platform.tenancy import ShopRecord

PLACE = (ZERO, feet(300))
SIZE = (inches(1), feet(60))
REACH = (ZERO, feet(20))
USUAL_REACH = inches(24)  # common practice, no source
MOST_PIECES = 60


class Piece(ShopRecord):
    """A piece of furniture. left, door: from the wall to its nearest side. wide, deep: both the diameter when round.

    reach: marks no farther than this from its sides are laid out for it. left_for: the number of the revision whose
    marks somebody said to leave although the piece moved; none once it moves again.
    """

    room = models.ForeignKey(Room, on_delete=models.CASCADE, related_name="furniture")
    name = NameField(max_length=60)
    round = models.BooleanField(default=False)
    left = LengthField()
    door = LengthField()
    wide = LengthField()
    deep = LengthField()
    reach = LengthField(default=USUAL_REACH)
    left_for = models.PositiveSmallIntegerField(null=True, blank=True)
    left_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    left_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["room", "name"], name="piece_name_once_per_room"),
            *(length_between(name, *PLACE, model="piece") for name in ("left", "door")),
            *(length_between(name, *SIZE, model="piece") for name in ("wide", "deep")),
            length_between("reach", *REACH, model="piece"),
            models.CheckConstraint(
                condition=models.Q(round=False) | models.Q(wide=models.F("deep")), name="piece_round_has_one_size"
            ),
            number_between("left_for", 1, 9999, model="piece"),
            no_longer_than("name", 60, model="piece"),
        ]

    def __str__(self):
        return self.name


class KeptPiece(models.Model):
    """A piece as a revision was laid out for it, and the marks that were. Never edited.

    marks: their IDs, parted by commas. piece: the one that stands in the room; none once it was taken out.
    """

    revision = models.ForeignKey(LayoutRevision, on_delete=models.PROTECT, related_name="furniture")
    piece = models.ForeignKey(Piece, on_delete=models.SET_NULL, related_name="kept", null=True, blank=True)
    name = NameField(max_length=60)
    round = models.BooleanField(default=False)
    left = LengthField()
    door = LengthField()
    wide = LengthField()
    deep = LengthField()
    marks = models.TextField(blank=True, default="")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["revision", "name"], name="kept_piece_name_once_per_revision"),
            *(length_between(name, *PLACE, model="kept_piece") for name in ("left", "door")),
            *(length_between(name, *SIZE, model="kept_piece") for name in ("wide", "deep")),
            no_longer_than("name", 60, model="kept_piece"),
            no_longer_than("marks", 20_000, model="kept_piece"),
        ]

    @property
    def idents(self):
        return [ident for ident in self.marks.split(",") if ident]
