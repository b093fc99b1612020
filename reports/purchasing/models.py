"""What was ordered, and every movement of material since: added to, never changed. Knows no prices and no counting.

Where material lies is never stored: it is the sum of the movements. A line promises a day, which may be moved.
"""

from django.db import models
from django.utils.translation import gettext_lazy as _

from projects.accounts.models import Membership
from projects.jobs.models import Job, Room
from projects.platform.fields import NameField, NoteField, no_longer_than, number_between, one_of
from projects.platform.tenancy import ShopRecord
from reports.takeoffs.models import AddedTo

MOST = 1_000_000  # pieces or feet on one line; more is a slip of the finger
KEY, UNIT = 120, 20


class Place(models.TextChoices):
    """Where material of a job lies when it is not in a room."""

    SHOP = "shop", _("shop")
    VAN = "van", _("van")
    SITE = "site", _("site")


class Kind(models.TextChoices):
    """What a movement is. In or out is told by its two ends."""

    RECEIVED = "received", _("received")
    NOT_COMING = "not coming", _("not coming any more")
    PICKED = "picked", _("picked for a room")
    RETURNED = "returned", _("returned from a room")
    MOVED = "moved", _("moved")
    LEFT_OVER = "left over", _("left over, to the shop's shelf")
    FROM_SHELF = "from shelf", _("taken from the shop's leftovers")


ROOM = "room"
ENDS = ("", *Place.values, ROOM)


def _item_checks(model):
    return [
        no_longer_than("key", KEY, model=model),
        no_longer_than("name", 200, model=model),
        no_longer_than("unit", UNIT, model=model),
    ]


class Order(AddedTo):
    """Material ordered for a job at once. slip: the press it came from, so that one press orders once."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="orders")
    number = models.PositiveIntegerField()
    from_whom = NameField(max_length=120)
    note = NoteField(max_length=400)
    slip = models.CharField(max_length=36)
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["job", "number"], name="order_number_once_per_job"),
            models.UniqueConstraint(fields=["job", "slip"], name="order_once_per_slip"),
            number_between("number", 1, MOST, model="order"),
            no_longer_than("from_whom", 120, model="order"),
            no_longer_than("note", 400, model="order"),
            no_longer_than("slip", 36, model="order"),
        ]

    def __str__(self):
        return f"{self.number}"


class OrderLine(ShopRecord):
    """So much of one item on an order. Only its promised day is ever changed."""

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="lines")
    key = models.CharField(max_length=KEY)  # the takeoff's key, or own:… for what the takeoff doesn't know
    name = NameField(max_length=200)
    unit = models.CharField(max_length=UNIT)
    quantity = models.PositiveIntegerField()
    promised_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [number_between("quantity", 1, MOST, model="order_line"), *_item_checks("order_line")]

    def __str__(self):
        return self.name


class PickList(AddedTo):
    """What one room is to get, as it was written out: a label to put on the bin, and lines to pick."""

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="pick_lists")
    number = models.PositiveIntegerField()
    note = NoteField(max_length=400)
    slip = models.CharField(max_length=36)
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["room", "number"], name="pick_list_number_once_per_room"),
            models.UniqueConstraint(fields=["room", "slip"], name="pick_list_once_per_slip"),
            number_between("number", 1, MOST, model="pick_list"),
            no_longer_than("note", 400, model="pick_list"),
            no_longer_than("slip", 36, model="pick_list"),
        ]

    def __str__(self):
        return f"{self.room} {self.number}"


class PickLine(models.Model):
    """So much of one item for a room."""

    pick_list = models.ForeignKey(PickList, on_delete=models.PROTECT, related_name="lines")
    key = models.CharField(max_length=KEY)
    name = NameField(max_length=200)
    unit = models.CharField(max_length=UNIT)
    quantity = models.PositiveIntegerField()

    class Meta:
        ordering = ["pk"]
        constraints = [number_between("quantity", 1, MOST, model="pick_line"), *_item_checks("pick_line")]

    def __str__(self):
        return self.name


class Movement(AddedTo):
    """Material of a job on its way: from one end to another, so much. undoes: the movement this one takes back.

    An empty end is outside: a supplier, or the shop's shelf of leftovers. slip and place on it tell a second press of
    the same button from a second delivery.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="movements")
    kind = models.CharField(max_length=10, choices=Kind)
    key = models.CharField(max_length=KEY)
    name = NameField(max_length=200)
    unit = models.CharField(max_length=UNIT)
    quantity = models.PositiveIntegerField()
    came_from = models.CharField(max_length=4, blank=True, default="")
    went_to = models.CharField(max_length=4, blank=True, default="")
    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="movements", null=True, blank=True)
    order_line = models.ForeignKey(OrderLine, on_delete=models.PROTECT, related_name="movements", null=True, blank=True)
    pick_line = models.ForeignKey(PickLine, on_delete=models.PROTECT, related_name="movements", null=True, blank=True)
    undoes = models.OneToOneField("self", on_delete=models.PROTECT, related_name="undone_by", null=True, blank=True)
    slip = models.CharField(max_length=36)
    place_on_slip = models.PositiveSmallIntegerField(default=0)
    note = NoteField(max_length=400)
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(fields=["job", "slip", "place_on_slip"], name="movement_once_per_slip"),
            one_of("kind", Kind.values, model="movement"),
            one_of("came_from", ENDS, model="movement"),
            one_of("went_to", ENDS, model="movement"),
            number_between("quantity", 1, MOST, model="movement"),
            number_between("place_on_slip", 0, 2000, model="movement"),
            models.CheckConstraint(
                condition=~models.Q(came_from=models.F("went_to")) | models.Q(kind=Kind.NOT_COMING),
                name="movement_goes_somewhere",
            ),
            models.CheckConstraint(
                condition=models.Q(room__isnull=False) | ~(models.Q(came_from=ROOM) | models.Q(went_to=ROOM)),
                name="movement_names_its_room",
            ),
            *_item_checks("movement"),
            no_longer_than("slip", 36, model="movement"),
            no_longer_than("note", 400, model="movement"),
        ]
        indexes = [models.Index(fields=["job", "key"])]

    def __str__(self):
        return f"{self.quantity} {self.name}"


class Leftover(AddedTo):
    """The shop's ledger of leftovers: so much more or less of an item on its shelves. job: whose it was or became."""

    across_jobs = True

    key = models.CharField(max_length=KEY)
    name = NameField(max_length=200)
    unit = models.CharField(max_length=UNIT)
    change = models.IntegerField()
    lies = models.CharField(max_length=80, blank=True, default="")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="leftovers", null=True, blank=True)
    movement = models.OneToOneField(Movement, on_delete=models.PROTECT, related_name="leftover", null=True, blank=True)
    slip = models.CharField(max_length=36)
    note = NoteField(max_length=400)
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "slip"], name="leftover_once_per_slip"),
            number_between("change", -MOST, MOST, model="leftover"),
            models.CheckConstraint(condition=~models.Q(change=0), name="leftover_changes_something"),
            no_longer_than("lies", 80, model="leftover"),
            *_item_checks("leftover"),
            no_longer_than("slip", 36, model="leftover"),
            no_longer_than("note", 400, model="leftover"),
        ]
        indexes = [models.Index(fields=["shop", "key"])]

    def __str__(self):
        return f"{self.change:+} {self.name}"
