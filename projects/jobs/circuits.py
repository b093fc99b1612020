"""What turns a room's lights on, and what feeds it: circuits, switch zones, how speakers are wired. No load is summed.

Held by projects.jobs.models, which is where other parts find them.
"""

from decimal import Decimal

from django.db import models
from django.utils.translation import gettext_lazy as _

from projects.catalogue.models import AWG, ControlType
from projects.platform.fields import NameField, NoteField, no_longer_than, number_between, one_of
from projects.platform.tenancy import ShopRecord

MOST_GANGS = 6
BREAKERS = (15, 20, 25, 30)  # amps; common practice for branch circuits of lights, no source
VOLTS = (100, 480)


class Circuit(ShopRecord):
    """One branch circuit of a job, by its number in the panel. Several rooms may hang on it.

    homerun_room: the room its homerun comes to; the others are fed from it. None, or a room that is cancelled, in the
    trash or has no zone on it now: the first room on it.
    """

    job = models.ForeignKey("jobs.Job", on_delete=models.PROTECT, related_name="circuits")
    number = NameField(max_length=12)
    panel = models.CharField(max_length=40, blank=True, default="")
    breaker_amps = models.PositiveSmallIntegerField(default=15)
    volts = models.PositiveSmallIntegerField(default=120)
    awg = models.PositiveSmallIntegerField(null=True, blank=True)  # of its copper; none: as the breaker's usual
    homerun_room = models.ForeignKey("jobs.Room", on_delete=models.SET_NULL, related_name="+", null=True, blank=True)
    note = NoteField(max_length=400)

    class Meta:
        ordering = ["job_id", "number", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["job", "number"], name="circuit_number_once_per_job"),
            number_between("breaker_amps", 1, 100, model="circuit"),
            number_between("volts", *VOLTS, model="circuit"),
            one_of("awg", AWG, model="circuit", or_none=True),
            no_longer_than("number", 12, model="circuit"),
            no_longer_than("panel", 40, model="circuit"),
            no_longer_than("note", 400, model="circuit"),
        ]

    def __str__(self):
        return self.number

    def home_room(self, zones=None):
        """The room its homerun comes to; None while it is in no room. zones: those on it, where read already."""
        zones = self.switch_zones.all() if zones is None else zones
        rooms = {zone.room_id: zone.room for zone in zones if zone.room.stands}
        return rooms.get(home_of(self.homerun_room_id, rooms))

    def fed_from(self, room):
        """The other room that has its homerun; None where that is this one."""
        home = self.home_room()
        return home if home is not None and home.pk != room.pk else None


def home_of(chosen, rooms):
    """Which room a circuit's homerun comes to. chosen: by a person, or None. rooms: pks of those on it that stand."""
    return chosen if chosen in rooms else min(rooms, default=None)


class Purpose(models.TextChoices):
    GENERAL = "general", _("General")
    PERIMETER = "perimeter", _("Perimeter")
    TASK = "task", _("Task")
    ACCENT = "accent", _("Accent")
    SCREEN = "screen", _("Screen end")
    STAIRS = "stairs", _("Stairs")


class Control(models.TextChoices):
    SWITCH = "switch", _("Switch")
    DIMMER = "dimmer", _("Dimmer")
    THREE_WAY = "three_way", _("3-way switches")
    THREE_WAY_DIMMER = "three_way_dimmer", _("3-way: dimmer and switch")

    @property
    def from_two_places(self):
        return self in (Control.THREE_WAY, Control.THREE_WAY_DIMMER)

    @property
    def dims(self):
        return self in (Control.DIMMER, Control.THREE_WAY_DIMMER)


class Hung(models.TextChoices):
    CHAIN = "chain", _("One light after the other")
    TREE = "tree", _("Branching at lights, for the least cable")


class SwitchZone(models.Model):
    """The lights under one letter of a room: what they are for, what turns them on, in which box, on which circuit.

    box: zones of one box share it, in the order of their places from the left. Empty: by where its switch stands.
    hung: how cable goes from light to light.
    """

    room = models.ForeignKey("jobs.Room", on_delete=models.CASCADE, related_name="switch_zones")
    letter = models.CharField(max_length=2)
    purpose = models.CharField(max_length=10, choices=Purpose, blank=True, default="")
    control = models.CharField(max_length=16, choices=Control, default=Control.SWITCH)
    control_type = models.ForeignKey(ControlType, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    box = models.CharField(max_length=20, blank=True, default="")
    place = models.PositiveSmallIntegerField(null=True, blank=True)  # in the box, 1 at the left
    circuit = models.ForeignKey(Circuit, on_delete=models.SET_NULL, related_name="switch_zones", null=True, blank=True)
    hung = models.CharField(max_length=5, choices=Hung, default=Hung.CHAIN)

    class Meta:
        ordering = ["letter"]
        constraints = [
            models.UniqueConstraint(fields=["room", "letter"], name="switch_zone_once_per_room"),
            models.CheckConstraint(condition=~models.Q(letter=""), name="switch_zone_has_a_letter"),
            one_of("purpose", ["", *Purpose.values], model="switch_zone"),
            one_of("control", Control.values, model="switch_zone"),
            one_of("hung", Hung.values, model="switch_zone"),
            number_between("place", 1, MOST_GANGS, model="switch_zone"),
            no_longer_than("letter", 2, model="switch_zone"),
            no_longer_than("box", 20, model="switch_zone"),
        ]

    def __str__(self):
        return self.letter


# For a room's zones: their circuits, each with all that is on it, in one query more.
ALL_ON_ITS_CIRCUITS = models.Prefetch(
    "switch_zones__circuit__switch_zones", SwitchZone.objects.select_related("room").order_by("pk")
)


class SpeakerRun(models.TextChoices):
    HOME_RUN = "home_run", _("A run of its own from each speaker to the rack")
    CHAINED_LINE = "chained_line", _("Constant-voltage line, speaker to speaker")
    THROUGH_CONTROL = "through_control", _("Pair through a control on the wall")


LINE_VOLTS = (Decimal("25.0"), Decimal("70.7"), Decimal("100.0"))


class SpeakerWiring(models.Model):
    """How a room's speakers are wired. Nothing kept: a run of its own each."""

    room = models.OneToOneField("jobs.Room", on_delete=models.CASCADE, related_name="speaker_wiring")
    kind = models.CharField(max_length=16, choices=SpeakerRun, default=SpeakerRun.HOME_RUN)
    line_volts = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    tap_watts = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)  # each speaker's tap
    amplifier_watts = models.DecimalField(max_digits=7, decimal_places=1, null=True, blank=True)  # for this line

    class Meta:
        constraints = [
            one_of("kind", SpeakerRun.values, model="speaker_wiring"),
            number_between("line_volts", 10, 200, model="speaker_wiring"),
            number_between("tap_watts", 0, 1000, model="speaker_wiring"),
            number_between("amplifier_watts", 0, 20_000, model="speaker_wiring"),
        ]
