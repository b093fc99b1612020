"""How people come in: tries that were counted, and invitations. Knows nothing of jobs."""

from django.db import models
from django.utils import timezone

from projects.accounts.models import Membership, RoleChoice, User
from projects.platform.fields import NameField, no_longer_than, number_between, one_of
from projects.platform.permissions import Role
from projects.platform.tenancy import ShopRecord

LAST_MOMENT = 4_102_444_800_000  # 2100, in milliseconds since 1970


class Tried(models.Model):
    """When something that is tried may be tried again at leisure: one row per what and whom, moved by one UPDATE.

    key: a digest of an e-mail, an address or a device; due: milliseconds since 1970 (see pace.py).
    """

    what = models.CharField(max_length=20)
    key = models.CharField(max_length=64)
    due = models.BigIntegerField(db_index=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["what", "key"], name="tried_once_per_key"),
            number_between("due", 0, LAST_MOMENT, model="tried"),
            no_longer_than("what", 20, model="tried"),
            no_longer_than("key", 64, model="tried"),
        ]


class Invitation(ShopRecord):
    """Somebody is asked into the shop, by an address and with a role. Its link is reckoned from the row, kept nowhere.

    ended_at: taken back, or taken up (then `used_by` says by whom).
    """

    email = models.EmailField(max_length=254)
    name = NameField()
    role = models.CharField(max_length=12, choices=RoleChoice)
    may_approve = models.BooleanField(default=False)
    may_move_marks = models.BooleanField(default=False)
    may_quote = models.BooleanField(default=False)
    made_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(default=timezone.now)
    ends_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    used_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+", null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "email"], condition=models.Q(ended_at=None), name="invitation_stands_once"
            ),
            models.CheckConstraint(
                condition=models.Q(used_by=None) | models.Q(ended_at__isnull=False), name="invitation_used_is_ended"
            ),
            one_of("role", [role.value for role in Role], model="invitation"),
            no_longer_than("email", 254, model="invitation"),
            no_longer_than("name", 120, model="invitation"),
        ]

    def __str__(self):
        return f"{self.name}, {self.email}"
