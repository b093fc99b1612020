"""Which card went to whom. Knows nothing of how a card is drawn."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from layout.models import LayoutRevision
from projects.accounts.models import Membership
from projects.platform.fields import one_of
from projects.platform.languages import PAPER
from projects.platform.tenancy import ShopRecord


class CardCopy(ShopRecord):
    """A mark-out card printed or sent. Append-only: this is how the shop knows who has an old one."""

    class How(models.TextChoices):
        PRINTED = "printed", _("printed")
        SENT = "sent", _("sent as a picture")

    revision = models.ForeignKey(LayoutRevision, on_delete=models.PROTECT, related_name="copies")
    how = models.CharField(max_length=8, choices=How)
    held_by = models.CharField(max_length=80)
    datum = models.CharField(max_length=10)
    language = models.CharField(max_length=5, blank=True, default="", choices=PAPER)  # blank: nobody wrote it down
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            one_of("how", ["printed", "sent"], model="card_copy"),
            one_of("datum", ["framing", "finished", "edge"], model="card_copy"),
            one_of("language", ["", "en-us", "es-mx", "both"], model="card_copy"),
        ]
