"""What a client is asked about one revision of a room, and what came back, word for word. Knows no page."""

import secrets

from django.db import models
from django.utils.translation import gettext_lazy as _

from layout.models import PLACE, LayoutRevision
from projects.accounts.models import Membership
from projects.jobs.models import Room
from projects.platform.fields import LengthField, NoteField, length_between, no_longer_than, one_of
from projects.platform.tenancy import ShopRecord


def new_token():
    return secrets.token_urlsafe(24)  # 192 bits: whoever has it reads what it shows, without sign-in


class ApprovalLink(ShopRecord):
    """One address for one client about one revision, until a day. It shows what was kept when it was made.

    contents: canonical JSON of all that is shown; digest: of these bytes.
    """

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="approval_links")
    revision = models.ForeignKey(LayoutRevision, on_delete=models.PROTECT, related_name="approval_links")
    token = models.CharField(max_length=40, unique=True, default=new_token)
    contents = models.TextField()
    digest = models.CharField(max_length=64)
    expires_on = models.DateField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    made_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [models.CheckConstraint(condition=~models.Q(digest=""), name="approval_link_is_kept")]

    def __str__(self):
        return str(self.revision)


class Says(models.TextChoices):
    YES = "yes", _("accepted")
    CHANGE = "change", _("asks for a change")
    NOT_YET = "not_yet", _("not yet")


class Answer(ShopRecord):
    """What a client said of what was shown. Never edited; the office marks that it was seen to.

    along, across: where a finger was put on the picture, from the zero corner of the revision's ceiling's edge.
    """

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="approval_answers")
    link = models.ForeignKey(ApprovalLink, on_delete=models.PROTECT, related_name="answers")
    says = models.CharField(max_length=7, choices=Says)
    name = models.CharField(max_length=120, blank=True, default="")
    on = models.DateField()
    words = NoteField(max_length=1000)
    along = LengthField(null=True, blank=True)
    across = LengthField(null=True, blank=True)
    at = models.DateTimeField()
    seen_to_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    seen_to_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            one_of("says", Says.values, model="approval_answer"),
            models.UniqueConstraint(fields=["link"], condition=models.Q(says="yes"), name="approval_accepted_once"),
            models.CheckConstraint(
                condition=~models.Q(says="yes") | ~models.Q(name=""), name="approval_yes_has_a_name"
            ),
            models.CheckConstraint(
                condition=~models.Q(says="change") | ~models.Q(words=""), name="approval_change_has_words"
            ),
            models.CheckConstraint(
                condition=models.Q(along__isnull=True, across__isnull=True)
                | models.Q(along__isnull=False, across__isnull=False),
                name="approval_point_whole",
            ),
            *(length_between(name, *PLACE, model="approval_answer") for name in ("along", "across")),
            no_longer_than("name", 120, model="approval_answer"),
            no_longer_than("words", 1000, model="approval_answer"),
        ]
        indexes = [
            models.Index(fields=["shop", "seen_to_at"], name="approval_answer_seen_to"),
        ]
