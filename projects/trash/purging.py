"""What goes for good after thirty days, and what stays in the trash because others still stand on it.

A room's rows that hold it (PROTECT) go with it only where their part said so: goes_with_room(Model). What nobody
named keeps the room: hours, material, orders, signed changes are the shop's books, and no room takes them along.
"""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, field

from django.db import transaction
from django.db.models import ProtectedError
from django.utils import timezone

from projects.jobs.models import Job, Room

KEPT = dt.timedelta(days=30)
AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class Belonging:
    """Rows that go along. path: from the model to the room or job. before(rows): called with what is about to go."""

    model: type
    path: str
    before: Callable | None = None


_OF_A_ROOM: list[Belonging] = []
_OF_A_JOB: list[Belonging] = []
_WORDS: dict[type, object] = {}
# f(room) -> why it has to stay although nothing holds it, in words; "" when it may go.
keeps_a_room: list[Callable] = []


def goes_with_room(model, path="room", *, before=None):
    """Said in an app's ready, of a table that is the room's own and holds it with PROTECT."""
    _OF_A_ROOM.append(Belonging(model, path, before))


def goes_with_job(model, path="job", *, before=None):
    _OF_A_JOB.append(Belonging(model, path, before))


def held_by(model, words):
    """How a table that keeps rooms and jobs in the trash is called where that is told."""
    _WORDS[model] = words


@dataclass(slots=True)
class Purged:
    """rooms, jobs: how many went. kept: (what stayed, the reason in words)."""

    rooms: int = 0
    jobs: int = 0
    kept: list[tuple[str, str]] = field(default_factory=list)


class _Held(Exception):
    """Something stands on it. The message says what."""


def purge(now=None) -> Purged:
    """Delete what has lain in the trash for KEPT or longer, in every shop: each room, then each job, by itself."""
    before = (now or timezone.now()) - KEPT
    told = Purged()
    told.rooms = _purged(Room, before, _delete_room, told)
    told.jobs = _purged(Job, before, _delete_job, told)
    return told


def _purged(model, before, delete, told):
    gone = 0
    due = model.everything.every_shop().filter(trashed_at__isnull=False, trashed_at__lte=before)
    for pk in list(due.order_by("pk").values_list("pk", flat=True)):
        try:
            gone += _one(due, pk, delete)
        except _Held as held:
            told.kept.append(held.args)
    return gone


@transaction.atomic
def _one(due, pk, delete):
    """Whether it went. Looked at again under a lock: somebody may have taken it out meanwhile."""
    record = due.select_for_update().filter(pk=pk).first()
    if record is None:
        return False
    delete(record)
    return True


def _delete_room(room):
    for why in (keep(room) for keep in keeps_a_room):
        if why:
            raise _Held(str(room), str(why))
    # Rooms made from it stand alone from now on.
    Room.everything.of(room.shop_id).filter(type_room=room).update(type_room=None)
    _delete(room, _OF_A_ROOM)


def _delete_job(job):
    _delete(job, _OF_A_JOB)


def _delete(record, belongings):
    """In whatever order the rows let go of each other; what is still held when nothing moves any more keeps it."""
    waiting = [(each, each.model._base_manager.filter(**{each.path: record})) for each in belongings]
    for each, rows in waiting:
        if each.before:
            each.before(rows)
    while waiting:
        left = [(each, rows) for each, rows in waiting if not _let_go(rows)]
        if len(left) == len(waiting):
            break
        waiting = left
    try:
        with transaction.atomic():
            record.delete()
    except ProtectedError as error:
        raise _Held(str(record), _names(error)) from error


def _let_go(rows):
    try:
        with transaction.atomic():
            rows.delete()
    except ProtectedError:
        return False
    return True


def _names(error):
    models = {type(each) for each in error.protected_objects}
    return ", ".join(sorted(str(_WORDS.get(model, model._meta.verbose_name_plural)) for model in models))
