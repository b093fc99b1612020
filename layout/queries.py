"""Reads of layouts, through the room and so through the shop."""

from django.http import Http404

MOST_SHOWN = 50  # revisions listed on a room's page


def revision_of(room, number):
    found = room.revisions.select_related("issued_by__user", "approved_by__user").filter(number=number).first()
    if found is None:
        raise Http404
    return found


def latest_revision(room):
    return room.revisions.order_by("-number").first()


def revisions_of(room):
    return list(room.revisions.select_related("issued_by__user", "approved_by__user")[:MOST_SHOWN])
