"""Runs a person set by hand, opened reels, and what was pulled off them. Knows no routes and no prices."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import ZERO, Unit, feet, inches, mm
from layout.engine.wiring.values import RunKind
from projects.accounts.models import Membership
from projects.jobs.models import Room
from projects.platform.fields import (
    LengthField,
    NameField,
    NoteField,
    length_between,
    no_longer_than,
    number_between,
    one_of,
)
from projects.platform.tenancy import ShopRecord

RUN = (inches(1), feet(5000))
A_REEL = (feet(1), feet(20_000))
ON_A_REEL = (ZERO, feet(20_000))
HIGHEST_MARK = 99_999  # as printed on a jacket


class MarksIn(models.TextChoices):
    """What the numbers on a jacket count."""

    FEET = "ft", _("feet")
    METERS = "m", _("meters")

    @property
    def length(self):
        return feet(1) if self is MarksIn.FEET else mm(1000)

    @classmethod
    def usual(cls, tape):
        return cls.METERS if tape.unit is Unit.MM else cls.FEET


class HandRun(ShopRecord):
    """A run set by a person: its feet, its way, or both. The computed run stays beside it, and comes back without this.

    A run is known by its kind and its two ends, whichever way it is told; circuit: which of two homeruns.
    """

    room = models.ForeignKey(Room, on_delete=models.CASCADE, related_name="hand_runs")
    kind = models.CharField(max_length=12)
    low_id = models.CharField(max_length=20)
    high_id = models.CharField(max_length=20)
    circuit = models.CharField(max_length=20, blank=True, default="")
    length = LengthField(null=True, blank=True)
    # Its bends on the plan from low_id on, 'x,y' in nanometers, a point a line; the ends are where the boxes stand.
    way = models.TextField(max_length=4000, blank=True, default="")
    why = NameField(max_length=200)
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["room", "kind", "low_id", "high_id", "circuit"], name="hand_run_once"),
            one_of("kind", [kind.value for kind in RunKind], model="hand_run"),
            length_between("length", *RUN, model="hand_run"),
            models.CheckConstraint(
                condition=models.Q(length__isnull=False) | ~models.Q(way=""), name="hand_run_says_something"
            ),
            models.CheckConstraint(condition=~models.Q(why=""), name="hand_run_has_a_reason"),
            no_longer_than("low_id", 20, model="hand_run"),
            no_longer_than("high_id", 20, model="hand_run"),
            no_longer_than("circuit", 20, model="hand_run"),
            no_longer_than("way", 4000, model="hand_run"),
            no_longer_than("why", 200, model="hand_run"),
        ]

    def __str__(self):
        return f"{self.low_id} – {self.high_id}"

    @property
    def key(self):
        return self.kind, self.low_id, self.high_id, self.circuit


class Reel(ShopRecord):
    """An opened reel: its cable, what it held, what is left. What is left changes with pulls alone.

    mark: the number on the jacket at its cut end, where somebody read it.
    """

    cable = models.CharField(max_length=40)  # a key of the takeoff table's cables
    name = NameField(max_length=40)  # what is written on its flange
    full = LengthField()
    left = LengthField()
    marks_in = models.CharField(max_length=2, choices=MarksIn, default=MarksIn.FEET)
    mark = models.PositiveIntegerField(null=True, blank=True)
    lies = models.CharField(max_length=80, blank=True, default="")
    note = NoteField(max_length=400)

    class Meta:
        ordering = ["cable", "-left", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "cable", "name"], name="reel_name_once_per_cable"),
            one_of("marks_in", MarksIn.values, model="reel"),
            length_between("full", *A_REEL, model="reel"),
            length_between("left", *ON_A_REEL, model="reel"),
            models.CheckConstraint(condition=models.Q(left__lte=models.F("full")), name="reel_left_within_full"),
            number_between("mark", 0, HIGHEST_MARK, model="reel"),
            no_longer_than("cable", 40, model="reel"),
            no_longer_than("name", 40, model="reel"),
            no_longer_than("lies", 80, model="reel"),
            no_longer_than("note", 400, model="reel"),
        ]

    def __str__(self):
        return self.name


class Pull(ShopRecord):
    """Cable taken off a reel for one run, by the marks on its jacket. Append-only; `undoes` takes an earlier one back.

    start_mark, end_mark: as read, rising or falling. used: what lies between. computed: what the run came to then.
    """

    reel = models.ForeignKey(Reel, on_delete=models.PROTECT, related_name="pulls")
    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="pulls", null=True, blank=True)
    kind = models.CharField(max_length=12, blank=True, default="")
    low_id = models.CharField(max_length=20, blank=True, default="")
    high_id = models.CharField(max_length=20, blank=True, default="")
    circuit = models.CharField(max_length=20, blank=True, default="")
    start_mark = models.PositiveIntegerField()
    end_mark = models.PositiveIntegerField()
    used = LengthField()
    computed = LengthField(null=True, blank=True)
    left_after = LengthField()
    undoes = models.OneToOneField("self", on_delete=models.PROTECT, related_name="undone_by", null=True, blank=True)
    note = NoteField(max_length=200)
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            one_of("kind", ["", *(kind.value for kind in RunKind)], model="pull"),
            number_between("start_mark", 0, HIGHEST_MARK, model="pull"),
            number_between("end_mark", 0, HIGHEST_MARK, model="pull"),
            length_between("used", *ON_A_REEL, model="pull"),
            length_between("computed", *ON_A_REEL, model="pull"),
            length_between("left_after", *ON_A_REEL, model="pull"),
            no_longer_than("low_id", 20, model="pull"),
            no_longer_than("high_id", 20, model="pull"),
            no_longer_than("circuit", 20, model="pull"),
            no_longer_than("note", 200, model="pull"),
        ]

    @property
    def key(self):
        return self.kind, self.low_id, self.high_id, self.circuit
