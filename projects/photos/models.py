"""A photo, and an item of a room's punch list. Knows nothing of layouts: a mark is a name on the card."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from projects.accounts.models import Membership
from projects.jobs.models import Room
from projects.platform.fields import NoteField, no_longer_than, number_between, one_of
from projects.platform.tenancy import ShopRecord

KEPT_SIDE = 1600  # pixels: what is seen on a phone and on half a sheet
SMALL_SIDE = 400  # for a page of many
MOST_BAYS = 400
LONGEST_KEY = 64


class Purpose(models.TextChoices):
    """What a photo shows. How many a room needs of each stands in fixtures/photo_sets.json."""

    NONE = "", _("Anything else")
    WALL = "wall", _("A wall, before work")
    CEILING = "ceiling", _("The ceiling, before work")
    PANEL = "panel", _("The panel, its door open")
    TAPE = "tape", _("With a tape in it, for scale")
    COVER = "cover", _("A bay before it is covered, tape showing")
    CLEARANCE = "clearance", _("The space kept around a light that is not IC")
    HOLE = "hole", _("A hole, or what came out of it")
    CORRECTION = "correction", _("A correction, done")
    PUNCH = "punch", _("A punch item")
    AS_BUILT = "as_built", _("Finished")
    CARD = "card", _("A marked-up card")


class Photo(ShopRecord):
    """A photo as it was written anew. taken_at is the phone's own word, and never later than when it was kept.

    trashed_at: it was taken back; it can be put back until it is purged, and its bytes count till then.
    """

    KEEPS_FILES = ("file", "small")

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="photos")
    purpose = models.CharField(max_length=12, choices=Purpose, blank=True, default="")
    mark = models.CharField(max_length=12, blank=True, default="")  # as on the card, 'A3'
    bay = models.PositiveSmallIntegerField(null=True, blank=True)  # counted from the zero corner
    caption = models.CharField(max_length=200, blank=True, default="")
    file = models.CharField(max_length=40)
    small = models.CharField(max_length=40)
    wide = models.PositiveSmallIntegerField()
    high = models.PositiveSmallIntegerField()
    bytes = models.PositiveIntegerField()  # of both files
    taken_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    taken_at = models.DateTimeField()
    key = models.CharField(max_length=LONGEST_KEY, blank=True, default="")  # the phone's: sent twice it is one photo
    trashed_at = models.DateTimeField(null=True, blank=True)
    trashed_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "key"], condition=~Q(key=""), name="photo_once_per_key"),
            models.UniqueConstraint(fields=["file"], name="photo_file_once"),
            one_of("purpose", Purpose.values, model="photo"),
            number_between("bay", 1, MOST_BAYS, model="photo"),
            number_between("wide", 1, KEPT_SIDE, model="photo"),
            number_between("high", 1, KEPT_SIDE, model="photo"),
            number_between("bytes", 1, 50_000_000, model="photo"),
            no_longer_than("mark", 12, model="photo"),
            no_longer_than("caption", 200, model="photo"),
            no_longer_than("file", 40, model="photo"),
            no_longer_than("small", 40, model="photo"),
            no_longer_than("key", LONGEST_KEY, model="photo"),
        ]
        indexes = [models.Index(fields=["room", "purpose"])]

    def __str__(self):
        return self.caption or str(self.get_purpose_display())


class PunchItem(ShopRecord):
    """Something left to do in a room that is otherwise done. It is closed with a photo, or with words why not."""

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="punch_items")
    words = models.CharField(max_length=200)
    mark = models.CharField(max_length=12, blank=True, default="")
    found_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    found_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    closed_with = models.ForeignKey(Photo, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    closed_words = NoteField(max_length=400)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(closed_at=None, closed_with=None)
                | Q(closed_at__isnull=False) & (Q(closed_with__isnull=False) | ~Q(closed_words="")),
                name="punch_item_closed_with_something",
            ),
            no_longer_than("words", 200, model="punch_item"),
            no_longer_than("mark", 12, model="punch_item"),
            no_longer_than("closed_words", 400, model="punch_item"),
        ]

    def __str__(self):
        return self.words
