"""Reads of furniture, through the room."""

from dataclasses import dataclass

from django.http import Http404

from layout.engine.room import RoomLayout
from layout.furniture.models import Piece
from layout.models import LayoutRevision
from layout.queries import latest_revision, layout_now
from layout.services import NotAsIssued, thawed


def piece_of(room, piece_id):
    found = room.furniture.filter(pk=piece_id).select_related("left_by__user").first()
    if found is None:
        raise Http404
    return found


def pieces_of(room) -> list[Piece]:
    return list(room.furniture.select_related("left_by__user"))


def kept_of(revision):
    return list(revision.furniture.all()) if revision else []


@dataclass(frozen=True, slots=True)
class Stand:
    """What pieces are held against: the newest revision, or the draft before one is issued. refused: why neither."""

    revision: LayoutRevision | None
    layout: RoomLayout | None
    refused: str = ""


def stand_of(room) -> Stand:
    revision = latest_revision(room)
    try:
        return Stand(revision, thawed(revision) if revision else layout_now(room))
    except NotAsIssued as error:
        return Stand(revision, None, str(error))
