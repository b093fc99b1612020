"""A code is shown, a phone joins by it, a lost phone is ended. Each is one change, and no guess goes uncounted."""

import secrets
from datetime import timedelta

from django.db import IntegrityError, models, transaction
from django.utils import timezone
from django.utils.crypto import constant_time_compare, salted_hmac
from django.utils.translation import gettext as _

from projects.accounts.models import Membership, User
from projects.doors.pace import Pace, TooOften, take
from projects.jobs.models import Job
from projects.joining.models import MOST_PHONES, MOST_WRONG, JoinCode, Joined
from projects.platform.permissions import Role
from projects.platform.speaking import speaking
from projects.platform.tenancy import save_from

PLACE, SECRET = 4, 6  # digits: ten in all, as a phone number has; typed with gloves on
STANDS = timedelta(hours=12)  # a code, from the morning it is shown
LONGEST = timedelta(days=366)  # a phone, from the day it joins
MOST_CODES = 20  # of one job at once
# In any hour at most 30 tries from one place on the network, 600 from everywhere.
FROM_ONE_PLACE = Pace("join from", burst=15, every=240)
FROM_EVERYWHERE = Pace("join", burst=300, every=12)
PLACES_TRIED = 40  # looked at for one that is free


class NotJoined(Exception):
    """The code lets nobody in. The message says what to do, and never which part of it was wrong."""


class TooManyTries(NotJoined):
    def __init__(self, wait):
        super().__init__(wait)
        self.wait = wait  # seconds

    def __str__(self):
        return _("Too many codes were typed. Wait a few minutes, or ask the lead for help.")


class NameTaken(NotJoined):
    """Somebody of that name is on the job already."""


class TooManyCodes(Exception):
    def __str__(self):
        return _("This job has %(most)s codes that stand. End one first.") % {"most": MOST_CODES}


# What a phone that is ended leaves behind, in words; the parts above add a function of the member here.
LEFT_BEHIND: list = []
# What else ends with a phone, in the same transaction: f(member).
on_end: list = []


def left_behind(member):
    return [words for tell in LEFT_BEHIND if (words := tell(member))]


def _digest(place, secret):
    # Keyed: six digits alone are tried through in no time by whoever has the table.
    return salted_hmac("projects.joining", f"{place} {secret}", algorithm="sha256").hexdigest()


@transaction.atomic
def show_code(job, *, until, by, again=None, now=None):
    """A new code for the job and its ten digits, which are nowhere kept. Raises TooManyCodes."""
    now = now or timezone.now()
    Job.objects.of(job.shop_id).select_for_update(no_key=True).get(pk=job.pk)  # the lock: they are counted
    _close_what_is_over(now)
    if JoinCode.objects.of(job.shop_id).filter(job=job, ended_at=None).count() >= MOST_CODES:
        raise TooManyCodes
    for _try in range(PLACES_TRIED):
        place = _digits(PLACE)
        secret = _digits(SECRET)
        fields = {"until": until, "made_by": by, "again": again, "ends_at": now + STANDS}
        try:
            with transaction.atomic():
                made = JoinCode.objects.create(
                    shop=job.shop, job=job, place=place, digest=_digest(place, secret), **fields
                )
        except IntegrityError:  # another code that stands has this place
            continue
        return made, place + secret
    raise TooManyCodes


def _digits(count):
    return f"{secrets.randbelow(10**count):0{count}}"


def _close_what_is_over(now):
    JoinCode.objects.every_shop().filter(ended_at=None, ends_at__lte=now).update(ended_at=models.F("ends_at"))


def end_code(job, code_id, now=None):
    """From now on it lets nobody in. False when the job has no such code that stands."""
    codes = JoinCode.objects.of(job.shop_id).filter(job=job, pk=code_id, ended_at=None)
    return bool(codes.update(ended_at=now or timezone.now()))


def join(digits, name, *, source, now=None):
    """Let a phone in by what its owner typed. Returns the Joined. Raises NotJoined, TooManyTries, NameTaken.

    digits: ten, nothing else. source: where on the network it came from. Every step that counts is one UPDATE and is
    written before the code is looked at, so that guesses made at once are counted as guesses made in turn.
    """
    now = now or timezone.now()
    _count_try(source, now)
    code = _reserved(digits[:PLACE], now)
    if code is None or not constant_time_compare(_digest(digits[:PLACE], digits[PLACE:]), code.digest):
        raise NotJoined(_("No one joins by this code. Read it again from the lead's phone, or ask for a new one."))
    with speaking(shop=code.shop_id, via="client"):
        JoinCode.objects.of(code.shop_id).filter(pk=code.pk).update(wrong=models.F("wrong") - 1)  # it was not wrong
        return _let_in_by(code, name, now)


def _count_try(source, now):
    moment = int(now.timestamp() * 1000)
    try:
        take(FROM_ONE_PLACE, source, moment)
        take(FROM_EVERYWHERE, "", moment)
    except TooOften as refused:
        raise TooManyTries(refused.wait) from None


def _reserved(place, now):
    """The code that stands at this place with one more wrong try written on it; None when there is none."""
    standing = JoinCode.objects.every_shop().filter(
        place=place, ended_at=None, ends_at__gt=now, wrong__lt=MOST_WRONG, phones__lt=MOST_PHONES
    )
    code = standing.select_related("shop", "job", "made_by").first()
    return code if code and standing.filter(pk=code.pk).update(wrong=models.F("wrong") + 1) else None


@transaction.atomic
def _let_in_by(code, name, now):
    used = JoinCode.objects.of(code.shop_id).filter(pk=code.pk, ended_at=None, phones__lt=MOST_PHONES)
    ends = {"ended_at": now} if code.again_id else {}  # one person's code lets one phone in
    if not used.update(phones=models.F("phones") + 1, **ends):
        raise NotJoined(_("This code was ended just now. Ask the lead for a new one."))
    if code.again_id:
        return _let_back_in(code, now)
    Job.objects.of(code.shop_id).select_for_update(no_key=True).get(pk=code.job_id)  # the lock: names are compared
    _refuse_a_second(code.job, name)
    user = User(email=None, name=name)
    user.set_unusable_password()
    user.save()
    member = Membership.objects.create(shop=code.shop, user=user, role=Role.CREW.value)
    return Joined.objects.create(
        shop=code.shop, job=code.job, member=member, until=code.until, let_in_by=code.made_by, phone_since=now
    )


def _refuse_a_second(job, name):
    there = Joined.objects.of(job.shop_id).filter(job=job, ended_at=None, member__user__name__iexact=name)
    if there.exists():
        raise NameTaken(
            _("%(name)s is on this job already. If that is you on a new phone, ask the lead for a code of your own; "
              "if not, add your last name.") % {"name": name}
        )  # fmt: skip


def _let_back_in(code, now):
    joined = Joined.objects.of(code.shop_id).select_for_update().select_related("member__user").get(pk=code.again_id)
    _lock_out(joined.member)
    joined.until, joined.ended_at, joined.ended_by, joined.phone_since = code.until, None, None, now
    joined.save()
    User.objects.filter(pk=joined.member.user_id).update(is_active=True)
    joined.member.user.is_active = True
    return joined


def _lock_out(member):
    """Every phone and program signed in as this person is out from its next request."""
    member.user.set_unusable_password()  # another one each time: a session holds to the one it began with
    member.user.save(update_fields=["password"])
    member.tokens.filter(ended_at=None).update(ended_at=timezone.now())


@transaction.atomic
def end_phone(joined, *, by, now=None):
    """A lost phone, or somebody who is off the job. Its next request is refused. What was entered stays."""
    now = now or timezone.now()
    held = Joined.objects.of(joined.shop_id).select_for_update().select_related("member__user").get(pk=joined.pk)
    if held.ended_at is None:
        held.ended_at, held.ended_by = now, by
        held.version += 1
        held.save()
    held.codes.filter(ended_at=None).update(ended_at=now)
    _lock_out(held.member)
    for end in on_end:
        end(held.member)
    return held


def stay_until(joined, seen_version, until):
    """Another last day. Raises StaleVersion."""
    return save_from(joined, seen_version, {"until": until}, at=timezone.now())
