"""Changes to people and shops, each in one transaction."""

from datetime import timedelta

from django.db import models, transaction
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from projects.accounts.models import ApiToken, Membership, Shop, User
from projects.platform.permissions import ALWAYS, SCOPES, Role
from projects.platform.tenancy import StaleVersion


class LastOwner(Exception):
    """The shop would be left without an owner."""

    def __str__(self):
        return str(_("A shop keeps at least one owner. Make someone else an owner first."))


def choose_language(user, language):
    User.objects.filter(pk=user.pk).update(language=language)


LONGEST_TOKEN_DAYS = 365
MOST_TOKENS = 20  # in use at once, by one person in one shop


class TooManyTokens(Exception):
    def __str__(self):
        return str(_("You have %(most)s tokens in use. End one first.") % {"most": MOST_TOKENS})


class WiderThanItself(Exception):
    def __str__(self):
        return str(_("A token makes no token that may do more, or lasts longer, than it does itself."))


@transaction.atomic
def make_token(member, name, scopes=tuple(SCOPES), days=LONGEST_TOKEN_DAYS, *, within=None):
    """A token and its secret, which is nowhere kept. within: the token that asks for it, none in a browser.

    Raises TooManyTokens, WiderThanItself.
    """
    scopes = [scope for scope in SCOPES if scope in {ALWAYS, *scopes}]
    expires_at = timezone.now() + timedelta(days=days)
    if within is not None and (
        not set(scopes) <= {ALWAYS, *within.scope_names} or (within.expires_at and expires_at > within.expires_at)
    ):
        raise WiderThanItself
    # The member's row is the lock: two pages at once don't make one too many.
    Membership.objects.select_for_update().get(pk=member.pk)
    if usable(member.tokens).count() >= MOST_TOKENS:
        raise TooManyTokens
    return ApiToken.make(member, name, scopes, expires_at)


def usable(tokens):
    """Those that were not ended and whose time is not over."""
    return tokens.filter(Q(expires_at=None) | Q(expires_at__gt=timezone.now()), ended_at=None)


def end_token(member, token_id):
    """From now on it opens nothing. False when this person has no such token in use."""
    return bool(member.tokens.filter(pk=token_id, ended_at=None).update(ended_at=timezone.now()))


@transaction.atomic
def add_person(shop, *, email, name, password, role, may_approve=False, may_move_marks=False, may_quote=False):
    user = User.objects.create_user(email, name, password)
    return Membership.objects.create(
        shop=shop,
        user=user,
        role=role,
        may_approve=may_approve,
        may_move_marks=may_move_marks,
        may_quote=may_quote,
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


# Parts that keep amounts in the shop's currency add a question here: does this shop have any? None may be left behind.
KEEPS_MONEY: list = []


class CurrencyStands(Exception):
    def __str__(self):
        return str(_("Prices stand in the shop's currency already, and are never turned into another. Leave it."))


@transaction.atomic
def change_shop_rules(shop, seen_version, changes):
    """Raises StaleVersion, CurrencyStands."""
    Shop.objects.select_for_update().get(pk=shop.pk)
    currency = changes.get("currency") or shop.currency
    changes = {**changes, "currency": currency}
    if currency != Shop.objects.get(pk=shop.pk).currency and any(keeps(shop) for keeps in KEEPS_MONEY):
        raise CurrencyStands
    written = Shop.objects.filter(pk=shop.pk, version=seen_version).update(version=models.F("version") + 1, **changes)
    stored = Shop.objects.get(pk=shop.pk)
    if not written:
        raise StaleVersion(stored, changes)
    return stored
