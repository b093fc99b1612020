"""Change orders, what they are made of, and what the field did that nobody had bid. Knows no sums."""

import secrets
from decimal import Decimal

from django.db import models
from django.utils.translation import gettext_lazy as _

from layout.models import LayoutRevision
from projects.accounts.models import Membership
from projects.jobs.models import Job, Room
from projects.platform.fields import NameField, NoteField, no_longer_than, number_between, one_of
from projects.platform.tenancy import ShopRecord
from reports.estimating.change_terms import MOST_HOURS, MOST_PATCH, MOST_TIMES, Goods

MOST_MATERIAL = Decimal(10_000_000)  # of one line
MOST_LINE_HOURS = Decimal(5_000)
MOST_PRICE = Decimal(1_000_000_000)
MOST_DAYS = Decimal(500)
MOST_INK = 60_000  # characters of a signature's path
SIDE = 6000  # pixels of a kept photo, at the most


class ContractTerms(ShopRecord):
    """What one job's contract says of changes. A job without them goes by the shop's usual ones."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="change_terms")
    add_times = models.DecimalField(max_digits=5, decimal_places=3)
    restock_pct = models.DecimalField(max_digits=6, decimal_places=3)
    least_hours = models.DecimalField(max_digits=6, decimal_places=2)
    overhead_pct = models.DecimalField(max_digits=6, decimal_places=3)
    profit_pct = models.DecimalField(max_digits=6, decimal_places=3)
    patch_each = models.DecimalField(max_digits=9, decimal_places=2)
    hours_a_day = models.DecimalField(max_digits=6, decimal_places=2)
    most_markup_pct = models.DecimalField(max_digits=6, decimal_places=3, null=True, blank=True)
    credit_markup = models.BooleanField(default=False)

    class Meta:
        constraints = [
            number_between("add_times", 1, MOST_TIMES, model="contract_terms"),
            number_between("restock_pct", 0, 100, model="contract_terms"),
            number_between("least_hours", 0, MOST_HOURS, model="contract_terms"),
            number_between("overhead_pct", 0, 100, model="contract_terms"),
            number_between("profit_pct", 0, 100, model="contract_terms"),
            number_between("patch_each", 0, MOST_PATCH, model="contract_terms"),
            number_between("hours_a_day", 1, 1000, model="contract_terms"),
            number_between("most_markup_pct", 0, 200, model="contract_terms"),
        ]


class State(models.TextChoices):
    DRAFT = "draft", _("draft")
    SENT = "sent", _("sent, not signed")
    APPROVED = "approved", _("approved")
    REJECTED = "rejected", _("rejected")
    VOID = "void", _("void")


class ChangeOrder(ShopRecord):
    """A change to a job's contract. A draft is priced anew each time it is looked at; once sent it is never changed.

    contents: lines and sum as sent, canonical JSON; price repeats it for sums. ink: the signature, as an SVG path.
    verbal_*: who said yes aloud. It is no approval.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="changes")
    number = models.PositiveSmallIntegerField()
    title = NameField(max_length=200)
    reason = NoteField(max_length=1000)
    asked_by = models.CharField(max_length=120, blank=True, default="")
    state = models.CharField(max_length=8, choices=State, default=State.DRAFT)
    days = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)  # none: as worked out
    contents = models.TextField(blank=True, default="")
    digest = models.CharField(max_length=64, blank=True, default="")
    price = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    verbal_name = models.CharField(max_length=120, blank=True, default="")
    verbal_on = models.DateField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    sent_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    signed_name = models.CharField(max_length=120, blank=True, default="")
    signed_on = models.DateField(null=True, blank=True)
    ink = models.TextField(blank=True, default="")
    closed_at = models.DateTimeField(null=True, blank=True)  # approved, rejected or void
    closed_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    closed_why = models.CharField(max_length=400, blank=True, default="")

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["job", "number"], name="change_number_once_per_job"),
            one_of("state", State.values, model="change"),
            number_between("number", 1, 9999, model="change"),
            number_between("days", 0, MOST_DAYS, model="change"),
            number_between("price", -MOST_PRICE, MOST_PRICE, model="change"),
            models.CheckConstraint(
                condition=models.Q(state__in=("draft", "void")) | models.Q(price__isnull=False, sent_at__isnull=False),
                name="change_sent_is_kept",
            ),
            models.CheckConstraint(
                condition=~models.Q(state="approved") | (~models.Q(signed_name="") & models.Q(signed_on__isnull=False)),
                name="change_approved_by_someone",
            ),
            no_longer_than("title", 200, model="change"),
            no_longer_than("reason", 1000, model="change"),
            no_longer_than("signed_name", 120, model="change"),
            no_longer_than("ink", MOST_INK, model="change"),
        ]
        indexes = [models.Index(fields=["shop", "state"])]

    def __str__(self):
        return _("Change order %(number)s") % {"number": self.number}

    @property
    def is_draft(self):
        return self.state == State.DRAFT

    @property
    def waits(self):
        """Somebody has to sign, or it has to be sent."""
        return self.state in (State.DRAFT, State.SENT)


class ChangedRoom(models.Model):
    """A room of a change: from one revision of its layout to another."""

    change = models.ForeignKey(ChangeOrder, on_delete=models.CASCADE, related_name="rooms")
    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="changed_rooms")
    before = models.ForeignKey(LayoutRevision, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    after = models.ForeignKey(LayoutRevision, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["change", "room"], name="changed_room_once")]


class MovedLight(models.Model):
    """A mark of a revision that somebody wants elsewhere, before a layout shows it."""

    change = models.ForeignKey(ChangeOrder, on_delete=models.CASCADE, related_name="moved_lights")
    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="+")
    revision = models.ForeignKey(LayoutRevision, on_delete=models.PROTECT, related_name="+")
    ident = models.CharField(max_length=8)

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["change", "room", "ident"], name="moved_light_once")]


class TypedLine(models.Model):
    """Hours and material that no layout shows, at cost."""

    change = models.ForeignKey(ChangeOrder, on_delete=models.CASCADE, related_name="typed_lines")
    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    words = NameField(max_length=200)
    hours = models.DecimalField(max_digits=8, decimal_places=2, default=0)
    material = models.DecimalField(max_digits=10, decimal_places=2, default=0)
    taxable = models.BooleanField(default=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            number_between("hours", 0, MOST_LINE_HOURS, model="typed_line"),
            number_between("material", 0, MOST_MATERIAL, model="typed_line"),
            no_longer_than("words", 200, model="typed_line"),
        ]


class GoodsSaid(models.Model):
    """Where goods are that a draft takes out, as the estimator knows it."""

    change = models.ForeignKey(ChangeOrder, on_delete=models.CASCADE, related_name="goods_said")
    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="+")
    key = models.CharField(max_length=100)
    goods = models.CharField(max_length=10)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["change", "room", "key"], name="goods_said_once"),
            one_of("goods", [goods.value for goods in Goods], model="goods_said"),
        ]


def new_once():
    return secrets.token_urlsafe(18)


class FieldExtra(ShopRecord):
    """Work somebody asked for on site that nobody had bid: words, hours, material, who asked. It has no price.

    change: the change order that it became part of. closed_why: it isn't charged, and why.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="extras")
    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="extras", null=True, blank=True)
    words = NoteField(max_length=1000, blank=False)
    hours = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    material = NoteField(max_length=1000)
    asked_by = models.CharField(max_length=120, blank=True, default="")
    signed_name = models.CharField(max_length=120, blank=True, default="")
    ink = models.TextField(blank=True, default="")
    on_paper = models.BooleanField(default=False)  # signed on paper; a photo shows it
    once = models.CharField(max_length=32, default=new_once)  # of the form: sent twice on a bad line, it is one extra
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    at = models.DateTimeField()
    change = models.ForeignKey(ChangeOrder, on_delete=models.PROTECT, related_name="extras", null=True, blank=True)
    closed_why = models.CharField(max_length=400, blank=True, default="")

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "once"], name="field_extra_once"),
            number_between("hours", 0, MOST_LINE_HOURS, model="field_extra"),
            models.CheckConstraint(condition=~models.Q(words=""), name="field_extra_says_what"),
            no_longer_than("words", 1000, model="field_extra"),
            no_longer_than("material", 1000, model="field_extra"),
            no_longer_than("ink", MOST_INK, model="field_extra"),
        ]
        indexes = [models.Index(fields=["shop", "at"])]

    def __str__(self):
        return self.words.splitlines()[0][:80] if self.words else ""

    @property
    def is_open(self):
        return self.change_id is None and not self.closed_why


class ExtraPhoto(models.Model):
    """A photo of a field extra, as it was written anew: nothing of the phone's file but its pixels."""

    KEEPS_FILES = ("file",)

    extra = models.ForeignKey(FieldExtra, on_delete=models.CASCADE, related_name="photos")
    file = models.CharField(max_length=60, unique=True)
    wide = models.PositiveSmallIntegerField()
    high = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            number_between("wide", 1, SIDE, model="extra_photo"),
            number_between("high", 1, SIDE, model="extra_photo"),
        ]
