"""A room's layout: the draft being worked on, and the revisions that were issued. Knows no money, no documents."""

import secrets

from django.db import models
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import ZERO, feet, inches
from layout.engine.marks import Kind
from layout.engine.pins import Line, Moved, Pin
from layout.engine.switching import LETTERS, Switched
from projects.accounts.models import Membership
from projects.catalogue.models import FixtureType
from projects.jobs.models import MeasurementSet, Room
from projects.platform.fields import (
    HEIGHT,
    LengthField,
    NameField,
    NoteField,
    length_between,
    no_longer_than,
    number_between,
    one_of,
)
from projects.platform.tenancy import ShopRecord


class ModeChoice(models.TextChoices):
    WALL_HELD = "wall_held", _("your number off the wall")
    EVEN = "even", _("even split")
    HALF_GAP = "half_gap", _("half a gap off the wall")
    LOCKED = "locked", _("locked at your numbers")


class RowsOf(models.TextChoices):
    LIGHT = Kind.LIGHT.value, _("lights")
    SPEAKER = Kind.SPEAKER.value, _("speakers, without lights")


class LineChoice(models.TextChoices):
    COLUMN = Line.COLUMN.value, _("column")
    ROW = Line.ROW.value, _("row")


SETBACK = (inches("1/4"), feet(50))
SPACING = (inches(6), feet(50))
PLACE = (inches(0), feet(300))  # from the ceiling's edge at the zero corner
SITE_MOVE = (ZERO, feet(5))
MOST_LINES = 40  # rows, or lights in a row


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
    rows_of = models.CharField(max_length=7, choices=RowsOf, default=RowsOf.LIGHT)
    speaker_rows = models.CharField(max_length=80, blank=True, default="")  # '1,3'; none: every row
    speakers_between = models.CharField(max_length=80, blank=True, default="")  # '1': midway between rows 1 and 2
    # How far a column or a row may move on site without asking. Common practice, no source; zero: always ask.
    columns_may_move = LengthField(default=inches(3))
    rows_may_move = LengthField(default=inches(3))
    # Which light was on which switch before the last save, so that one press puts it back. Empty: nothing stood before.
    switched_before = models.TextField(blank=True, default="")

    class Meta:
        constraints = [
            number_between("rows", 1, MOST_LINES, model="draft"),
            number_between("lights_per_row", 1, MOST_LINES, model="draft"),
            one_of("rows_of", RowsOf.values, model="draft"),
            length_between("columns_may_move", *SITE_MOVE, model="draft"),
            length_between("rows_may_move", *SITE_MOVE, model="draft"),
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

    def held(self):
        """The pins and the moved marks, as the engine takes them."""
        if self.pk is None:
            return (), ()
        return tuple(pin.value for pin in self.pins.all()), tuple(mark.value for mark in self.moved_marks.all())

    def zone_numbers(self):
        return () if self.pk is None else tuple(self.zones.all())

    def switched(self):
        """The lights on another switch than their ceiling's own, as the engine takes them."""
        return () if self.pk is None else tuple(light.value for light in self.switched_lights.all())


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
            length_between("position", *PLACE, model="typed_position"),
        ]


class DraftPin(models.Model):
    """A column or a row that a person holds where it is; the lines between are spread anew."""

    draft = models.ForeignKey(Draft, on_delete=models.CASCADE, related_name="pins")
    line = models.CharField(max_length=6, choices=LineChoice)
    number = models.PositiveSmallIntegerField()  # 1 is the one nearest the zero corner
    at = LengthField()

    class Meta:
        ordering = ["line", "number"]
        constraints = [
            models.UniqueConstraint(fields=["draft", "line", "number"], name="pin_once_per_line"),
            one_of("line", LineChoice.values, model="draft_pin"),
            number_between("number", 1, MOST_LINES, model="draft_pin"),
            length_between("at", *PLACE, model="draft_pin"),
        ]

    @property
    def value(self):
        return Pin(Line(self.line), self.number, self.at)


class MovedMark(models.Model):
    """One mark that a person put off its line."""

    draft = models.ForeignKey(Draft, on_delete=models.CASCADE, related_name="moved_marks")
    kind = models.CharField(max_length=12)
    row = models.PositiveSmallIntegerField()
    number = models.PositiveSmallIntegerField()  # of its kind in its row, from the zero corner
    along = LengthField()
    across = LengthField()

    class Meta:
        ordering = ["kind", "row", "number"]
        constraints = [
            models.UniqueConstraint(fields=["draft", "kind", "row", "number"], name="mark_moved_once"),
            one_of("kind", [kind.value for kind in Kind], model="moved_mark"),
            number_between("row", 0, 100, model="moved_mark"),
            number_between("number", 1, 400, model="moved_mark"),
            length_between("along", *PLACE, model="moved_mark"),
            length_between("across", *PLACE, model="moved_mark"),
        ]

    @property
    def value(self):
        return Moved(Kind(self.kind), self.row, self.number, self.along, self.across)


class SwitchedLight(models.Model):
    """One light on another switch than its ceiling's own: its zone's letter stands before its number."""

    draft = models.ForeignKey(Draft, on_delete=models.CASCADE, related_name="switched_lights")
    row = models.PositiveSmallIntegerField()
    number = models.PositiveSmallIntegerField()  # which light of its row, from the zero corner
    zone = models.CharField(max_length=1)

    class Meta:
        ordering = ["row", "number"]
        constraints = [
            models.UniqueConstraint(fields=["draft", "row", "number"], name="light_switched_once"),
            number_between("row", 1, 2400, model="switched_light"),
            number_between("number", 1, 400, model="switched_light"),
            one_of("zone", LETTERS, model="switched_light"),
        ]

    @property
    def value(self):
        return Switched(self.row, self.number, self.zone)


class ZoneNumbers(models.Model):
    """What one part of a ceiling is to have where it differs from the rest; by the zone's or the region's name."""

    draft = models.ForeignKey(Draft, on_delete=models.CASCADE, related_name="zones")
    name = NameField(max_length=60)
    rows = models.PositiveSmallIntegerField(null=True, blank=True)
    columns = models.PositiveSmallIntegerField(null=True, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["draft", "name"], name="zone_once_per_draft"),
            number_between("rows", 1, MOST_LINES, model="zone_numbers"),
            number_between("columns", 1, MOST_LINES, model="zone_numbers"),
            no_longer_than("name", 60, model="zone_numbers"),
        ]


class WayTaken(models.Model):
    """A way out, or a layout of another kind, that a person took: what moved, what it gave up, and why.

    Append-only; putting the numbers back is a row of its own.
    """

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="ways_taken")
    draft_version = models.PositiveIntegerField()  # the draft's, after it was taken
    kind = models.CharField(max_length=30)
    words = models.TextField(max_length=1000)
    cost = models.TextField(max_length=400, blank=True, default="")
    reason = models.TextField(max_length=400)
    before = models.TextField(blank=True, default="")  # the draft as it was, as JSON
    on_site = models.BooleanField(default=False)  # followed from what was found; the next one starts from `before` too
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(condition=~models.Q(reason=""), name="way_taken_has_a_reason"),
            no_longer_than("words", 1000, model="way_taken"),
            no_longer_than("cost", 400, model="way_taken"),
            no_longer_than("reason", 400, model="way_taken"),
        ]


class Answer(models.TextChoices):
    WAITS = "waits", _("waits for an answer")
    APPROVED = "approved", _("approved")
    REFUSED = "refused", _("refused")


class SiteMove(ShopRecord):
    """What was found on site and what it does to the layout, when it goes past what may move without asking.

    It waits for someone who may approve layouts, who says yes or no once.
    """

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="site_moves")
    state = models.CharField(max_length=8, choices=Answer, default=Answer.WAITS)
    found = models.TextField(max_length=400)  # what the tape said, in words
    words = models.TextField(max_length=1000)  # what it moves
    draft_version = models.PositiveIntegerField()
    ceiling_version = models.PositiveIntegerField()
    change = models.TextField()  # the draft and the ceiling as they would be, as JSON
    asked_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    decided_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    decided_at = models.DateTimeField(null=True, blank=True)
    note = NoteField(max_length=400)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            one_of("state", Answer.values, model="site_move"),
            no_longer_than("found", 400, model="site_move"),
            no_longer_than("words", 1000, model="site_move"),
            no_longer_than("note", 400, model="site_move"),
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
    from_site = models.BooleanField(default=False)  # followed from what was found on site
    issued_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    issued_at = models.DateTimeField()
    approved_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    approved_at = models.DateTimeField(null=True)
    approved_name = models.CharField(max_length=120, blank=True, default="")  # a client's, who is no member
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
            no_longer_than("approved_name", 120, model="revision"),
        ]
        indexes = [
            # All that is asked of every room's newest revision: the rows themselves are long.
            models.Index(fields=["room", "number", "approved_at", "lights", "speakers"], name="revision_at_a_glance"),
        ]

    def __str__(self):
        return f"{self.room} rev {self.number}"

    @property
    def approved_who(self):
        """Whoever said yes to it, the shop's first."""
        own = self.approved_by.user.name if self.approved_by else ""
        return ", ".join(name for name in (own, self.approved_name) if name)

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


class PlanPicture(ShopRecord):
    """A picture of a plan to trace over, one per room. Two of its points and the length between them set its scale.

    Points are in the picture's own pixels, from its top left; at_left and at_far say where the first of them stands on
    the ceiling. Not to scale until both points and the length are given.
    """

    KEEPS_FILES = ("file",)

    room = models.OneToOneField(Room, on_delete=models.CASCADE, related_name="plan_picture")
    file = models.CharField(max_length=40)  # its name in the shop's own folder
    wide = models.PositiveIntegerField()  # pixels
    high = models.PositiveIntegerField()
    from_x = models.PositiveIntegerField(null=True, blank=True)
    from_y = models.PositiveIntegerField(null=True, blank=True)
    to_x = models.PositiveIntegerField(null=True, blank=True)
    to_y = models.PositiveIntegerField(null=True, blank=True)
    length = LengthField(null=True, blank=True)
    at_left = LengthField(default=ZERO)
    at_far = LengthField(default=ZERO)
    opacity = models.PositiveSmallIntegerField(default=50)  # percent

    class Meta:
        constraints = [
            *(number_between(name, 1, 4000, model="plan_picture") for name in ("wide", "high")),
            *(
                number_between(name, 0, 4000, model="plan_picture")
                for name in ("from_x", "from_y", "to_x", "to_y")
            ),
            length_between("length", inches(1), feet(300), model="plan_picture"),
            *(length_between(name, ZERO, feet(300), model="plan_picture") for name in ("at_left", "at_far")),
            number_between("opacity", 10, 100, model="plan_picture"),
            no_longer_than("file", 40, model="plan_picture"),
        ]
