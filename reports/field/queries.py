"""Reads for the phone, each through its shop and bounded."""

from django.core.paginator import Paginator
from django.db.models import Max, Sum
from django.http import Http404
from django.utils import timezone
from django.utils.crypto import salted_hmac
from django.utils.formats import date_format
from django.utils.translation import ngettext

from projects.crews.queries import jobs_of, rooms_today
from projects.jobs.models import Room
from projects.platform.permissions import may
from reports.field.models import EntryKept, Phone

PAGE = 50
MOST_ROOMS = 40  # kept on a phone for a day
IN_THE_FIELD = range(4, 12)  # released to the field until punch


def person_ident(member):
    """Whose page it is, for the phone's own shelves; says nothing to anyone else."""
    return salted_hmac("reports.field", str(member.pk)).hexdigest()[:16]


def rooms_for(member):
    """The rooms a phone shows and keeps, and whether somebody planned them for this day and person.

    Nobody planned: those in the field of the jobs the person is or was planned for, else of all.
    """
    planned = rooms_today(member, timezone.localdate())
    if planned:
        return planned[:MOST_ROOMS], True
    rooms = Room.objects.of(member.shop_id).filter(cancelled=False, stage__in=IN_THE_FIELD)
    if jobs := [job.pk for job in jobs_of(member)]:
        rooms = rooms.filter(job__in=jobs)
    return list(rooms.select_related("job", "shop").order_by("-updated_at", "pk")[:MOST_ROOMS]), False


def looks_for(member):
    """Entries that could not be applied and nobody has looked at: one's own, or for who plans crews all of the shop."""
    return _seen_by(member).filter(settled_at=None)


def _seen_by(member):
    found = EntryKept.objects.of(member.shop_id).exclude(outcome=EntryKept.Outcome.APPLIED)
    if not may(member, "plan crews"):
        found = found.filter(member=member)
    return found.defer("picture").select_related("room__job", "member__user")


def look_of(member, entry_id):
    """Also one that was settled since the page was made."""
    found = _seen_by(member).filter(pk=entry_id).first()
    if found is None:
        raise Http404
    return found


def page_of_looks(member, number):
    return Paginator(looks_for(member).order_by("pk"), PAGE).get_page(number)


def states_of(member, keys):
    """What became of entries this person sent, by key: the phone lets go of what is applied or settled."""
    rows = EntryKept.objects.of(member.shop_id).filter(member=member, key__in=list(keys)[:500])
    return {
        key: {"outcome": outcome, "settled": settled is not None}
        for key, outcome, settled in rows.values_list("key", "outcome", "settled_at")
    }


def page_of_phones(shop, number):
    return Paginator(Phone.objects.of(shop).select_related("member__user", "ended_by__user"), PAGE).get_page(number)


def phone_of(shop, phone_id):
    phone = Phone.objects.of(shop).filter(pk=phone_id).select_related("member__user").first()
    if phone is None:
        raise Http404
    return phone


def last_seen(shop):
    """When each member's phones were last heard from: {member id: moment}. One query."""
    return dict(
        Phone.objects.of(shop).filter(ended_at=None).order_by().values_list("member").annotate(Max("last_seen"))
    )


def left_on_phones(member):
    """What this person's phones had not sent by their last report, in words; "" when nothing."""
    told = Phone.objects.of(member.shop_id).filter(member=member, waiting__gt=0).aggregate(
        n=Sum("waiting"), at=Max("last_seen")
    )
    if not told["n"]:
        return ""
    n, at = told["n"], date_format(timezone.localtime(told["at"]), "M j, H:i")
    return ngettext(
        "%(n)s entry was not sent from this phone by %(at)s, and is lost with it.",
        "%(n)s entries were not sent from this phone by %(at)s, and are lost with it.",
        n,
    ) % {"n": n, "at": at}
