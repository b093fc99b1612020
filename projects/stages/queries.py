"""Reads of stages: what the next step asks, what was passed and is open, where a room has been."""

from dataclasses import dataclass

from django.core.paginator import Paginator
from django.http import Http404

from projects.jobs.models import Room, StageEvent
from projects.stages.guards import GUARDS, Guard
from projects.stages.models import Pass, SideEvent
from projects.stages.order import guards_between

PAGE = 50


@dataclass(frozen=True, slots=True)
class Asked:
    """One guard of the way ahead. missing: what it says is lacking; empty where it is met."""

    guard: Guard
    missing: str


def open_passes(where):
    """Guards that were passed and are open, the oldest first: of a shop, or of one room."""
    if isinstance(where, Room):
        found = Pass.objects.of(where.shop_id).filter(room=where)
    else:
        found = Pass.objects.of(where).filter(room__cancelled=False, room__trashed_at=None)
    return found.filter(answered_at=None).select_related("room__job", "by__user")


def pass_of(room, pass_id):
    found = Pass.objects.of(room.shop_id).filter(room=room, pk=pass_id).first()
    if found is None:
        raise Http404
    return found


def look(asked: dict[str, list[Room]]) -> dict[str, dict[int, str]]:
    """Ask each guard once for all of its rooms: {guard: {room id: what is missing}}."""
    return {key: GUARDS[key].missing(rooms) for key, rooms in asked.items() if key in GUARDS and rooms}


def asked_of(room, goes_to) -> list[Asked]:
    """What the way to a later stage asks of a room, and what of it is missing now; nothing on the way back."""
    guards = guards_between(room.job, room.stage, goes_to)
    found = look({one.key: [room] for one in guards})
    return [Asked(one, found[one.key].get(room.pk, "")) for one in guards]


def history(room, page):
    """One page of where a room has been, the latest first: stage events and what happened beside them."""
    moves = StageEvent.objects.filter(room=room).order_by("at", "pk").values_list("at", "pk")
    turns = SideEvent.objects.of(room.shop_id).filter(room=room).order_by("at", "pk").values_list("at", "pk")
    told = sorted([(at, 0, pk) for at, pk in moves] + [(at, 1, pk) for at, pk in turns], reverse=True)
    found = Paginator(told, PAGE).get_page(page)
    wanted = ([pk for _at, kind, pk in found if kind == which] for which in (0, 1))
    events = (
        StageEvent.objects.select_related("by__user").prefetch_related("results", "passes__by__user"),
        SideEvent.objects.of(room.shop_id).select_related("by__user"),
    )
    by_id = [rows.in_bulk(ids) for rows, ids in zip(events, wanted, strict=True)]
    found.object_list = [by_id[kind][pk] for _at, kind, pk in found.object_list]
    return found


def page_of_open(shop, page, job=None):
    """One page of the shop's open passes, or of one job's."""
    found = open_passes(shop)
    return Paginator(found.filter(room__job=job) if job else found, PAGE).get_page(page)
