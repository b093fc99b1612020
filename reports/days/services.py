"""A calendar's address is made and ended; a morning's letter is asked for and sent once a day."""

import hashlib
import secrets
from datetime import timedelta

from django.db import models, transaction
from django.db.models import Q
from django.utils import timezone

from projects.accounts.models import Membership
from projects.joining.queries import let_in
from projects.platform.speaking import speaking
from reports.days.models import CalendarFeed, MorningLetter

READ_AGAIN_AFTER = timedelta(hours=1)  # a feed's last reading is written no more often than this


def digest_of(secret):
    return hashlib.sha256(secret.encode()).hexdigest()


@transaction.atomic
def make_feed(member):
    """A new address of a person's calendar: the feed and its secret, which is nowhere kept. An earlier one ends."""
    Membership.objects.select_for_update().get(pk=member.pk)  # the lock: one address at a time
    end_feed(member)
    secret = secrets.token_urlsafe(16)  # 128 bits
    return CalendarFeed.objects.create(shop=member.shop, member=member, digest=digest_of(secret)), secret


def end_feed(member):
    """From now on the address is nobody's. False when there is none."""
    standing = CalendarFeed.objects.of(member.shop_id).filter(member=member, ended_at=None)
    return bool(standing.update(ended_at=timezone.now()))


def read_feed(secret):
    """The feed behind an address, with its member; None when it is ended or its person is let in no more."""
    found = CalendarFeed.objects.every_shop().filter(digest=digest_of(secret), ended_at=None)
    feed = found.select_related("member__shop", "member__user", "member__joined").first()
    if feed is None or not let_in(Membership.objects.filter(pk=feed.member_id)).exists():
        return None
    now = timezone.now()
    seen = Q(last_read_at=None) | Q(last_read_at__lt=now - READ_AGAIN_AFTER)
    with speaking(shop=feed.shop_id, via="client"):
        CalendarFeed.objects.of(feed.shop_id).filter(seen, pk=feed.pk).update(last_read_at=now)
    return feed


def want_letter(member, wanted):
    asked = {"wanted": wanted}
    MorningLetter.objects.of(member.shop_id).update_or_create(
        member=member, defaults=asked, create_defaults={**asked, "shop": member.shop}
    )


def letters_for(on):
    """Who still gets the letter of a day, in every shop. Those who are let in no more, or have no e-mail, get none."""
    wanted = MorningLetter.objects.every_shop().filter(wanted=True, member__user__email__isnull=False)
    wanted = wanted.filter(Q(sent_on=None) | Q(sent_on__lt=on), member__in=let_in(Membership.objects.all(), on))
    return wanted.select_related("member__shop", "member__user", "member__joined").order_by("shop_id", "pk")


def take_letter(letter, on):
    """Claim the day's letter before it is sent. False when another process has it: nobody gets two."""
    standing = MorningLetter.objects.of(letter.shop_id).filter(Q(sent_on=None) | Q(sent_on__lt=on), pk=letter.pk)
    return bool(standing.update(sent_on=on, version=models.F("version") + 1))


def put_letter_back(letter, before):
    """It could not be sent: the next run tries again."""
    MorningLetter.objects.of(letter.shop_id).filter(pk=letter.pk).update(sent_on=before)
