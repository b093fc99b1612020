"""Reads of layouts, through the room and so through the shop."""

from django.http import Http404

from layout import frozen
from layout.engine.lengths import LengthError
from layout.engine.room import RoomLayout, lay_out
from layout.inputs import NotLaidOutYet, inputs_of
from layout.services import NoLightType, draft_of

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


def layout_now(room) -> RoomLayout | None:
    """What the room's readings, build-up and draft give today; None where that can't be laid out."""
    try:
        return lay_out(inputs_of(room, draft_of(room)))
    except (LengthError, NotLaidOutYet, NoLightType):
        return None


def is_behind(revision, now: RoomLayout | None) -> bool:
    """Whether a card printed from this revision would say other numbers than the room as it is now entered."""
    return now is None or frozen.freeze_result(now) != revision.result
