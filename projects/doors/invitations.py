"""Asking somebody into the shop: by an address, once, for a week. Each is one change."""

from datetime import timedelta

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.accounts.models import Membership, Shop, User
from projects.doors.letters import write_letter
from projects.doors.links import is_mark_of
from projects.doors.models import Invitation
from projects.platform.permissions import PERSONAL
from projects.platform.speaking import speaking

STANDS = timedelta(days=7)
MOST_STANDING = 200  # of one shop at once


class NotInvited(Exception):
    """Why this address can't be asked in, in words."""


class InvitationOver(Exception):
    """Used, taken back, or older than a week."""


class OtherAddress(Exception):
    """Somebody else's: who is signed in has another e-mail."""


@transaction.atomic
def invite(shop, *, by, email, name, role, now=None, **given):
    """Ask somebody in; their letter is written by the queue. given: the personal permissions. Raises NotInvited."""
    now = now or timezone.now()
    Shop.objects.select_for_update().get(pk=shop.pk)  # the lock: they are counted
    _end_what_is_over(shop, now)
    if shop.members.filter(user__email=email).exists():
        raise NotInvited(_("They are among the people above already. Open them there, and tick Works here."))
    if standing(shop).count() >= MOST_STANDING:
        raise NotInvited(_("%(most)s invitations stand. Take one back first.") % {"most": MOST_STANDING})
    given = {flag: bool(given.get(flag)) for flag in PERSONAL.values()}
    try:
        with transaction.atomic():
            made = Invitation.objects.create(
                shop=shop, made_by=by, email=email, name=name, role=role, made_at=now, ends_at=now + STANDS,
                **given,
            )  # fmt: skip
    except IntegrityError:
        raise NotInvited(_("They were asked already. Send that letter again, or take the invitation back.")) from None
    write_letter.enqueue("invitation", made.pk)
    return made


def _end_what_is_over(shop, now):
    for one in standing(shop).filter(ends_at__lte=now):
        Invitation.objects.of(shop).filter(pk=one.pk).update(ended_at=one.ends_at)


def standing(shop):
    return Invitation.objects.of(shop).filter(ended_at=None)


def send_again(shop, invitation_id):
    """The same letter once more. False when no such invitation stands."""
    found = standing(shop).filter(pk=invitation_id, ends_at__gt=timezone.now()).exists()
    if found:
        write_letter.enqueue("invitation", invitation_id)
    return found


def take_back(shop, invitation_id):
    """From now on its link opens nothing. False when no such invitation stands."""
    return bool(standing(shop).filter(pk=invitation_id).update(ended_at=timezone.now()))


def invitation_of(link):
    """The invitation a link was made for, None when it was never one. Raises InvitationOver."""
    number, _dash, mark = link.partition("-")
    if not (number.isascii() and number.isdecimal() and len(number) < 19):
        return None
    found = Invitation.objects.every_shop().select_related("shop", "made_by__user").filter(pk=int(number)).first()
    if found is None or not is_mark_of(mark, found):
        return None
    inviter_stays = found.made_by.active and found.made_by.user.is_active
    if found.ended_at is not None or found.ends_at <= timezone.now() or not inviter_stays:
        raise InvitationOver
    return found


@transaction.atomic
def take_up(invitation, *, user=None, name="", password=""):
    """Make the membership, and the account where there is none. Raises InvitationOver, OtherAddress.

    user: who is signed in; its e-mail has to be the invitation's. Without one, an account is made: name and password.
    """
    with speaking(shop=invitation.shop_id, via="page"):
        mine = Invitation.objects.of(invitation.shop_id).filter(pk=invitation.pk, ended_at=None)
        if not mine.update(ended_at=timezone.now()):  # of two at once, one
            raise InvitationOver
    if user is None:
        try:
            with transaction.atomic():
                user = User.objects.create_user(invitation.email, name, password)
        except IntegrityError:
            raise OtherAddress from None
    elif user.email != invitation.email:
        raise OtherAddress
    with speaking(shop=invitation.shop_id, user=user.pk, via="page"):
        mine = Invitation.objects.of(invitation.shop_id).filter(pk=invitation.pk)
        mine.update(used_by=user)
        given = {flag: getattr(invitation, flag) for flag in PERSONAL.values()}
        member, made = Membership.objects.get_or_create(
            shop_id=invitation.shop_id, user=user, defaults={"role": invitation.role, **given}
        )
        if not made:
            raise InvitationOver
    return member
