"""Reads of furniture, through the room."""

from django.http import Http404

from layout.furniture.models import Piece


def piece_of(room, piece_id):
    found = room.furniture.filter(pk=piece_id).select_related("left_by__user").first()
    if found is None:
        raise Http404
    return found


def pieces_of(room) -> list[Piece]:
    return list(room.furniture.select_related("left_by__user"))


def kept_of(revision):
    return list(revision.furniture.all()) if revision else []
