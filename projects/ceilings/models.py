"""What stands in a ceiling's way and what shape it has, as it was found. Knows nothing of layouts.

A room's Ceiling is what is saved; its rows are written with it, all at once. Plan directions throughout: x from the
left wall, y from the door wall, so that nothing here turns with the rows or the zero corner.
"""

from django.db import models
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import ZERO, feet, inches
from layout.engine.marks import Axis, Datum, Side
from projects.jobs.models import Room, SideChoice
from projects.platform.fields import LengthField, NameField, NoteField, length_between, no_longer_than, one_of
from projects.platform.tenancy import ShopRecord

# As many rows as one room may have: a form says it in words, and the list behind it is refused.
MOST_RUNS = 12
MOST_MEMBERS = 200
MOST_THINGS = 2000
MOST_CORNERS = 500
MOST_REGIONS = 60

ACROSS = (ZERO, feet(300))  # anywhere in a room
SPACING = (inches(3), feet(10))
WIDTH = (inches("1/2"), feet(4))  # of a member
SIZE = (ZERO, feet(300))  # of a thing; a drywall joint is a line
CLEAR = (ZERO, feet(20))
DEPTH = (ZERO, feet(20))
PITCH = (inches(6), feet(20))
RISE = (ZERO, feet(20))  # either way
SLOPE_RISE = (ZERO, feet(100))
SLOPE_RUN = (inches(1), feet(100))


class Framing(models.TextChoices):
    """What is known of the framing. Nothing is known until somebody looked."""

    UNSEEN = "", _("nobody has looked yet")
    FOUND = "found", _("as entered here")
    NONE = "none", _("no framing here: hung as wanted")


class Runs(models.TextChoices):
    LEFT_RIGHT = Axis.LEFT_RIGHT.value, _("left to right")
    DOOR_FAR = Axis.DOOR_FAR.value, _("from the door wall to the far wall")


class Face(models.TextChoices):
    FRAMING = Datum.FRAMING.value, _("the wall's framing")
    FINISHED = Datum.FINISHED.value, _("the finished wall")
    EDGE = Datum.EDGE.value, _("the ceiling's edge")


class MemberPoint(models.TextChoices):
    """What of a member the tape was read at."""

    CENTER = "center", _("its center")
    NEAR = "near", _("its near face")
    FAR = "far", _("its far face")


def spaced_from_its_own_walls(name, side):
    """CHECK: members that run left to right stand spaced between the door wall and the far wall, and so on."""
    return models.CheckConstraint(
        condition=models.Q(**{"runs": Axis.LEFT_RIGHT.value, f"{side}__in": [Side.DOOR.value, Side.FAR.value]})
        | models.Q(**{"runs": Axis.DOOR_FAR.value, f"{side}__in": [Side.LEFT.value, Side.RIGHT.value]}),
        name=name,
    )


class Ceiling(ShopRecord):
    """What is known of a room's ceiling. One per room; every save counts its version up."""

    room = models.OneToOneField(Room, on_delete=models.CASCADE, related_name="ceiling")
    framing = models.CharField(max_length=5, choices=Framing, blank=True, default="")
    looked_by = models.CharField(max_length=80, blank=True, default="")
    looked_on = models.DateField(null=True, blank=True)
    note = NoteField(max_length=400)
    # Above the framing's underside: none where the joists' own depth says it.
    open_above = LengthField(null=True, blank=True)
    keep_free = LengthField(default=ZERO)
    grid_pitch_x = LengthField(null=True, blank=True)
    grid_pitch_y = LengthField(null=True, blank=True)
    grid_line_x = LengthField(null=True, blank=True)
    grid_line_y = LengthField(null=True, blank=True)
    grid_datum = models.CharField(max_length=8, choices=Face, default=Face.EDGE)
    half_tiles = models.BooleanField(default=False)
    cut_tiles = models.BooleanField(default=False)
    slope_along = models.CharField(max_length=10, choices=Runs, blank=True, default="")
    slope_rise = LengthField(null=True, blank=True)
    slope_run = LengthField(null=True, blank=True)
    # What stood here before the last save, as JSON, so that one press puts it back.
    before = models.TextField(blank=True, default="")

    class Meta:
        constraints = [
            one_of("framing", Framing.values, model="ceiling"),
            one_of("grid_datum", Face.values, model="ceiling"),
            one_of("slope_along", ["", *Runs.values], model="ceiling"),
            length_between("open_above", *DEPTH, model="ceiling"),
            length_between("keep_free", *DEPTH, model="ceiling"),
            *(length_between(f"grid_pitch_{axis}", *PITCH, model="ceiling") for axis in "xy"),
            *(length_between(f"grid_line_{axis}", *ACROSS, model="ceiling") for axis in "xy"),
            length_between("slope_rise", *SLOPE_RISE, model="ceiling"),
            length_between("slope_run", *SLOPE_RUN, model="ceiling"),
            models.CheckConstraint(
                condition=models.Q(grid_pitch_x__isnull=True, grid_pitch_y__isnull=True)
                | models.Q(grid_pitch_x__isnull=False, grid_pitch_y__isnull=False),
                name="ceiling_grid_whole",
            ),
            models.CheckConstraint(
                condition=models.Q(slope_along="", slope_rise__isnull=True, slope_run__isnull=True)
                | (~models.Q(slope_along="") & models.Q(slope_rise__isnull=False, slope_run__isnull=False)),
                name="ceiling_slope_whole",
            ),
            no_longer_than("looked_by", 80, model="ceiling"),
            no_longer_than("note", 400, model="ceiling"),
        ]

    def __str__(self):
        return f"ceiling of {self.room}"

    @property
    def looked(self):
        """Whether somebody entered the framing, or said there is none."""
        return self.framing != Framing.UNSEEN


class JoistRun(models.Model):
    """Members alike at one spacing, found from one whose place was measured."""

    ceiling = models.ForeignKey(Ceiling, on_delete=models.CASCADE, related_name="joists")
    runs = models.CharField(max_length=10, choices=Runs)
    spacing = LengthField()  # center to center; 19.2 in is 487.68 mm exactly
    width = LengthField()
    depth = LengthField(null=True, blank=True)
    first = LengthField()
    first_to = models.CharField(max_length=6, choices=MemberPoint, default=MemberPoint.CENTER)
    first_from = models.CharField(max_length=5, choices=SideChoice)
    datum = models.CharField(max_length=8, choices=Face, default=Face.FRAMING)
    note = NoteField(max_length=200)

    class Meta:
        ordering = ["pk"]
        constraints = [
            one_of("runs", Runs.values, model="joist_run"),
            one_of("first_to", MemberPoint.values, model="joist_run"),
            one_of("datum", Face.values, model="joist_run"),
            spaced_from_its_own_walls("joist_run_first_from_known", "first_from"),
            length_between("spacing", *SPACING, model="joist_run"),
            length_between("width", *WIDTH, model="joist_run"),
            length_between("depth", *DEPTH, model="joist_run"),
            length_between("first", *ACROSS, model="joist_run"),
            models.CheckConstraint(condition=models.Q(spacing__gt=models.F("width")), name="joist_run_has_bays"),
            no_longer_than("note", 200, model="joist_run"),
        ]


class OddMember(models.Model):
    """One member out of the pattern: doubled, a header, blocking."""

    ceiling = models.ForeignKey(Ceiling, on_delete=models.CASCADE, related_name="members")
    name = NameField(max_length=60)
    runs = models.CharField(max_length=10, choices=Runs)
    at = LengthField()
    at_to = models.CharField(max_length=6, choices=MemberPoint, default=MemberPoint.CENTER)
    at_from = models.CharField(max_length=5, choices=SideChoice)
    datum = models.CharField(max_length=8, choices=Face, default=Face.FRAMING)
    width = LengthField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            one_of("runs", Runs.values, model="odd_member"),
            one_of("at_to", MemberPoint.values, model="odd_member"),
            one_of("datum", Face.values, model="odd_member"),
            spaced_from_its_own_walls("odd_member_at_from_known", "at_from"),
            length_between("at", *ACROSS, model="odd_member"),
            length_between("width", *WIDTH, model="odd_member"),
            no_longer_than("name", 60, model="odd_member"),
        ]


class Thing(models.Model):
    """Something a hole keeps away from. x, y: its center; wide, deep: its size, both the diameter where it is round.

    clear: none where the clearance table's own holds; anything else needs a note, which goes on to the card.
    """

    ceiling = models.ForeignKey(Ceiling, on_delete=models.CASCADE, related_name="things")
    what = models.SlugField(max_length=40, db_index=False)  # an entry of the clearance table
    name = NameField(max_length=60)
    x = LengthField()
    y = LengthField()
    wide = LengthField()
    deep = LengthField()
    round = models.BooleanField(default=False)
    datum = models.CharField(max_length=8, choices=Face, default=Face.FINISHED)
    clear = LengthField(null=True, blank=True)
    above = models.BooleanField(default=False)
    leaves = LengthField(null=True, blank=True)
    blades_drop = LengthField(null=True, blank=True)  # a fan's blades, below the ceiling
    note = NoteField(max_length=200)

    class Meta:
        ordering = ["pk"]
        constraints = [
            one_of("datum", Face.values, model="thing"),
            length_between("blades_drop", *DEPTH, model="thing"),
            *(length_between(name, *ACROSS, model="thing") for name in ("x", "y")),
            *(length_between(name, *SIZE, model="thing") for name in ("wide", "deep")),
            length_between("clear", *CLEAR, model="thing"),
            length_between("leaves", *DEPTH, model="thing"),
            models.CheckConstraint(
                condition=models.Q(clear__isnull=True) | ~models.Q(note=""), name="thing_own_clearance_needs_a_note"
            ),
            models.CheckConstraint(
                condition=models.Q(wide__gt=0) | models.Q(deep__gt=0), name="thing_has_a_size"
            ),
            models.CheckConstraint(
                condition=models.Q(round=False) | models.Q(wide=models.F("deep")), name="thing_round_has_one_size"
            ),
            models.CheckConstraint(
                condition=models.Q(leaves__isnull=True) | models.Q(above=True), name="thing_leaves_depth_above"
            ),
            no_longer_than("name", 60, model="thing"),
            no_longer_than("note", 200, model="thing"),
        ]


class OutlineCorner(models.Model):
    """A corner of the finished ceiling, in order round it, in the rectangle that encloses it."""

    ceiling = models.ForeignKey(Ceiling, on_delete=models.CASCADE, related_name="corners")
    x = LengthField()
    y = LengthField()

    class Meta:
        ordering = ["pk"]
        constraints = [length_between(name, *ACROSS, model="outline_corner") for name in ("x", "y")]


class Region(models.Model):
    """A part of the ceiling at its own height: a tray's field, a coffer, a soffit. rise below 0 hangs under it."""

    ceiling = models.ForeignKey(Ceiling, on_delete=models.CASCADE, related_name="regions")
    name = NameField(max_length=60)
    rise = LengthField(default=ZERO)
    laid_out = models.BooleanField(default=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["ceiling", "name"], name="region_name_once_per_ceiling"),
            length_between("rise", -RISE[1], RISE[1], model="region"),
            no_longer_than("name", 60, model="region"),
        ]


class RegionCorner(models.Model):
    region = models.ForeignKey(Region, on_delete=models.CASCADE, related_name="corners")
    x = LengthField()
    y = LengthField()

    class Meta:
        ordering = ["pk"]
        constraints = [length_between(name, *ACROSS, model="region_corner") for name in ("x", "y")]
