"""Changes to people and shops, each in one transaction."""

from django.db import models, transaction
from django.utils.translation import gettext_lazy as _

from projects.accounts.models import Membership, Shop, User
from projects.platform.permissions import Role
from projects.platform.tenancy import StaleVersion


class LastOwner(Exception):
    """The shop would be left without an owner."""

    def __str__(self):
        return str(_("A shop keeps at least one owner. Make someone else an owner first."))


@transaction.atomic
def add_person(shop, *, email, name, password, role, may_approve=False, may_move_marks=False):
    user = User.objects.create_user(email, name, password)
    return Membership.objects.create(
        shop=shop, user=user, role=role, may_approve=may_approve, may_move_marks=may_move_marks
    )


@transaction.atomic
def change_member(shop, member_id, seen_version, changes):
    """Raises Membership.DoesNotExist, StaleVersion, LastOwner."""
    # The shop's row is the lock: two owners can't each remove the other.
    Shop.objects.select_for_update().get(pk=shop.pk)
    member = Membership.objects.select_related("user").get(pk=member_id, shop=shop)
    for name, value in changes.items():
        setattr(member, name, value)
    stays_owner = member.active and member.role == Role.OWNER.value
    others = shop.members.filter(role=Role.OWNER.value, active=True).exclude(pk=member.pk)
    if not stays_owner and not others.exists():
        raise LastOwner
    written = Membership.objects.filter(pk=member.pk, version=seen_version).update(
        version=models.F("version") + 1, **changes
    )
    if not written:
        raise StaleVersion(Membership.objects.get(pk=member.pk), changes)
    return Membership.objects.get(pk=member.pk)


@transaction.atomic
def change_shop_rules(shop, seen_version, changes):
    """Raises StaleVersion."""
    written = Shop.objects.filter(pk=shop.pk, version=seen_version).update(version=models.F("version") + 1, **changes)
    stored = Shop.objects.get(pk=shop.pk)
    if not written:
        raise StaleVersion(stored, changes)
    return stored
