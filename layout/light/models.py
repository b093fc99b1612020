"""What is set for a room's light, what was read in it on site, and a large room's light once it was worked out."""

from decimal import Decimal

from django.db import models
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import ZERO, feet, inches
from layout.engine.light.values import LUX_IN_A_FOOTCANDLE
from projects.accounts.models import Membership
from projects.catalogue.models import FixtureType
from projects.jobs.models import Room, SideChoice
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

PLACE = (ZERO, feet(300))
SIZE = (inches("1/2"), feet(300))
REFLECTANCE = (0, 95)  # percent; nothing gives all its light back
LOSSES = ("lld", "ldd", "rsdd", "lbo", "other_loss")  # the chain, in the order it is multiplied
LOSS = (Decimal("0.1"), Decimal("1"))
AS_READ = (Decimal("0.2"), Decimal("2"))
MOST_LUX = 200_000


class LightUnit(models.TextChoices):
    FOOTCANDLES = "fc", _("fc")
    LUX = "lx", _("lux")

    @property
    def in_lux(self):
        """Lux in one of it."""
        return LUX_IN_A_FOOTCANDLE if self is LightUnit.FOOTCANDLES else 1.0


def _factor():
    return models.DecimalField(max_digits=4, decimal_places=3, default=Decimal("1"))


class LightSetup(ShopRecord):
    """A room's light beside its layout: what its surfaces give back, what is lost, and what is wanted. One per room.

    Reflectances are whole percents; a wall without one of its own has wall_percent (common practice, no source:
    ceiling 80, walls 50, floor 20). Losses of 1 take nothing off: the light of the first day.
    """

    room = models.OneToOneField(Room, on_delete=models.CASCADE, related_name="light_setup")
    floor_percent = models.PositiveSmallIntegerField(default=20)
    ceiling_percent = models.PositiveSmallIntegerField(default=80)
    wall_percent = models.PositiveSmallIntegerField(default=50)
    door_percent = models.PositiveSmallIntegerField(null=True, blank=True)
    left_percent = models.PositiveSmallIntegerField(null=True, blank=True)
    far_percent = models.PositiveSmallIntegerField(null=True, blank=True)
    right_percent = models.PositiveSmallIntegerField(null=True, blank=True)
    plane = LengthField(default=inches(30))  # above the floor; common practice, no source
    lld = _factor()
    ldd = _factor()
    rsdd = _factor()
    lbo = _factor()
    other_loss = _factor()
    # The shop's own ratio of read to predicted, as it was when somebody chose it; none: not applied.
    as_read = models.DecimalField(max_digits=4, decimal_places=3, null=True, blank=True)
    target_key = models.CharField(max_length=60, blank=True, default="")  # in the table of targets
    target = models.DecimalField(max_digits=8, decimal_places=1, null=True, blank=True)  # typed; goes before the table
    target_unit = models.CharField(max_length=2, choices=LightUnit, default=LightUnit.FOOTCANDLES)
    uniformity = models.DecimalField(max_digits=3, decimal_places=2, null=True, blank=True)  # least over average
    wall_ratio = models.DecimalField(max_digits=4, decimal_places=2, null=True, blank=True)  # walls over plane
    note = NoteField(max_length=1000)

    class Meta:
        constraints = [
            *(
                number_between(f"{name}_percent", *REFLECTANCE, model="light_setup")
                for name in ("floor", "ceiling", "wall", *SideChoice.values)
            ),
            length_between("plane", inches(1), feet(20), model="light_setup"),
            *(number_between(name, *LOSS, model="light_setup") for name in LOSSES),
            number_between("as_read", *AS_READ, model="light_setup"),
            number_between("target", 0, MOST_LUX, model="light_setup"),
            one_of("target_unit", LightUnit.values, model="light_setup"),
            number_between("uniformity", 0, 1, model="light_setup"),
            number_between("wall_ratio", 0, 5, model="light_setup"),
            no_longer_than("target_key", 60, model="light_setup"),
            no_longer_than("note", 1000, model="light_setup"),
        ]

    def __str__(self):
        return f"light of {self.room}"

    def percent_of(self, side):
        own = getattr(self, f"{side}_percent")
        return self.wall_percent if own is None else own

    def rows(self, name):
        """Its zones, aims or tasks; none of a setup that isn't kept yet."""
        return () if self.pk is None else tuple(getattr(self, name).all())


class LightZone(models.Model):
    """A zone's dim level, and its own light type where it differs from the room's."""

    setup = models.ForeignKey(LightSetup, on_delete=models.CASCADE, related_name="zones")
    letter = models.CharField(max_length=2)
    dim_percent = models.PositiveSmallIntegerField(default=100)
    light_type = models.ForeignKey(FixtureType, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    # Where one of its lights hung, noted while the room is turned
    x = LengthField(null=True, blank=True)
    y = LengthField(null=True, blank=True)

    class Meta:
        ordering = ["letter"]
        constraints = [
            models.UniqueConstraint(fields=["setup", "letter"], name="light_zone_once"),
            number_between("dim_percent", 0, 100, model="light_zone"),
            no_longer_than("letter", 2, model="light_zone"),
            *(length_between(name, *PLACE, model="light_zone") for name in ("x", "y")),
        ]


class LightAim(models.Model):
    """Where one light points. row, number: which light of its row, from the zero corner, as switches are said."""

    setup = models.ForeignKey(LightSetup, on_delete=models.CASCADE, related_name="aims")
    row = models.PositiveSmallIntegerField()
    number = models.PositiveSmallIntegerField()
    tilt_deg = models.DecimalField(max_digits=4, decimal_places=1, default=Decimal("0"))  # from straight down
    toward_deg = models.DecimalField(max_digits=4, decimal_places=1, default=Decimal("0"))  # on the plan
    spin_deg = models.DecimalField(max_digits=4, decimal_places=1, default=Decimal("0"))
    x = LengthField(null=True, blank=True)  # where the light hung, noted while the room is turned
    y = LengthField(null=True, blank=True)

    class Meta:
        ordering = ["row", "number"]
        constraints = [
            models.UniqueConstraint(fields=["setup", "row", "number"], name="light_aim_once"),
            number_between("row", 1, 2400, model="light_aim"),
            number_between("number", 1, 400, model="light_aim"),
            number_between("tilt_deg", 0, 90, model="light_aim"),
            number_between("toward_deg", 0, 360, model="light_aim"),
            number_between("spin_deg", 0, 360, model="light_aim"),
            *(length_between(name, *PLACE, model="light_aim") for name in ("x", "y")),
        ]


class TaskKind(models.TextChoices):
    FLAT = "flat", _("counter, desk or table: lying flat")
    BOARD = "board", _("board, shelf front or picture: on a wall")
    FACE = "face", _("a face: where somebody sits or stands")


class LightTask(models.Model):
    """Where light is asked for besides the room's own surfaces. Places are on the plan, from the finished walls.

    flat: from_left, from_door of its corner, then wide to the right and deep to the far wall, at height.
    board: on `wall`, `along` from that wall's left end as one faces it, wide along it, deep up from height.
    face: at from_left, from_door and height; facing: the bearing it looks to; none: the mean all round.
    """

    setup = models.ForeignKey(LightSetup, on_delete=models.CASCADE, related_name="tasks")
    name = NameField(max_length=60)
    kind = models.CharField(max_length=5, choices=TaskKind)
    wall = models.CharField(max_length=5, choices=SideChoice, blank=True, default="")
    along = LengthField(null=True, blank=True)
    from_left = LengthField(null=True, blank=True)
    from_door = LengthField(null=True, blank=True)
    height = LengthField()
    wide = LengthField(null=True, blank=True)
    deep = LengthField(null=True, blank=True)
    facing_deg = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["setup", "name"], name="light_task_once"),
            one_of("kind", TaskKind.values, model="light_task"),
            one_of("wall", ["", *SideChoice.values], model="light_task"),
            *(length_between(name, *PLACE, model="light_task") for name in ("along", "from_left", "from_door")),
            length_between("height", ZERO, HEIGHT[1], model="light_task"),
            *(length_between(name, *SIZE, model="light_task") for name in ("wide", "deep")),
            number_between("facing_deg", 0, 360, model="light_task"),
            no_longer_than("name", 60, model="light_task"),
            models.CheckConstraint(
                condition=models.Q(kind="board", along__isnull=False, wide__isnull=False, deep__isnull=False)
                & ~models.Q(wall="")
                | models.Q(
                    kind="flat", from_left__isnull=False, from_door__isnull=False, wide__isnull=False,
                    deep__isnull=False,
                )
                | models.Q(kind="face", from_left__isnull=False, from_door__isnull=False),
                name="light_task_placed",
            ),
        ]  # fmt: skip


class ReadOn(models.TextChoices):
    LEVEL = "level", _("lying flat, facing up")
    FLOOR = "floor", _("on the floor")
    CEILING = "ceiling", _("on the ceiling, facing down")
    DOOR = "door", _("on the door wall")
    LEFT = "left", _("on the left wall")
    FAR = "far", _("on the far wall")
    RIGHT = "right", _("on the right wall")


class MeterReading(ShopRecord):
    """One number off a light meter, with what was predicted for that place when it was entered. Append-only.

    On a wall `along` is from its left end as one faces it; elsewhere the place is from the left and the door wall.
    dims: JSON, zone letter to percent. predicted_lx: of the lights alone, with the room's losses and without the shop's
    own correction, under `digest`; none where it couldn't be computed.
    """

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="meter_readings")
    on = models.CharField(max_length=7, choices=ReadOn)
    from_left = LengthField(null=True, blank=True)
    from_door = LengthField(null=True, blank=True)
    along = LengthField(null=True, blank=True)
    height = LengthField(default=ZERO)
    value = models.DecimalField(max_digits=9, decimal_places=2)
    dark = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)  # the same place, lights off
    unit = models.CharField(max_length=2, choices=LightUnit)
    instrument = NameField(max_length=80)
    taken_by = NameField(max_length=80)
    taken_on = models.DateField()
    dims = models.TextField(default="{}")
    note = NoteField(max_length=400)
    predicted_lx = models.DecimalField(max_digits=13, decimal_places=3, null=True, blank=True)
    digest = models.CharField(max_length=64, blank=True, default="")
    entered_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    entered_at = models.DateTimeField()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            one_of("on", ReadOn.values, model="meter_reading"),
            *(length_between(name, *PLACE, model="meter_reading") for name in ("from_left", "from_door", "along")),
            length_between("height", ZERO, HEIGHT[1], model="meter_reading"),
            number_between("value", 0, MOST_LUX, model="meter_reading"),
            number_between("dark", 0, MOST_LUX, model="meter_reading"),
            one_of("unit", LightUnit.values, model="meter_reading"),
            no_longer_than("instrument", 80, model="meter_reading"),
            no_longer_than("taken_by", 80, model="meter_reading"),
            no_longer_than("dims", 2000, model="meter_reading"),
            no_longer_than("note", 400, model="meter_reading"),
            no_longer_than("digest", 64, model="meter_reading"),
            number_between("predicted_lx", 0, 1_000_000_000, model="meter_reading"),
            models.CheckConstraint(
                condition=models.Q(on__in=SideChoice.values, along__isnull=False)
                | models.Q(on__in=["level", "floor", "ceiling"], from_left__isnull=False, from_door__isnull=False),
                name="meter_reading_placed",
            ),
        ]
        indexes = [models.Index(fields=["shop", "-entered_at"])]


class KeptLight(ShopRecord):
    """The light of a room too large to work out while a page waits, by zone on every grid. Made again under another
    digest; nothing a person typed stands here.
    """

    room = models.OneToOneField(Room, on_delete=models.CASCADE, related_name="kept_light")
    digest = models.CharField(max_length=64)  # of the scene it was worked out from
    grids = models.BinaryField()  # npz, as layout.light.kept reads it
    at = models.DateTimeField()

    class Meta:
        constraints = [no_longer_than("digest", 64, model="kept_light")]
