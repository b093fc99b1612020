"""The shop's fixture types: what goes into a hole, and how big the hole is. Generic, no makers."""

from decimal import Decimal

from django.db import models
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import ZERO, inches
from layout.engine.marks import Kind
from projects.accounts.models import Membership
from projects.platform.fields import (
    LengthField,
    NameField,
    length_between,
    no_longer_than,
    number_between,
    one_of,
)
from projects.platform.tenancy import ShopRecord


class KindChoice(models.TextChoices):
    LIGHT = Kind.LIGHT.value, _("Light")
    SPEAKER = Kind.SPEAKER.value, _("Speaker")
    SUBWOOFER = Kind.SUBWOOFER.value, _("Subwoofer")


class Install(models.TextChoices):
    NEW_WORK = "new_work", _("New work: a frame, before drywall")
    OLD_WORK = "old_work", _("Old work: through the hole, clips")
    TBAR = "tbar", _("Grid ceiling")


class Shape(models.TextChoices):
    ROUND = "round", _("Round")
    SQUARE = "square", _("Square")


class Through(models.TextChoices):
    """Whether the label lets a circuit pass through the fixture's own wiring box to the next one."""

    UNKNOWN = "", _("Not known: the label was not read")
    NO = "no", _("Not allowed")
    YES = "yes", _("Allowed, up to the conductors on the label")


class RatedIC(models.TextChoices):
    """Whether the label lets insulation touch the housing."""

    UNKNOWN = "", _("Not known: the label was not read")
    YES = "ic", _("Type IC: insulation may touch it")
    NO = "not_ic", _("Not Type IC: keep insulation away, as the label says")
    NONE = "none", _("Not a recessed light")


class AirSealed(models.TextChoices):
    UNKNOWN = "", _("Not known: the label was not read")
    YES = "yes", _("Airtight by its label")
    NO = "no", _("Not airtight by its label")


class Place(models.TextChoices):
    """Where the label lets it hang."""

    UNKNOWN = "", _("Not known: the label was not read")
    DRY = "dry", _("Dry places only")
    DAMP = "damp", _("Damp places")
    WET = "wet", _("Wet places")


class SensitivityAt(models.TextChoices):
    """What drove the speaker when its sensitivity was measured, 1 m away."""

    ONE_WATT = "1w", _("1 W")
    VOLTS = "2v83", _("2.83 V")


class MeasuredIn(models.TextChoices):
    """A speaker in a baffle gives up to 6 dB more at low frequencies than one in the open."""

    UNKNOWN = "", _("Not known: the sheet was not read")
    HALF_SPACE = "half", _("Half space: in a baffle or a ceiling")
    FREE_FIELD = "free", _("Free field")


class PhotometricFile(ShopRecord):
    """A light's measured distribution, as its file says it. What was read from it is read again from the text."""

    name = NameField(max_length=80)
    file_name = models.CharField(max_length=120, blank=True, default="")
    text = models.TextField()
    digest = models.CharField(max_length=64)  # SHA-256 of the text whatever its line ends, hexadecimal
    format = models.CharField(max_length=20)  # 'LM-63-2002', or another layout that is read
    flux_lm = models.DecimalField(max_digits=11, decimal_places=2)
    beam_deg = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)  # none: never falls to half
    watts = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    retired = models.BooleanField(default=False)

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "digest"], name="photometric_file_once_per_shop"),
            no_longer_than("name", 80, model="photometric_file"),
            no_longer_than("file_name", 120, model="photometric_file"),
            no_longer_than("format", 20, model="photometric_file"),
            no_longer_than("digest", 64, model="photometric_file"),
            no_longer_than("text", 2_000_000, model="photometric_file"),
            number_between("flux_lm", 0, 10_000_000, model="photometric_file"),
            number_between("beam_deg", 0, 360, model="photometric_file"),
            number_between("watts", 0, 100_000, model="photometric_file"),
        ]

    def __str__(self):
        return self.name


AWG = (18, 16, 14, 12, 10, 8, 6)
CUTOUT = (inches("1/2"), inches(60))
PART = (ZERO, inches(120))  # of the fixture: its trim, its frame, how deep it is


class FixtureType(ShopRecord):
    """A light, speaker or subwoofer. Not verified means: do not cut until one has been measured on the bench."""

    key = models.SlugField(max_length=40)
    kind = models.CharField(max_length=12, choices=KindChoice)
    name = NameField(max_length=80)
    install = models.CharField(max_length=12, choices=Install)
    shape = models.CharField(max_length=6, choices=Shape, default=Shape.ROUND)
    aperture = LengthField(null=True, blank=True)
    cutout = LengthField()  # a diameter, or a square's side
    cutout_verified_by = models.CharField(max_length=80, blank=True, default="")
    cutout_verified_on = models.DateField(null=True, blank=True)
    trim = LengthField(null=True, blank=True)
    depth = LengthField(null=True, blank=True)
    watts = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    lumens = models.PositiveIntegerField(null=True, blank=True)
    beam_deg = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    impedance_ohm = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True)
    # None: its light is taken as a lobe from the beam and the lumens
    photometric = models.ForeignKey(
        PhotometricFile, on_delete=models.PROTECT, related_name="fixture_types", null=True, blank=True
    )
    coverage_deg = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    sensitivity_db = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    sensitivity_at = models.CharField(max_length=4, choices=SensitivityAt, default=SensitivityAt.ONE_WATT)
    measured_in = models.CharField(max_length=4, choices=MeasuredIn, blank=True, default=MeasuredIn.UNKNOWN)
    power_watts = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True)  # continuous, its sheet's
    # New work is fitted by its frame: how long and wide, and where the opening's center sits in it.
    frame_length = LengthField(null=True, blank=True)
    frame_width = LengthField(null=True, blank=True)
    opening_from_end = LengthField(null=True, blank=True)
    opening_from_side = LengthField(null=True, blank=True)
    frame_may_turn = models.BooleanField(default=True)
    # Old work is fitted by its cutout and the swing of its clips; a thin light needs room for a loose junction box.
    clip_swing = LengthField(null=True, blank=True)
    junction_box_length = LengthField(null=True, blank=True)
    junction_box_width = LengthField(null=True, blank=True)
    # Off the label and the sheet, where anybody has read them
    through_wiring = models.CharField(max_length=3, choices=Through, blank=True, default=Through.UNKNOWN)
    through_conductors = models.PositiveSmallIntegerField(null=True, blank=True)
    through_awg = models.PositiveSmallIntegerField(null=True, blank=True)
    volt_amperes = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    power_factor = models.DecimalField(max_digits=3, decimal_places=2, null=True, blank=True)
    tap_watts = models.CharField(max_length=80, blank=True, default="")  # a line speaker's, '2.5, 5, 10'
    listing = models.CharField(max_length=120, blank=True, default="")  # as printed on the label
    rated_ic = models.CharField(max_length=6, choices=RatedIC, blank=True, default=RatedIC.UNKNOWN)
    air_sealed = models.CharField(max_length=3, choices=AirSealed, blank=True, default=AirSealed.UNKNOWN)
    place = models.CharField(max_length=4, choices=Place, blank=True, default=Place.UNKNOWN)
    label_read_by = models.CharField(max_length=80, blank=True, default="")
    label_read_on = models.DateField(null=True, blank=True)
    source = models.CharField(max_length=200, blank=True, default="")
    retired = models.BooleanField(default=False)

    class Meta:
        ordering = ["kind", "cutout", "name", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "key"], name="fixture_type_key_once_per_shop"),
            one_of("kind", [kind.value for kind in Kind], model="fixture_type"),
            one_of("install", Install.values, model="fixture_type"),
            one_of("shape", Shape.values, model="fixture_type"),
            length_between("cutout", *CUTOUT, model="fixture_type"),
            *(
                length_between(name, *PART, model="fixture_type")
                for name in (
                    "aperture",
                    "trim",
                    "depth",
                    "frame_length",
                    "frame_width",
                    "opening_from_end",
                    "opening_from_side",
                    "clip_swing",
                    "junction_box_length",
                    "junction_box_width",
                )
            ),
            one_of("through_wiring", Through.values, model="fixture_type"),
            number_between("through_conductors", 1, 60, model="fixture_type"),
            one_of("through_awg", AWG, model="fixture_type", or_none=True),
            number_between("volt_amperes", 0, 5000, model="fixture_type"),
            number_between("power_factor", Decimal("0.1"), 1, model="fixture_type"),
            no_longer_than("tap_watts", 80, model="fixture_type"),
            number_between("watts", 0, 5000, model="fixture_type"),
            number_between("lumens", 0, 200_000, model="fixture_type"),
            number_between("beam_deg", 1, 180, model="fixture_type"),
            number_between("impedance_ohm", 1, 5000, model="fixture_type"),
            number_between("coverage_deg", 1, 180, model="fixture_type"),
            number_between("sensitivity_db", 40, 130, model="fixture_type"),
            one_of("sensitivity_at", SensitivityAt.values, model="fixture_type"),
            one_of("measured_in", MeasuredIn.values, model="fixture_type"),
            number_between("power_watts", 0, 5000, model="fixture_type"),
            one_of("rated_ic", RatedIC.values, model="fixture_type"),
            one_of("air_sealed", AirSealed.values, model="fixture_type"),
            one_of("place", Place.values, model="fixture_type"),
            no_longer_than("listing", 120, model="fixture_type"),
            no_longer_than("label_read_by", 80, model="fixture_type"),
            no_longer_than("name", 80, model="fixture_type"),
        ]

    def __str__(self):
        return self.name

    @property
    def verified(self):
        return bool(self.cutout_verified_by)

    @property
    def rated_va(self):
        """What a circuit is loaded with, in VA: as on the label, else watts over the power factor. None: not known."""
        if self.volt_amperes is not None:
            return self.volt_amperes
        return self.watts / self.power_factor if self.watts is not None and self.power_factor else None


MOST_SHEET_PAGES = 60


class InstallSheet(ShopRecord):
    """The maker's installation sheet of a fixture type, as the shop handed it in: its pages, written anew."""

    KEEPS_FILES = ("file",)

    fixture_type = models.OneToOneField(FixtureType, on_delete=models.CASCADE, related_name="sheet")
    title = NameField(max_length=120)  # with its date or edition, as printed on it
    file = models.CharField(max_length=40, unique=True)
    pages = models.PositiveSmallIntegerField()
    bytes = models.PositiveIntegerField()
    digest = models.CharField(max_length=64)  # SHA-256 of the file
    added_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    added_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            number_between("pages", 1, MOST_SHEET_PAGES, model="install_sheet"),
            number_between("bytes", 1, 50_000_000, model="install_sheet"),
            no_longer_than("title", 120, model="install_sheet"),
            no_longer_than("file", 40, model="install_sheet"),
            no_longer_than("digest", 64, model="install_sheet"),
        ]

    def __str__(self):
        return self.title


class TargetKind(models.TextChoices):
    STANDARD = "standard", _("A standard")
    PRACTICE = "practice", _("Practice")


LUX = (Decimal("0.1"), Decimal("20000"))


class LightTarget(ShopRecord):
    """A level the shop lights a kind of space to: its own, or its change of a row of fixtures/light_targets.json.

    A row nobody changed is not stored: projects.catalogue.targets puts the two together by key.
    """

    key = models.SlugField(max_length=60)
    space = NameField(max_length=80)
    kind = models.CharField(max_length=8, choices=TargetKind, default=TargetKind.PRACTICE)
    document = models.CharField(max_length=80, blank=True, default="")
    edition = models.CharField(max_length=40, blank=True, default="")
    lux = models.DecimalField(max_digits=6, decimal_places=1)
    low_lux = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True)
    high_lux = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True)
    uniformity = models.DecimalField(max_digits=3, decimal_places=2, null=True, blank=True)  # least over average
    glare_ugr = models.PositiveSmallIntegerField(null=True, blank=True)  # at most
    color_ra = models.PositiveSmallIntegerField(null=True, blank=True)  # at least
    wall_lux = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True)  # at least
    ceiling_lux = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True)  # at least
    source = models.CharField(max_length=300, blank=True, default="")
    retired = models.BooleanField(default=False)

    class Meta:
        ordering = ["space", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "key"], name="light_target_key_once_per_shop"),
            one_of("kind", TargetKind.values, model="light_target"),
            *(
                number_between(name, *LUX, model="light_target")
                for name in ("lux", "low_lux", "high_lux", "wall_lux", "ceiling_lux")
            ),
            number_between("uniformity", Decimal("0.01"), 1, model="light_target"),
            number_between("glare_ugr", 5, 40, model="light_target"),
            number_between("color_ra", 1, 100, model="light_target"),
            no_longer_than("key", 60, model="light_target"),
            no_longer_than("space", 80, model="light_target"),
            no_longer_than("document", 80, model="light_target"),
            no_longer_than("edition", 40, model="light_target"),
            no_longer_than("source", 300, model="light_target"),
        ]

    def __str__(self):
        return self.space


class SideSections(models.TextChoices):
    """Whether a dimmer's side sections are broken off where it stands beside another device."""

    UNKNOWN = "", _("Not known: the sheet was not read")
    NO = "no", _("No: the rating stays")
    YES = "yes", _("Yes: each one taken off lowers the rating")


class ControlType(ShopRecord):
    """A switch or dimmer the shop puts in, with its sheet's own ratings for LED lamps. Generic, no makers."""

    class Kind(models.TextChoices):
        SWITCH = "switch", _("Switch")
        DIMMER = "dimmer", _("Dimmer")

    key = models.SlugField(max_length=40)
    name = NameField(max_length=80)
    kind = models.CharField(max_length=6, choices=Kind, default=Kind.DIMMER)
    gangs = models.PositiveSmallIntegerField(default=1)
    led_watts = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)  # alone in its box
    side_sections = models.CharField(max_length=3, choices=SideSections, blank=True, default=SideSections.UNKNOWN)
    led_watts_one_off = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    led_watts_both_off = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    min_watts = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    source = models.CharField(max_length=200, blank=True, default="")  # the sheet, its edition or date
    retired = models.BooleanField(default=False)

    class Meta:
        ordering = ["kind", "name", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "key"], name="control_type_key_once_per_shop"),
            one_of("kind", ["switch", "dimmer"], model="control_type"),
            one_of("side_sections", SideSections.values, model="control_type"),
            number_between("gangs", 1, 2, model="control_type"),
            *(
                number_between(name, 0, 5000, model="control_type")
                for name in ("led_watts", "led_watts_one_off", "led_watts_both_off", "min_watts")
            ),
            no_longer_than("name", 80, model="control_type"),
            no_longer_than("source", 200, model="control_type"),
        ]

    def __str__(self):
        return self.name
