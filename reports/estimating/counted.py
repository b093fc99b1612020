"""Rooms of a job as they are counted: each with what it rests on and where its marks stand. Knows no counting."""

from __future__ import annotations

from dataclasses import dataclass

from layout.engine.wiring.chain import Point
from reports.estimating.takeoff import Basis, JobTakeoff, RoomContents, RoomTakeoff


@dataclass(frozen=True, slots=True)
class CountedMark:
    """One hole. at: its center from the left and the door framing; None where that isn't known."""

    ident: str
    kind: str
    zone: str
    type_key: str
    name: str
    at: Point | None


@dataclass(frozen=True, slots=True)
class CountedRoom:
    """A room's exact takeoff and what it rests on. revision, digest: of the layout; None and empty when counted.

    room_id: who the room is from one takeoff to the next, whatever it is called.
    """

    room_id: int
    name: str
    basis: Basis
    revision: int | None
    digest: str
    takeoff: RoomTakeoff
    marks: tuple[CountedMark, ...]


@dataclass(frozen=True, slots=True)
class CountedJob:
    """A job counted now. left_out: rooms with neither a layout nor counts; they are in no sum, and that is said."""

    rooms: tuple[CountedRoom, ...]
    job: JobTakeoff
    rules_version: str
    left_out: tuple[str, ...] = ()


def marks_of(contents: RoomContents) -> tuple[CountedMark, ...]:
    """A laid out room's marks; a counted room has none."""
    if contents.basis is Basis.COUNTED:
        return ()
    return tuple(
        CountedMark(each.id, each.kind.value, each.zone, each.type_key, each.name, each.at)
        for each in contents.fixtures
    )
