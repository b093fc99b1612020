"""A room's layout: the draft being worked on, and the revisions that were issued. Knows no money, no documents."""

import secrets

from django.db import models
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import feet, inches
from layout.engine.marks import Kind
from projects.accounts.models import Membership
from projects.catalogue.models import FixtureType
from projects.jobs.models import MeasurementSet, Room
from projects.platform.fields import HEIGHT, LengthField, NoteField, length_between, number_between, one_of
from projects.platform.tenancy import ShopRecord


class ModeChoice(models.TextChoices):
    WALL_HELD = "wall_held", _("your number off the wall")
    EVEN = "even", _("even split")
    HALF_GAP = "half_gap", _("half a gap off the wall")
    LOCKED = "locked", _("locked at your numbers")


SETBACK = (inches("1/4"), feet(50))
SPACING = (inches(6), feet(50))


class Draft(ShopRecord):
    """What a person has chosen for a room so far. One per room; issuing it gives a revision."""

    room = models.OneToOneField(Room, on_delete=models.CASCADE, related_name="draft")
    rows = models.PositiveSmallIntegerField(default=2)
    lights_per_row = models.PositiveSmallIntegerField(null=True, blank=True)  # none: as many as the limit asks for
    mode_along = models.CharField(max_length=10, choices=ModeChoice, default=ModeChoice.WALL_HELD)
    mode_across = models.CharField(max_length=10, choices=ModeChoice, default=ModeChoice.WALL_HELD)
    end_setback = LengthField()
    row_setback = LengthField()
    spacing_limit = LengthField()
    light_type = models.ForeignKey(FixtureType, on_delete=models.PROTECT, related_name="+")
    speaker_type = models.ForeignKey(FixtureType, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    subwoofer_type = models.ForeignKey(FixtureType, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    # '1,2': the gaps between lights that hold a speaker; the lights whose place a speaker takes. Both mirror.
    speaker_gaps = models.CharField(max_length=80, blank=True, default="")
    speaker_columns = models.CharField(max_length=80, blank=True, default="")

    class Meta:
        constraints = [
            number_between("rows", 1, 40, model="draft"),
            number_between("lights_per_row", 1, 40, model="draft"),
            one_of("mode_along", ModeChoice.values, model="draft"),
            one_of("mode_across", ModeChoice.values, model="draft"),
            length_between("end_setback", *SETBACK, model="draft"),
            length_between("row_setback", *SETBACK, model="draft"),
            length_between("spacing_limit", *SPACING, model="draft"),
        ]

    def __str__(self):
        return f"draft of {self.room}"

    def typed(self, axis):
        if self.pk is None:  # not kept yet: nothing was typed
            return ()
        return tuple(p.position for p in self.typed_positions.all() if p.axis == axis)


class TypedPosition(models.Model):
    """A locked position, from the ceiling's edge at the zero corner."""

    class Along(models.TextChoices):
        ALONG = "along", _("along the rows")
        ACROSS = "across", _("across the rows")

    draft = models.ForeignKey(Draft, on_delete=models.CASCADE, related_name="typed_positions")
    axis = models.CharField(max_length=6, choices=Along)
    position = LengthField()

    class Meta:
        ordering = ["axis", "position"]
        constraints = [
            models.UniqueConstraint(fields=["draft", "axis", "position"], name="typed_position_once"),
            one_of("axis", ["along", "across"], model="typed_position"),
            length_between("position", inches(0), feet(300), model="typed_position"),
        ]


def new_token():
    return secrets.token_urlsafe(16)  # 128 bits: behind a card's QR, read without sign-in


class LayoutRevision(ShopRecord):
    """A layout that can be printed: its inputs as they were, and its marks. Never edited."""

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="revisions")
    number = models.PositiveSmallIntegerField()
    inputs = models.TextField()  # canonical JSON; the hash is of these bytes
    result = models.TextField()  # canonical JSON of what the engine gave
    digest = models.CharField(max_length=64)
    token = models.CharField(max_length=32, unique=True, default=new_token)
    note = NoteField(max_length=400)
    issued_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    issued_at = models.DateTimeField()
    approved_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    approved_at = models.DateTimeField(null=True)
    # What a card says beside the marks, as it stood: the last readings known, and the room's height.
    last_visit = models.ForeignKey(MeasurementSet, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    height = LengthField(null=True, blank=True)  # floor to framing
    finished_height = LengthField(null=True, blank=True)
    lights = models.PositiveSmallIntegerField(default=0)
    speakers = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["room", "number"], name="revision_number_once_per_room"),
            number_between("number", 1, 9999, model="revision"),
            length_between("height", *HEIGHT, model="revision"),
            length_between("finished_height", inches(0), HEIGHT[1], model="revision"),
            number_between("lights", 0, 2000, model="revision"),
            number_between("speakers", 0, 2000, model="revision"),
        ]

    def __str__(self):
        return f"{self.room} rev {self.number}"

    @property
    def short_hash(self):
        return self.digest[:6].upper()


class RevisionMark(models.Model):
    """One hole of a revision: which type, and its center from the ceiling's edge at the zero corner."""

    revision = models.ForeignKey(LayoutRevision, on_delete=models.PROTECT, related_name="marks")
    ident = models.CharField(max_length=8)
    kind = models.CharField(max_length=12)
    fixture_type = models.ForeignKey(FixtureType, on_delete=models.PROTECT, related_name="+")
    along = LengthField()
    across = LengthField()
    row = models.PositiveSmallIntegerField()
    zone = models.CharField(max_length=2, blank=True, default="")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["revision", "ident"], name="mark_id_once_per_revision"),
            one_of("kind", [kind.value for kind in Kind], model="mark"),
            length_between("along", inches(0), feet(300), model="mark"),
            length_between("across", inches(0), feet(300), model="mark"),
            number_between("row", 0, 100, model="mark"),
        ]
