"""Reads of clients' links and answers: through the room, through the shop, and through the link itself."""

from django.core.paginator import Paginator
from django.http import Http404

from reports.approvals.models import Answer, ApprovalLink, Says

PAGE = 50
LINKS = 20  # on a room's page


def link_behind(token):
    """The link of this address, whichever shop's; None where there is none."""
    found = ApprovalLink.objects.every_shop().filter(token=token)
    return found.select_related("shop", "revision", "room__job").first()


def link_of(room, approval_id):
    found = room.approval_links.select_related("revision").filter(pk=approval_id).first()
    if found is None:
        raise Http404
    return found


def links_of(room):
    links = room.approval_links.select_related("revision", "made_by__user")
    return list(links.prefetch_related("answers__seen_to_by__user")[:LINKS])


def answer_of(shop, answer_id):
    found = Answer.objects.of(shop).filter(pk=answer_id, room__trashed_at=None).first()
    if found is None:
        raise Http404
    return found


def accepted_in(link):
    return link.answers.filter(says=Says.YES).first()


def answers_in(shop):
    """What clients said of rooms that stand, the newest first."""
    found = Answer.objects.of(shop).filter(room__cancelled=False, room__trashed_at=None, room__job__trashed_at=None)
    return found.select_related("room__job", "link__revision", "seen_to_by__user")


def page_of_answers(shop, number, *, all_of_them=False):
    """What clients said, the newest first: what nobody has seen to, or all."""
    found = answers_in(shop)
    return Paginator(found if all_of_them else found.filter(seen_to_at=None), PAGE).get_page(number)
