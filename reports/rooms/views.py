"""Ways of looking at Rooms that people keep: each person's own, and those the owner shares. Knows no rooms."""

from urllib.parse import parse_qsl, urlencode

from django.db import IntegrityError, transaction
from django.db.models import Q
from django.utils.translation import gettext as _

from reports.rooms.models import LONGEST_QUERY, SavedView

MOST_VIEWS = 50  # of one person
KEPT = ("view", "job", "stage", "state", "flag", "sort", "q", "red", "who", "hold", "crew", "jobs")


class NotKept(Exception):
    """The view can't be kept. The message says why and what to do."""


def views_of(member):
    """A person's own views, then those shared with everybody. One query."""
    mine = Q(member=member) | Q(shared=True)
    found = SavedView.objects.of(member.shop_id).filter(mine).select_related("member__user")[: 4 * MOST_VIEWS]
    return sorted(found, key=lambda view: (view.member_id != member.pk, view.name.casefold()))


@transaction.atomic
def keep(member, name, query):
    """Keep the address's words under a name; the same name again takes their place. Raises NotKept."""
    told = plain(query)
    if len(told) > LONGEST_QUERY:
        raise NotKept(_("Too much is asked for at once to keep it. Take something back."))
    mine = SavedView.objects.of(member.shop_id).filter(member=member)
    if found := mine.filter(name=name).first():
        found.query = told
        found.save(update_fields=["query", "updated_at"])
        return found
    if mine.count() >= MOST_VIEWS:
        raise NotKept(_("You keep %(most)s views. Drop one first.") % {"most": MOST_VIEWS})
    try:
        with transaction.atomic():
            return SavedView.objects.create(shop_id=member.shop_id, member=member, name=name, query=told)
    except IntegrityError:  # pressed twice at once: the other press kept it
        return mine.get(name=name)


def plain(query):
    """Only what Rooms knows, in one order, without a page's number."""
    given = dict(parse_qsl(query))
    return urlencode({key: given[key] for key in KEPT if given.get(key)})


def drop(view):
    SavedView.objects.of(view.shop_id).filter(pk=view.pk).delete()


def share(view, with_everybody):
    """From now on everybody in the shop has it, or its own person alone."""
    view.shared = with_everybody
    view.save(update_fields=["shared", "updated_at"])


def view_of(shop, view_id):
    return SavedView.objects.of(shop).filter(pk=view_id).first()
