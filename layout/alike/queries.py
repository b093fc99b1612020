"""Reads of rooms alike: a type with all that was made from it, and how each stands against it, part by part."""

import hashlib
import json
from dataclasses import dataclass
from enum import StrEnum

from django.db.models import OuterRef, Subquery

from layout.alike.parts import ONE, PARTS, ROWS
from layout.models import LayoutRevision
from projects.jobs.models import LAST_STAGE, Room

MOST_ALIKE = 400  # of one type


class Stands(StrEnum):
    """How one part of a room stands against its type's."""

    SAME = "same"
    DIFFERS = "differs"  # somebody gave this room something of its own
    BEHIND = "behind"  # as its type was; the type has changed since


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
    # A subquery, not a join with its MAX: grouping by all these columns took PostgreSQL many seconds.
    issued = LayoutRevision.objects.of(type_room.shop_id).filter(room=OuterRef("pk")).order_by("-number")
    of_shop = of_shop.annotate(newest=Subquery(issued.values("number")[:1]))
    first = of_shop.get(pk=type_room.pk)
    digests = _digests(first)
    rooms = list(of_shop.filter(type_room=first).order_by("pk")[:MOST_ALIKE])
    return Family(first, digests, [_standing(room, digests) for room in rooms])


def _digests(room):
    return {part.key: part.digest(room) for part in PARTS}


def _standing(room, of_type):
    own, equal = _digests(room), equal_of(room)
    stands = {}
    for key, digest in own.items():
        as_it_was = equal.get(key) == digest
        stands[key] = Stands.SAME if digest == of_type[key] else Stands.BEHIND if as_it_was else Stands.DIFFERS
    return OfAKind(room, stands, own, room.newest)


def equal_of(room):
    """{part: digest} of what the room and its type had alike when they were last made equal."""
    kept = getattr(room, "follows", None)
    return json.loads(kept.equal) if kept else {}
