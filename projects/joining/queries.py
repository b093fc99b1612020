"""Reads of who joined a job by a code, and what the door asks about them."""

from django.db.models import Q
from django.http import Http404
from django.utils import timezone

from projects.joining.models import JoinCode, Joined

MOST_SHOWN = 200


def let_in(members, on=None):
    """Of memberships, those whose people may come in: working here, and if they came by a code, until their day.

    Somebody without an e-mail came by a code: without a record of it, nothing opens.
    """
    standing = Q(joined__ended_at=None, joined__until__gte=on or timezone.localdate())
    return members.filter(
        Q(joined=None, user__email__isnull=False) | Q(joined__isnull=False) & standing,
        active=True,
        user__is_active=True,
    )


def the_one_job(member):
    """The id of the only job a person may see; None: all of the shop's."""
    joined = getattr(member, "joined", None)
    return joined.job_id if joined else None


def joined_to(job):
    """Who joined, those who are in first, each with the member and the person."""
    people = Joined.objects.of(job.shop_id).filter(job=job).select_related("member__user", "ended_by__user")
    return list(people.order_by("ended_at", "-pk")[:MOST_SHOWN])


def joined_of(job, joined_id):
    found = Joined.objects.of(job.shop_id).filter(job=job, pk=joined_id).select_related("member__user").first()
    if found is None:
        raise Http404
    return found


def standing_codes(job, now):
    codes = JoinCode.objects.of(job.shop_id).filter(job=job, ended_at=None, ends_at__gt=now)
    return list(codes.select_related("made_by__user", "again__member__user")[:MOST_SHOWN])
