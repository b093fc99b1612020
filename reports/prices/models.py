"""What the shop pays, what an hour costs it, and how long things really took. Knows no takeoff and no bid.

Prices and labor edits are only ever added: what stood on a day can be told later. So are hours and feet; a slip is
set right by an entry against it.
"""

from decimal import Decimal

from django.db import models
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import feet
from projects.accounts.models import Membership
from projects.jobs.models import Job, Room
from projects.platform.fields import (
    LengthField,
    NameField,
    length_between,
    no_longer_than,
    number_between,
    one_of,
)
from projects.platform.tenancy import ShopRecord
from reports.estimating.labor_book import Phase

PRICE = (Decimal("0.00"), Decimal("1000000.00"))  # one pack
PIECES = (1, 100_000)  # in a pack
COIL = (feet(1), feet(100_000))
WAGE = (Decimal("0.00"), Decimal("1000.00"))
BURDEN = (Decimal("0.00"), Decimal("200.00"))
TAX = (Decimal("0.00"), Decimal("40.00"))
UNIT_VALUE = (Decimal("0.0000"), Decimal("10000.0000"))  # hours, a factor or feet
FACTOR = (Decimal("0.1"), Decimal("10"))
UNIT_HOURS = (Decimal("0"), Decimal("1000"))
UNIT_FEET = (Decimal("0"), Decimal("10000"))
LOGGED_HOURS = Decimal("200.00")  # a crew's day in one room
LOGGED_FEET = feet(20_000)
MOST_ROWS_TEXT = 6_000_000  # of an import, in characters
CABLE = "length"  # the unit of what is bought by the coil
OWN = "own:"  # begins the key of what is no takeoff line


class PhaseChoice(models.TextChoices):
    ROUGH = Phase.ROUGH.value, _("rough-in")
    TRIM = Phase.TRIM.value, _("trim")
    DIAL_IN = Phase.DIAL_IN.value, _("dial-in")
    JOB = Phase.JOB.value, _("layout, setting up, travel")


class Item(ShopRecord):
    """What the shop buys: a line of the takeoff by its key, or an extra of its own."""

    key = models.CharField(max_length=100)
    name = NameField(max_length=120)
    unit = models.CharField(max_length=20, default="each")  # `length`: cable, bought by the coil
    category = models.CharField(max_length=40, blank=True, default="")
    taxable = models.BooleanField(default=True)
    retired = models.BooleanField(default=False)

    class Meta:
        ordering = ["category", "name", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "key"], name="item_key_once_per_shop"),
            no_longer_than("key", 100, model="item"),
            no_longer_than("name", 120, model="item"),
            no_longer_than("unit", 20, model="item"),
            no_longer_than("category", 40, model="item"),
        ]

    def __str__(self):
        return self.name

    @property
    def by_length(self):
        return self.unit == CABLE


class ItemPack(ShopRecord):
    """A pack an item is sold in: pieces, or a coil's length."""

    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="packs")
    pieces = models.PositiveIntegerField(null=True, blank=True)
    length = LengthField(null=True, blank=True)

    class Meta:
        ordering = ["pieces", "length", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["item", "pieces"], name="item_pack_pieces_once"),
            models.UniqueConstraint(fields=["item", "length"], name="item_pack_length_once"),
            models.CheckConstraint(
                condition=models.Q(pieces__isnull=True, length__isnull=False)
                | models.Q(pieces__isnull=False, length__isnull=True),
                name="item_pack_one_measure",
            ),
            number_between("pieces", *PIECES, model="item_pack"),
            length_between("length", *COIL, model="item_pack"),
        ]

    @property
    def size(self):
        return self.pieces if self.length is None else self.length


class Price(ShopRecord):
    """What a pack costs from a day on. Append-only. No amount: from that day it isn't sold any more.

    plugged_by: who put in a figure for want of a price; a real price, whenever it comes, takes its place.
    """

    pack = models.ForeignKey(ItemPack, on_delete=models.PROTECT, related_name="prices")
    amount = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    on = models.DateField()
    source = models.CharField(max_length=200)
    plugged_by = models.CharField(max_length=80, blank=True, default="")
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    imported = models.ForeignKey(
        "prices.PriceImport", on_delete=models.PROTECT, related_name="prices", null=True, blank=True
    )

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            number_between("amount", *PRICE, model="price"),
            models.CheckConstraint(condition=~models.Q(source=""), name="price_has_a_source"),
            no_longer_than("source", 200, model="price"),
            no_longer_than("plugged_by", 80, model="price"),
        ]
        indexes = [models.Index(fields=["pack", "-on", "-id"])]


class PriceImport(ShopRecord):
    """A price file as it was read: its rows until they are applied or dropped. Nothing changes before that."""

    class State(models.TextChoices):
        READ = "read", _("read, not applied")
        APPLIED = "applied", _("applied")
        DROPPED = "dropped", _("dropped")

    file_name = NameField(max_length=120)
    sheet = models.CharField(max_length=80, blank=True, default="")
    rows = models.TextField(max_length=MOST_ROWS_TEXT)  # JSON: a list of rows of texts, the header first
    first_line = models.PositiveIntegerField(default=1)  # the header's line in the file
    state = models.CharField(max_length=8, choices=State, default=State.READ)
    on = models.DateField()  # the day the prices hold from, where the file has none
    source = NameField(max_length=200)
    outcome = models.CharField(max_length=200, blank=True, default="")
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    applied_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            one_of("state", ["read", "applied", "dropped"], model="price_import"),
            number_between("first_line", 1, 1_000_000, model="price_import"),
            no_longer_than("rows", MOST_ROWS_TEXT, model="price_import"),
            no_longer_than("file_name", 120, model="price_import"),
            no_longer_than("source", 200, model="price_import"),
        ]

    def __str__(self):
        return self.file_name


class ColumnMeaning(ShopRecord):
    """What a column of this name was last taken for in this shop's price files."""

    header = models.CharField(max_length=80)
    means = models.CharField(max_length=20, blank=True, default="")  # blank: left out

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "header"], name="column_meaning_once"),
            no_longer_than("header", 80, model="column_meaning"),
            no_longer_than("means", 20, model="column_meaning"),
        ]


class JobRates(ShopRecord):
    """What an hour and the tax cost on a job; without a job, what the shop usually reckons with."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="rates", null=True, blank=True)
    wage = models.DecimalField(max_digits=8, decimal_places=2)
    burden_pct = models.DecimalField(max_digits=6, decimal_places=2)
    tax_pct = models.DecimalField(max_digits=6, decimal_places=3)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["shop"], condition=models.Q(job__isnull=True), name="rates_of_the_shop_once"
            ),
            number_between("wage", *WAGE, model="job_rates"),
            number_between("burden_pct", *BURDEN, model="job_rates"),
            number_between("tax_pct", *TAX, model="job_rates"),
        ]


class Conditions(ShopRecord):
    """What stretches the hours of a room, or of a whole job: keys of the labor table's factors, in its order."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="conditions", null=True, blank=True)
    room = models.OneToOneField(Room, on_delete=models.PROTECT, related_name="conditions", null=True, blank=True)
    keys = models.CharField(max_length=400, blank=True, default="")  # 'plaster,occupied'

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(job__isnull=True, room__isnull=False)
                | models.Q(job__isnull=False, room__isnull=True),
                name="conditions_of_one",
            ),
            no_longer_than("keys", 400, model="conditions"),
        ]

    @property
    def chosen(self):
        return tuple(key for key in self.keys.split(",") if key)


class LaborEdit(ShopRecord):
    """A number of the labor table as the shop has it from now on. Append-only; no value: the table's own again."""

    class What(models.TextChoices):
        UNIT = "unit", _("labor unit")
        FACTOR = "factor", _("condition")
        FOOTAGE = "footage", _("feet for each light")
        WHOLE = "whole", _("hours for each light, all of a phase")
        OWN = "own", _("condition of the shop's own")

    what = models.CharField(max_length=8, choices=What)
    key = models.CharField(max_length=60)
    name = models.CharField(max_length=80, blank=True, default="")  # of what is the shop's own
    value = models.DecimalField(max_digits=9, decimal_places=4, null=True, blank=True)
    rooms_behind = models.PositiveIntegerField(null=True, blank=True)  # where it is an average of the shop's rooms
    note = models.CharField(max_length=200, blank=True, default="")
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            one_of("what", ["unit", "factor", "footage", "whole", "own"], model="labor_edit"),
            number_between("value", *UNIT_VALUE, model="labor_edit"),
            number_between("rooms_behind", 1, 1_000_000, model="labor_edit"),
            no_longer_than("key", 60, model="labor_edit"),
            no_longer_than("name", 80, model="labor_edit"),
            no_longer_than("note", 200, model="labor_edit"),
        ]


class Logged(ShopRecord):
    """What one visit to a room took. Append-only; `corrects` is the entry this one stands against."""

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="logged_%(class)s")
    on = models.DateField()
    phase = models.CharField(max_length=8, choices=PhaseChoice)
    who = NameField(max_length=80)
    note = models.CharField(max_length=200, blank=True, default="")
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    corrects = models.OneToOneField(
        "self", on_delete=models.PROTECT, related_name="corrected_by", null=True, blank=True
    )

    class Meta:
        abstract = True
        ordering = ["-on", "-pk"]


class LoggedHours(Logged):
    """Hours worked in a room, all hands together."""

    hours = models.DecimalField(max_digits=6, decimal_places=2)

    class Meta(Logged.Meta):
        constraints = [
            one_of("phase", [phase.value for phase in Phase], model="logged_hours"),
            number_between("hours", -LOGGED_HOURS, LOGGED_HOURS, model="logged_hours"),
            no_longer_than("who", 80, model="logged_hours"),
            no_longer_than("note", 200, model="logged_hours"),
        ]


class LoggedFeet(Logged):
    """Cable pulled in a room, by its kind."""

    cable = models.CharField(max_length=40)
    length = LengthField()

    class Meta(Logged.Meta):
        constraints = [
            one_of("phase", [phase.value for phase in Phase], model="logged_feet"),
            length_between("length", -LOGGED_FEET, LOGGED_FEET, model="logged_feet"),
            no_longer_than("cable", 40, model="logged_feet"),
            no_longer_than("who", 80, model="logged_feet"),
            no_longer_than("note", 200, model="logged_feet"),
        ]
