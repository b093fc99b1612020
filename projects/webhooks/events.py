"""What can be told, in the trade's words: which change of which table is which event. Parts above add their own.

A message says what happened and to which record, with the record's number and its address in the API. It never says a
price, a name or a word that somebody typed: who gets it asks the API with a token, and is told what that one may know.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy as _

Row = Mapping[str, Any]  # columns of the history, changed ones alone where a row was changed


@dataclass(frozen=True, slots=True)
class Event:
    """name: as programs know it. words: for people. table, did: which entries of the history; `when` tells the rest.

    where: the name of an address in the API. `ids` are its parts, each from a column of the entry: record, job, room.
    """

    name: str
    words: str
    table: str
    did: str
    where: str
    ids: Mapping[str, str]
    when: Callable[[Row, Row], bool] = lambda before, after: True


EVENTS: dict[str, Event] = {}
PING = "webhook.tried"


def event(name, words, table, did, where, when=lambda before, after: True, **ids) -> None:
    """Add one. In an app, do it in a module that its AppConfig.ready imports."""
    EVENTS[name] = Event(name, words, table, did, where, ids, when)


def came(column: str) -> Callable[[Row, Row], bool]:
    """What was empty is filled in."""
    return lambda before, after: not before.get(column) and bool(after.get(column))


def went(column: str) -> Callable[[Row, Row], bool]:
    return lambda before, after: bool(before.get(column)) and column in after and not after[column]


def became(column: str, value: str) -> Callable[[Row, Row], bool]:
    return lambda before, after: after.get(column) == value != before.get(column)


def is_(column: str, value: str) -> Callable[[Row, Row], bool]:
    return lambda before, after: after.get(column) == value


def choices() -> list[tuple[str, str]]:
    return [(name, each.words) for name, each in sorted(EVENTS.items())]


ROOM = {"where": "room", "room_id": "room"}
JOB = {"where": "job", "job_id": "job"}

event("job.opened", _("a job was made"), "jobs_job", "added", "job", job_id="record")
event("room.added", _("a room was added"), "jobs_room", "added", **ROOM)
event("room.trashed", _("a room was put in the trash"), "jobs_room", "changed", when=came("trashed_at"), **ROOM)
event("room.restored", _("a room came back from the trash"), "jobs_room", "changed", when=went("trashed_at"), **ROOM)
event("room.moved", _("a room moved to another stage"), "jobs_stageevent", "added", **ROOM)
event("room.measured", _("a room was measured"), "jobs_measurementset", "added", **ROOM)
event("photo.kept", _("a photo was kept"), "photos_photo", "added", **ROOM)
event("punch.opened", _("a punch item was written"), "photos_punchitem", "added", **ROOM)
event("punch.closed", _("a punch item was closed"), "photos_punchitem", "changed", when=came("closed_at"), **ROOM)
