"""What a shop sets for its overview: when something is red, which views are kept, what was billed. Knows no rooms."""

from django.db import models

from projects.accounts.models import Membership
from projects.jobs.models import Job
from projects.platform.fields import NameField, NoteField, no_longer_than, number_between
from projects.platform.tenancy import ShopRecord
from reports.takeoffs.models import AddedTo

MOST_DAYS = 365
MOST_HOURS = 500
MOST_BILLED = 1_000_000_000
KEY = 30
LONGEST_QUERY = 500


class RedRule(ShopRecord):
    """One rule of fixtures/red_rules.json as a shop has it. Without a row it is the table's."""

    key = models.CharField(max_length=KEY)
    watched = models.BooleanField(default=True)
    days = models.PositiveSmallIntegerField(null=True, blank=True)  # none: the rule has no days
    # Crew hours it takes to put right what was left to come: once for a job, and for each room (or light).
    hours_once = models.DecimalField(max_digits=5, decimal_places=1, default=0)
    hours_each = models.DecimalField(max_digits=5, decimal_places=1, default=0)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "key"], name="red_rule_once_per_shop"),
            no_longer_than("key", KEY, model="red_rule"),
            number_between("days", 0, MOST_DAYS, model="red_rule"),
            number_between("hours_once", 0, MOST_HOURS, model="red_rule"),
            number_between("hours_each", 0, MOST_HOURS, model="red_rule"),
        ]

    def __str__(self):
        return self.key


class SavedView(ShopRecord):
    """A way of looking at Rooms that somebody kept: the address's own words after the question mark."""

    member = models.ForeignKey(Membership, on_delete=models.CASCADE, related_name="saved_views")
    name = NameField(max_length=60)
    query = models.CharField(max_length=LONGEST_QUERY, blank=True, default="")
    shared = models.BooleanField(default=False)  # with everybody in the shop

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["member", "name"], name="saved_view_name_once"),
            models.CheckConstraint(condition=~models.Q(name=""), name="saved_view_has_a_name"),
            no_longer_than("name", 60, model="saved_view"),
            no_longer_than("query", LONGEST_QUERY, model="saved_view"),
        ]

    def __str__(self):
        return self.name


class Billed(AddedTo):
    """So much was billed on a job on a day. Added to, never changed: a slip is taken back by a row against it."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="billed")
    on = models.DateField()
    amount = models.DecimalField(max_digits=12, decimal_places=2)
    words = NoteField(max_length=200)
    slip = models.CharField(max_length=36)  # the press it came from, so that one press bills once
    undoes = models.OneToOneField("self", on_delete=models.PROTECT, related_name="undone_by", null=True, blank=True)
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["job", "slip"], name="billed_once_per_slip"),
            number_between("amount", -MOST_BILLED, MOST_BILLED, model="billed"),
            models.CheckConstraint(condition=~models.Q(amount=0), name="billed_is_something"),
            no_longer_than("words", 200, model="billed"),
            no_longer_than("slip", 36, model="billed"),
        ]
        indexes = [models.Index(fields=["shop", "job"])]
