"""What was changed, by whom, and the seals that hold it. Rows are written by triggers; none is changed or taken out."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from projects.accounts.models import Shop
from projects.platform.fields import one_of
from projects.platform.tenancy import ShopQuerySet

WHOLE = 4000  # characters of a text that are kept as they are; of a longer one its SHA-256


class Did(models.TextChoices):
    ADDED = "added", _("added")
    CHANGED = "changed", _("changed")
    REMOVED = "removed", _("removed")
    ERASED = "erased", _("a name taken out")


class Entry(models.Model):
    """One row of one table, changed once. Ids are kept as numbers: an entry outlives what it speaks of.

    before, after: JSON of the columns that changed (of all, where a row was added or removed), '' where there is none.
    digest: SHA-256 of all of it (projects.history.chain.content), made when it was written and never again; after a
    name was taken out, `redacted` is that of what is left.
    """

    at = models.DateTimeField()
    shop = models.ForeignKey(Shop, on_delete=models.DO_NOTHING, db_constraint=False, related_name="+", null=True,
                             db_index=False)  # fmt: skip
    job_id = models.BigIntegerField(null=True)
    room_id = models.BigIntegerField(null=True)
    what = models.CharField(max_length=63)  # the table
    record = models.CharField(max_length=64)  # its row's key
    did = models.CharField(max_length=7, choices=Did)
    before = models.TextField(default="", blank=True)
    after = models.TextField(default="", blank=True)
    member_id = models.BigIntegerField(null=True)
    user_id = models.BigIntegerField(null=True)
    via = models.CharField(max_length=20, default="", blank=True)
    request = models.CharField(max_length=200, default="", blank=True)
    digest = models.CharField(max_length=64)
    redacted = models.CharField(max_length=64, default="", blank=True)

    objects = ShopQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        verbose_name = _("change")
        verbose_name_plural = _("changes")
        constraints = [one_of("did", Did.values, model="entry")]
        indexes = [
            models.Index(fields=["shop", "at", "id"], name="entry_of_shop"),
            models.Index(fields=["what", "record"], name="entry_of_record"),
            models.Index(fields=["room_id"], condition=models.Q(room_id__isnull=False), name="entry_of_room"),
            models.Index(fields=["job_id"], condition=models.Q(job_id__isnull=False), name="entry_of_job"),
        ]

    def __str__(self):
        return f"{self.what} {self.record} {self.did}"


class Seal(models.Model):
    """A shop's entries from the last seal's on to `last`, held by one digest that holds the last seal's too.

    shop: null for what was changed in no shop.
    """

    shop = models.ForeignKey(Shop, on_delete=models.DO_NOTHING, db_constraint=False, related_name="+", null=True,
                             db_index=False)  # fmt: skip
    number = models.PositiveIntegerField()
    last = models.BigIntegerField()  # the id of the last entry in it
    entries = models.PositiveIntegerField()
    root = models.CharField(max_length=64)
    digest = models.CharField(max_length=64)
    at = models.DateTimeField()

    objects = ShopQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "number"], name="seal_once"),
            models.UniqueConstraint(fields=["number"], condition=models.Q(shop=None), name="seal_of_no_shop_once"),
        ]

    def __str__(self):
        return f"{self.shop_id}: {self.number}"
