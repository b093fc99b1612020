"""Rooms made from another one, changes of a type handed on to them, and one of them let stand alone."""

import json

from django.db import transaction
from django.db.models import F
from django.utils import timezone

from layout.alike.models import Follows
from layout.alike.parts import PARTS
from layout.alike.queries import MOST_ALIKE, equal_of, family_of, type_of
from projects.jobs import services
from projects.jobs.models import Room

MOST_AT_ONCE = 100


class LookAgain(Exception):
    """One of the rooms, or the type, was changed after the preview was made. Nothing was handed on."""


class TooManyAlike(Exception):
    """More rooms of one type than can be kept in step."""


@transaction.atomic
def make_alike(type_room, *, times=0, names=()):
    """Rooms like this one, `times` of them or one for each name. Raises NameTaken, TooManyAlike."""
    there = Room.objects.of(type_room.shop_id).filter(type_room=type_room).count()
    if there + (len(names) or times) > MOST_ALIKE:
        raise TooManyAlike
    made = []
    for room in services.copy_room(type_room, len(names) or times):
        changes = {"type_room": type_room} | ({"name": names[len(made)]} if names else {})
        room.refresh_from_db(fields=["version"])  # what was copied into it moved it on
        made.append(services.change_room(room, room.version, changes))
    digests = family_of(type_room).digests
    Follows.objects.filter(room__in=made).delete()  # of the one they were copied from, were it one of many itself
    Follows.objects.bulk_create(Follows(room=room, equal=json.dumps(digests), at=timezone.now()) for room in made)
    return made


def copy_follows(room, twin):
    """Registered with projects.jobs: a copy of one of many is one of them too."""
    kept = Follows.objects.filter(room=room).first() if room.type_room_id else None
    if kept:
        Follows.objects.create(room=twin, equal=kept.equal, at=kept.at)


@transaction.atomic
def hand_on(type_room, seen):
    """Give every change of the type to the rooms that did not differ there. All of them, or none.

    seen: of the Family that was previewed. Returns how many rooms changed. Raises LookAgain.
    """
    list(Room.objects.of(type_room.shop_id).select_for_update().filter(pk=type_room.pk))
    list(Room.objects.of(type_room.shop_id).select_for_update().filter(type_room=type_room).order_by("pk"))
    family = family_of(type_room)
    if family.seen != seen:
        raise LookAgain
    for each in family.taking:
        _take(each.room, family, each.behind)
    return len(family.taking)


@transaction.atomic
def follow_again(room, keys):
    """A room of many gives up what it has of its own in these parts, and has its type's."""
    list(Room.objects.of(room.shop_id).select_for_update().filter(pk=room.pk))
    family = family_of(type_of(room))
    _take(room, family, [part for part in PARTS if part.key in keys])


@transaction.atomic
def stand_alone(room):
    """From now on no change of its type reaches it."""
    Follows.objects.filter(room=room).delete()
    return services.change_room(room, room.version, {"type_room": None})


def _take(room, family, parts):
    for part in parts:
        # Read anew: the part before it moved the room's version.
        part.take(Room.objects.of(room.shop_id).select_related("job__shop", "shop").get(pk=room.pk), family.type_room)
    now = timezone.now()
    Room.objects.of(room.shop_id).filter(pk=room.pk).update(version=F("version") + 1, updated_at=now)
    equal = equal_of(room) | {part.key: family.digests[part.key] for part in parts}
    Follows.objects.update_or_create(room=room, defaults={"equal": json.dumps(equal), "at": now})
