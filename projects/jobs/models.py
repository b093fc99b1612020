"""Jobs and their rooms, as read off a tape. Knows nothing of layouts, prices or documents."""

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import ZERO, Style, Tape, feet, inches
from layout.engine.marks import Axis, Kind, Side
from projects.accounts.models import Membership
from projects.catalogue.models import FixtureType
from projects.jobs.circuits import Circuit, SpeakerWiring, SwitchZone
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
from projects.platform.trashing import Trashable, lying_in_the_trash, trashed_by_somebody

__all__ = ["Circuit", "SpeakerWiring", "SwitchZone"]  # theirs is projects.jobs.circuits


class JobRuns(models.TextChoices):
    """Which stages a job's rooms go through, and in what order: a template of projects.stages."""

    NEW_WORK = "new_work", _("new work")
    RETROFIT = "retrofit", _("work in an existing ceiling")
    GRID = "grid", _("commercial grid ceiling")
    PREWIRE = "prewire", _("wired ahead only")


class Job(Trashable):
    """One contract at one site."""

    number = models.CharField(max_length=20)
    name = NameField()
    client = models.CharField(max_length=120, blank=True, default="")
    site = models.CharField(max_length=200, blank=True, default="")
    code_edition = models.CharField(max_length=120, blank=True, default="")
    survey_on = models.DateField(null=True, blank=True)
    rough_in_on = models.DateField(null=True, blank=True)
    inspection_on = models.DateField(null=True, blank=True)
    drywall_on = models.DateField(null=True, blank=True)
    trim_on = models.DateField(null=True, blank=True)
    runs_as = models.CharField(max_length=10, choices=JobRuns, default=JobRuns.NEW_WORK)
    year_built = models.PositiveSmallIntegerField(null=True, blank=True)
    # How far a crew may put a mark off the card without asking, along the joists, the mirror row with it. Zero: always
    # ask. Common practice, no source.
    crew_may_move = LengthField(default=inches(3))
    closed_on = models.DateField(null=True, blank=True)  # none: the job is under way
    style = models.CharField(max_length=8, blank=True, default="")  # blank: the shop's own way of writing lengths
    fraction = models.PositiveSmallIntegerField(null=True, blank=True)
    note = NoteField()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "number"], condition=models.Q(trashed_at=None), name="job_number_once_per_shop"
            ),
            trashed_by_somebody("job"),
            one_of("style", ["", "ft-in", "in", "mm"], model="job"),
            one_of("runs_as", JobRuns.values, model="job"),
            number_between("year_built", 1600, 2200, model="job"),
            length_between("crew_may_move", ZERO, feet(5), model="job"),
            one_of("fraction", (8, 16, 32, 64), model="job", or_none=True),
            no_longer_than("number", 20, model="job"),
            no_longer_than("name", 120, model="job"),
            no_longer_than("note", 4000, model="job"),
        ]
        indexes = [lying_in_the_trash("job"), models.Index(fields=["shop", "closed_on"])]

    def __str__(self):
        return f"{self.number} {self.name}"

    @property
    def tape(self):
        """The tape this job is written in: its own, else the shop's."""
        if not self.style:
            return self.shop.tape
        style = Style(self.style)
        return Tape(style, 1 if style is Style.MM else self.fraction or 16)


class SideChoice(models.TextChoices):
    DOOR = Side.DOOR.value, _("door wall")
    LEFT = Side.LEFT.value, _("left wall")
    FAR = Side.FAR.value, _("far wall")
    RIGHT = Side.RIGHT.value, _("right wall")


class RowsRun(models.TextChoices):
    LEFT_RIGHT = Axis.LEFT_RIGHT.value, _("left to right, along the door wall")
    DOOR_FAR = Axis.DOOR_FAR.value, _("from the door wall to the far wall")


class Held(models.TextChoices):
    """Where the difference between the measured and the computed ceiling lies."""

    LEFT = "left", _("all at the left wall")
    RIGHT = "right", _("all at the right wall")
    DOOR = "door", _("all at the door wall")
    FAR = "far", _("all at the far wall")
    SPLIT = "split", _("half at each wall")
    UNKNOWN = "unknown", _("not known yet")


class HeldUp(models.TextChoices):
    """Why a room doesn't go on although its stage would let it. Cancelled stands by itself."""

    ON_HOLD = "on_hold", _("on hold")
    BLOCKED = "blocked", _("blocked by another trade")
    REWORK = "rework", _("rework")


HELD_LEFT_RIGHT = (Held.LEFT, Held.RIGHT, Held.SPLIT, Held.UNKNOWN)
HELD_DOOR_FAR = (Held.DOOR, Held.FAR, Held.SPLIT, Held.UNKNOWN)
LAST_STAGE = 12


class Room(Trashable):
    """A room, seen with your back to the door, facing in."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="rooms")
    name = NameField(max_length=80)
    level = models.CharField(max_length=40, blank=True, default="")
    note = NoteField()
    stage = models.PositiveSmallIntegerField(default=0)
    stage_since = models.DateTimeField(default=timezone.now)  # when it came to this stage
    # Beside the stage: the room is held up. waits_for says who must act, and for what.
    held_up = models.CharField(max_length=8, choices=HeldUp, blank=True, default="")
    held_up_why = models.CharField(max_length=400, blank=True, default="")
    held_up_since = models.DateTimeField(null=True, blank=True)
    waits_for = models.CharField(max_length=120, blank=True, default="")
    door_name = models.CharField(max_length=60, blank=True, default="")
    door_wall = models.CharField(max_length=60, blank=True, default="")
    left_wall = models.CharField(max_length=60, blank=True, default="")
    far_wall = models.CharField(max_length=60, blank=True, default="")
    right_wall = models.CharField(max_length=60, blank=True, default="")
    north = models.CharField(max_length=5, choices=SideChoice, blank=True, default="")
    zero_x = models.CharField(max_length=5, choices=SideChoice, default=Side.LEFT.value)
    zero_y = models.CharField(max_length=5, choices=SideChoice, default=Side.DOOR.value)
    rows_run = models.CharField(max_length=10, choices=RowsRun, blank=True, default="")  # blank: the longer way
    ceiling_system = models.CharField(max_length=30, default="board")
    gap_door = LengthField(default=ZERO)
    gap_left = LengthField(default=ZERO)
    gap_far = LengthField(default=ZERO)
    gap_right = LengthField(default=ZERO)
    held_left_right = models.CharField(max_length=8, choices=Held, default=Held.UNKNOWN)
    held_door_far = models.CharField(max_length=8, choices=Held, default=Held.UNKNOWN)
    cancelled = models.BooleanField(default=False)
    # The room it was copied from as one of many alike; a change there can be pushed to it. None: it stands alone.
    type_room = models.ForeignKey("self", on_delete=models.PROTECT, related_name="alike", null=True, blank=True)

    class Meta:
        ordering = ["job_id", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["job", "name"], condition=models.Q(trashed_at=None), name="room_name_once_per_job"
            ),
            trashed_by_somebody("room"),
            number_between("stage", 0, LAST_STAGE, model="room"),
            one_of("held_up", ["", *HeldUp.values], model="room"),
            models.CheckConstraint(
                condition=models.Q(held_up="", held_up_since=None)
                | ~models.Q(held_up="") & models.Q(held_up_since__isnull=False),
                name="room_held_up_since_a_day",
            ),
            no_longer_than("held_up_why", 400, model="room"),
            one_of("zero_x", [Side.LEFT.value, Side.RIGHT.value], model="room"),
            one_of("zero_y", [Side.DOOR.value, Side.FAR.value], model="room"),
            one_of("north", ["", *SideChoice.values], model="room"),
            one_of("rows_run", ["", *RowsRun.values], model="room"),
            one_of("held_left_right", [held.value for held in HELD_LEFT_RIGHT], model="room"),
            one_of("held_door_far", [held.value for held in HELD_DOOR_FAR], model="room"),
            *(length_between(f"gap_{side.value}", ZERO, feet(20), model="room") for side in Side),
            no_longer_than("name", 80, model="room"),
            no_longer_than("note", 4000, model="room"),
        ]
        indexes = [
            models.Index(fields=["shop", "stage"]),
            models.Index(fields=["shop", "stage_since"]),
            models.Index(fields=["shop", "-updated_at"]),
            lying_in_the_trash("room"),
        ]

    def __str__(self):
        return self.name

    @property
    def stands(self):
        """Whether it counts for others: neither cancelled nor in the trash."""
        return not self.cancelled and self.trashed_at is None

    def gap(self, side):
        return getattr(self, f"gap_{side.value}")

    def wall_name(self, side):
        """The crew's own word for a wall, else ours."""
        return getattr(self, f"{side.value}_wall") or str(SideChoice(side.value).label)


class StageEvent(models.Model):
    """A room moved from one stage to another. Append-only."""

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="stage_events")
    came_from = models.PositiveSmallIntegerField()
    went_to = models.PositiveSmallIntegerField()
    note = NoteField(max_length=400)
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            number_between("came_from", 0, LAST_STAGE, model="stage_event"),
            number_between("went_to", 0, LAST_STAGE, model="stage_event"),
        ]


class SurveyKind(models.TextChoices):
    PLAN = "plan", _("from a plan")
    FRAMING = "framing", _("framing to framing")
    FINISHED = "finished", _("finished ceiling, edge to edge")


class Instrument(models.TextChoices):
    TAPE = "tape", _("tape")
    LASER = "laser", _("laser")


class LaserEdge(models.TextChoices):
    REAR = "rear", _("from its rear edge")
    FRONT = "front", _("from its front edge")


class MeasurementSet(models.Model):
    """What one person read on one visit. A set is never changed or removed: a later one takes its place."""

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="measurement_sets")
    kind = models.CharField(max_length=8, choices=SurveyKind)
    taken_on = models.DateField()
    taken_by = NameField(max_length=80)
    instrument = models.CharField(max_length=5, choices=Instrument, default=Instrument.TAPE)
    laser_edge = models.CharField(max_length=5, choices=LaserEdge, blank=True, default="")
    note = NoteField(max_length=400)
    entered_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    entered_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            one_of("kind", SurveyKind.values, model="measurement_set"),
            one_of("instrument", Instrument.values, model="measurement_set"),
            one_of("laser_edge", ["", *LaserEdge.values], model="measurement_set"),
        ]


class Subject(models.TextChoices):
    """What a reading measures. door and far are left-to-right sizes; left and right are door-to-far sizes."""

    DOOR = "door", _("along the door wall, left to right")
    FAR = "far", _("along the far wall, left to right")
    LEFT = "left", _("along the left wall, door to far")
    RIGHT = "right", _("along the right wall, door to far")
    D1 = "d1", _("diagonal, door-left corner to far-right")
    D2 = "d2", _("diagonal, door-right corner to far-left")
    LEG_A = "leg_a", _("3-4-5: leg along the left-to-right wall")
    LEG_B = "leg_b", _("3-4-5: leg along the door-to-far wall")
    LEG_C = "leg_c", _("3-4-5: across")
    HEIGHT = "height", _("floor to framing, or to the finished ceiling")


WALLS = (Subject.DOOR, Subject.FAR, Subject.LEFT, Subject.RIGHT)


class Reading(models.Model):
    """One number off the tape. A wall takes up to three, each with the height it was taken at."""

    measurement_set = models.ForeignKey(MeasurementSet, on_delete=models.PROTECT, related_name="readings")
    subject = models.CharField(max_length=8, choices=Subject)
    ordinal = models.PositiveSmallIntegerField(default=1)
    value = LengthField()
    taken_at_height = LengthField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["measurement_set", "subject", "ordinal"], name="reading_once"),
            one_of("subject", Subject.values, model="reading"),
            number_between("ordinal", 1, 5, model="reading"),
            models.CheckConstraint(
                condition=models.Q(subject="height", value__gte=int(HEIGHT[0]), value__lte=int(HEIGHT[1]))
                | models.Q(subject__startswith="leg", value__gte=int(inches(3)), value__lte=int(feet(300)))
                | models.Q(subject__in=[w.value for w in WALLS], value__gte=int(feet(1)), value__lte=int(feet(300)))
                | models.Q(subject__in=["d1", "d2"], value__gte=int(feet(1)), value__lte=int(feet(430))),
                name="reading_value_bounds",
            ),
            length_between("taken_at_height", ZERO, HEIGHT[1], model="reading"),
        ]


class Surface(models.TextChoices):
    DOOR = "door", _("door wall")
    LEFT = "left", _("left wall")
    FAR = "far", _("far wall")
    RIGHT = "right", _("right wall")
    CEILING = "ceiling", _("ceiling")
    FLOOR = "floor", _("floor")


class SurfaceLayer(models.Model):
    """One layer of the build-up on one surface, from the framing inward."""

    room = models.ForeignKey(Room, on_delete=models.CASCADE, related_name="layers")
    surface = models.CharField(max_length=8, choices=Surface)
    position = models.PositiveSmallIntegerField()
    name = NameField(max_length=80)
    thickness = LengthField()

    class Meta:
        ordering = ["surface", "position"]
        constraints = [
            models.UniqueConstraint(fields=["room", "surface", "position"], name="layer_place_once"),
            one_of("surface", Surface.values, model="surface_layer"),
            number_between("position", 1, 40, model="surface_layer"),
            length_between("thickness", inches("1/16"), inches(48), model="surface_layer"),
        ]


class FixtureCount(models.Model):
    """How many of a fixture type a room is to have; no number means: as many as the spacing limit asks for."""

    room = models.ForeignKey(Room, on_delete=models.CASCADE, related_name="counts")
    fixture_type = models.ForeignKey(FixtureType, on_delete=models.PROTECT, related_name="+")
    zone = models.CharField(max_length=2, blank=True, default="")
    count = models.PositiveSmallIntegerField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["room", "fixture_type", "zone"], name="count_once"),
            number_between("count", 0, 400, model="fixture_count"),
        ]

    @property
    def kind(self):
        return Kind(self.fixture_type.kind)


STORIES = feet(100)  # floor to floor, at most


class WirePoint(models.Model):
    """Where a room's switch is, where its homerun goes, where its speaker runs end; on the plan, from door-left.

    zone: the switch, or the second of a 3-way pair, of one zone alone. Without one, of every zone that has none of its
    own.
    """

    class What(models.TextChoices):
        SWITCH = "switch", _("Switch")
        PANEL = "panel", _("Panel (or where the homerun leaves the room)")
        RACK = "rack", _("Rack (or where speaker runs leave the room)")
        THREE_WAY = "three_way", _("The other switch of a 3-way pair")
        CONTROL = "control", _("Speaker control on the wall")

    room = models.ForeignKey(Room, on_delete=models.CASCADE, related_name="wire_points")
    what = models.CharField(max_length=9, choices=What)
    zone = models.CharField(max_length=2, blank=True, default="")
    from_left = LengthField()
    from_door = LengthField()
    height = LengthField()  # above the floor
    beyond = LengthField(default=ZERO)  # feet of run past this point, out of the room
    story = LengthField(default=ZERO)  # where its floor is: above the room's, or below it (less than zero)

    class Meta:
        ordering = ["what", "zone"]
        constraints = [
            models.UniqueConstraint(fields=["room", "what", "zone"], name="wire_point_once"),
            one_of("what", ["switch", "panel", "rack", "three_way", "control"], model="wire_point"),
            no_longer_than("zone", 2, model="wire_point"),
            length_between("from_left", ZERO, feet(300), model="wire_point"),
            length_between("from_door", ZERO, feet(300), model="wire_point"),
            length_between("height", ZERO, feet(60), model="wire_point"),
            length_between("beyond", ZERO, feet(1000), model="wire_point"),
            length_between("story", (ZERO - STORIES).exact(), STORIES, model="wire_point"),
        ]


ROOM_POINTS = (WirePoint.What.SWITCH, WirePoint.What.PANEL, WirePoint.What.RACK)  # one a room; the others are by zone
