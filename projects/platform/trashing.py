"""Records that go to the trash before they go for good: left out wherever rows are read, kept until purged.

Knows no particular record. `objects`, and so every list, count and `job.rooms`, leaves out what is in the trash;
`everything` has all of it. A record that another one names (`pick.room`) is found wherever it is: history reads on.
"""

from django.db import models
from django.utils.translation import gettext_lazy as _

from projects.platform.tenancy import ShopQuerySet, ShopRecord


class TrashQuerySet(ShopQuerySet):
    """Rows of all, in the trash or not."""

    def trashed(self):
        return self.filter(trashed_at__isnull=False)


class InTheBook(models.Manager.from_queryset(TrashQuerySet)):
    """Rows that are not in the trash."""

    def get_queryset(self):
        return super().get_queryset().filter(trashed_at=None)


class Trashable(ShopRecord):
    """A record with its place in the trash: since when, and who put it there. None: it stands in the book."""

    trashed_at = models.DateTimeField(_("in the trash since"), null=True, blank=True, editable=False)
    trashed_by = models.ForeignKey(
        "accounts.Membership", on_delete=models.PROTECT, related_name="+", null=True, blank=True, editable=False
    )

    objects = InTheBook()
    everything = TrashQuerySet.as_manager()

    class Meta:
        abstract = True


def trashed_by_somebody(model):
    """CHECK: nobody trashed what is not in the trash."""
    return models.CheckConstraint(
        condition=models.Q(trashed_by=None) | models.Q(trashed_at__isnull=False), name=f"{model}_trashed_by_somebody"
    )


def lying_in_the_trash(model):
    """An index of a shop's trash alone, newest first; what stands in the book is not in it."""
    return models.Index(
        fields=["shop", "-trashed_at"], condition=models.Q(trashed_at__isnull=False), name=f"{model}_in_the_trash"
    )
