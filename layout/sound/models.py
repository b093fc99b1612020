"""What a room's sound is worked out from: what it is for, seats, screen, what each speaker plays, subs, materials.

Places are from the left wall and from the door wall of the finished room, so that they stand however the room is
turned. Knows no layout result and no sum.
"""

from decimal import Decimal

from django.db import models
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import ZERO, Length, feet, inches, mm
from layout.engine.marks import Side
from layout.engine.sound.listening import MOST_LEEWAY_DEG, USUAL_LEEWAY_DEG
from projects.jobs.models import Room, SideChoice
from projects.platform.fields import LengthField, length_between, no_longer_than, number_between, one_of
from projects.platform.tenancy import ShopRecord


class Use(models.TextChoices):
    LISTENING = "listening", _("Listening room, with or without a screen")
    BACKGROUND = "background", _("Background music or speech")


class Band(models.IntegerChoices):
    """The octave band whose coverage angle the catalog's number is taken for."""

    HZ_500 = 500, _("500 Hz")
    HZ_1000 = 1000, _("1 kHz")
    HZ_2000 = 2000, _("2 kHz: speech")
    HZ_4000 = 4000, _("4 kHz")


class Hears(models.TextChoices):
    """A surface of the room that takes sound in."""

    FLOOR = "floor", _("floor")
    CEILING = "ceiling", _("ceiling")
    DOOR = Side.DOOR.value, _("door wall")
    LEFT = Side.LEFT.value, _("left wall")
    FAR = Side.FAR.value, _("far wall")
    RIGHT = Side.RIGHT.value, _("right wall")


EAR = (inches(20), feet(8))
PLACE = (ZERO, feet(300))
SCREEN = (inches(10), feet(60))
SUB_HEIGHT = (ZERO, feet(30))
SEATED_EAR = mm(1200)  # as the loudspeakers of ITU-R BS.775; seated 1.1 to 1.2 m, standing 1.5 to 1.65, from memory
MOST_SEATS, MOST_ROLES, MOST_SUBS, MOST_MATERIALS = 24, 100, 24, 12
TEMPERATURE = (Decimal(-20), Decimal(50))
TARGET = (Decimal(40), Decimal(110))
DECAY = (Decimal("0.1"), Decimal(10))


class SoundSetup(ShopRecord):
    """What the room is for and what its figures are taken at. One per room; its version is that of all it stands with.

    system: a loudspeaker layout of the engine's; empty: not chosen. leeway_deg: what passes past either end of a range,
    for a range may be one angle; 5 is common practice, no source. target_db: at the ears. low_decay_s: below 200 Hz,
    where it was measured.
    """

    room = models.OneToOneField(Room, on_delete=models.CASCADE, related_name="sound")
    use = models.CharField(max_length=10, choices=Use, default=Use.LISTENING)
    system = models.CharField(max_length=20, blank=True, default="")
    leeway_deg = models.PositiveSmallIntegerField(default=USUAL_LEEWAY_DEG)
    ear_height = LengthField(default=SEATED_EAR)
    temperature_c = models.DecimalField(max_digits=3, decimal_places=1, default=Decimal(20))
    band_hz = models.PositiveSmallIntegerField(choices=Band, default=Band.HZ_2000)
    target_db = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    low_decay_s = models.DecimalField(max_digits=4, decimal_places=2, null=True, blank=True)

    class Meta:
        constraints = [
            one_of("use", Use.values, model="sound_setup"),
            one_of("band_hz", Band.values, model="sound_setup"),
            no_longer_than("system", 20, model="sound_setup"),
            number_between("leeway_deg", 0, MOST_LEEWAY_DEG, model="sound_setup"),
            length_between("ear_height", *EAR, model="sound_setup"),
            number_between("temperature_c", *TEMPERATURE, model="sound_setup"),
            number_between("target_db", *TARGET, model="sound_setup"),
            number_between("low_decay_s", *DECAY, model="sound_setup"),
        ]

    def __str__(self):
        return f"sound of {self.room}"

    def ear_of(self, seat) -> Length:
        return self.ear_height if seat.ear_height is None else seat.ear_height


class Seat(models.Model):
    """Where somebody listens. ear_height: none, and it is the room's. main: angles are judged from it first."""

    room = models.ForeignKey(Room, on_delete=models.CASCADE, related_name="seats")
    number = models.PositiveSmallIntegerField()
    x = LengthField()
    y = LengthField()
    ear_height = LengthField(null=True, blank=True)
    main = models.BooleanField(default=False)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["room", "number"], name="seat_number_once_per_room"),
            number_between("number", 1, MOST_SEATS, model="seat"),
            length_between("x", *PLACE, model="seat"),
            length_between("y", *PLACE, model="seat"),
            length_between("ear_height", *EAR, model="seat"),
        ]

    def __str__(self):
        return str(_("seat %s") % self.number)


class Screen(models.Model):
    """A picture on one wall. center: along it, from the left wall or from the door wall."""

    room = models.OneToOneField(Room, on_delete=models.CASCADE, related_name="screen")
    wall = models.CharField(max_length=5, choices=SideChoice, default=SideChoice.FAR)
    center = LengthField()
    width = LengthField()
    height = LengthField(null=True, blank=True)

    class Meta:
        constraints = [
            one_of("wall", SideChoice.values, model="screen"),
            length_between("center", *PLACE, model="screen"),
            length_between("width", *SCREEN, model="screen"),
            length_between("height", *SCREEN, model="screen"),
        ]


class SpeakerRole(models.Model):
    """What a speaker's mark plays. It stays when the mark goes away, and is told.

    x, y: where the mark stood when its number was last known, so that a room that is turned finds it again.
    """

    room = models.ForeignKey(Room, on_delete=models.CASCADE, related_name="speaker_roles")
    mark = models.CharField(max_length=8)
    channel = models.CharField(max_length=12)
    x = LengthField(null=True, blank=True)
    y = LengthField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["room", "mark"], name="speaker_role_once_per_mark"),
            models.CheckConstraint(condition=~models.Q(mark=""), name="speaker_role_has_a_mark"),
            models.CheckConstraint(condition=~models.Q(channel=""), name="speaker_role_has_a_channel"),
            no_longer_than("mark", 8, model="speaker_role"),
            no_longer_than("channel", 12, model="speaker_role"),
            length_between("x", *PLACE, model="speaker_role"),
            length_between("y", *PLACE, model="speaker_role"),
        ]


class SubPlace(models.Model):
    """Where a subwoofer stands on the floor or may stand. placed: it stands there; otherwise it is to be compared."""

    room = models.ForeignKey(Room, on_delete=models.CASCADE, related_name="sub_places")
    number = models.PositiveSmallIntegerField()
    x = LengthField()
    y = LengthField()
    height = LengthField(default=inches(10))  # of its driver's center
    placed = models.BooleanField(default=False)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["room", "number"], name="sub_place_number_once_per_room"),
            number_between("number", 1, MOST_SUBS, model="sub_place"),
            length_between("x", *PLACE, model="sub_place"),
            length_between("y", *PLACE, model="sub_place"),
            length_between("height", *SUB_HEIGHT, model="sub_place"),
        ]


class SurfaceMaterial(models.Model):
    """What part of a surface is of: a key of the absorption table, and how much of the surface, percent."""

    room = models.ForeignKey(Room, on_delete=models.CASCADE, related_name="surface_materials")
    surface = models.CharField(max_length=7, choices=Hears)
    material = models.CharField(max_length=60)
    percent = models.PositiveSmallIntegerField(default=100)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["room", "surface", "material"], name="material_once_per_surface"),
            one_of("surface", Hears.values, model="surface_material"),
            models.CheckConstraint(condition=~models.Q(material=""), name="surface_material_is_said"),
            no_longer_than("material", 60, model="surface_material"),
            number_between("percent", 1, 100, model="surface_material"),
        ]
