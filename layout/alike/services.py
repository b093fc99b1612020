"""Rooms made as one of many: how they stand against the room they were made from, and changes handed on to them."""

import hashlib
import json
from dataclasses import dataclass
from enum import StrEnum

from django.db import transaction
from django.db.models import F, Max
from django.utils import timezone

from layout.alike.models import Follows
from layout.alike.parts import ONE, PARTS, ROWS
from projects.jobs import services
from projects.jobs.models import LAST_STAGE, Room

MOST_ALIKE = 400  # of one type
MOST_AT_ONCE = 100


class Stands(StrEnum):
    """How one part of a room stands against its type's."""

    SAME = "same"
    DIFFERS = "differs"  # somebody gave this room something of its own
    BEHIND = "behind"  # as its type was; the type has changed since


class LookAgain(Exception):
    """One of the rooms, or the type, was changed after the preview was made. Nothing was handed on."""


class TooManyAlike(Exception):
    """More rooms of one type than can be kept in step."""


@dataclass(frozen=True, slots=True)
class OfAKind:
    """One room of a type: by part how it stands, and its digests. number: of its newest revision, None for none."""

    room: Room
    stands: dict[str, Stands]
    digests: dict[str, str]
    number: int | None

    @property
    def differs(self):
        return [part for part in PARTS if self.stands[part.key] is Stands.DIFFERS]

    @property
    def behind(self):
        return [part for part in PARTS if self.stands[part.key] is Stands.BEHIND]

    @property
    def takes(self):
        """Whether there is a change for it. One that is cancelled or done is left as it is."""
        return bool(self.behind) and not self.room.cancelled and self.room.stage < LAST_STAGE


@dataclass(frozen=True, slots=True)
class Family:
    """A type room and the rooms made from it, in the order they were made."""

    type_room: Room
    digests: dict[str, str]
    rooms: list[OfAKind]

    @property
    def taking(self):
        return [each for each in self.rooms if each.takes]

    @property
    def seen(self):
        """Stands for all that a preview showed: another one when anything in it has changed."""
        told = [[each.room.pk, each.takes, each.digests, each.stands] for each in self.rooms]
        return hashlib.sha256(json.dumps([self.digests, told], sort_keys=True).encode()).hexdigest()[:32]


def type_of(room):
    """The room that is the type: the one it was made from, else itself. One in the trash is no type any more."""
    kind = room.type_room
    return kind if kind is not None and kind.trashed_at is None else room


def family_of(type_room) -> Family:
    """Read in as many queries for a hundred rooms as for one."""
    of_shop = Room.objects.of(type_room.shop_id).select_related(*ONE, "follows").prefetch_related(*ROWS)
    of_shop = of_shop.annotate(newest=Max("revisions__number"))
    first = of_shop.get(pk=type_room.pk)
    digests = _digests(first)
    rooms = list(of_shop.filter(type_room=first).order_by("pk")[:MOST_ALIKE])
    return Family(first, digests, [_standing(room, digests) for room in rooms])


def _digests(room):
    return {part.key: part.digest(room) for part in PARTS}


def _standing(room, of_type):
    own, equal = _digests(room), _equal(room)
    stands = {}
    for key, digest in own.items():
        as_it_was = equal.get(key) == digest
        stands[key] = Stands.SAME if digest == of_type[key] else Stands.BEHIND if as_it_was else Stands.DIFFERS
    return OfAKind(room, stands, own, room.newest)


def _equal(room):
    kept = getattr(room, "follows", None)
    return json.loads(kept.equal) if kept else {}


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
    equal = _equal(room) | {part.key: family.digests[part.key] for part in parts}
    Follows.objects.update_or_create(room=room, defaults={"equal": json.dumps(equal), "at": now})
