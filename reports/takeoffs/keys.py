"""Under which key a room's lines are kept: all they are counted from, and the program that counts. No counting here.

A table that hangs on a room is part of the key unless it is named in APART. Too much in it counts a room once more for
nothing; too little would show an old number.
"""

import hashlib
from functools import lru_cache
from pathlib import Path

from layout.models import LayoutRevision, RevisionMark
from projects.catalogue.models import ControlType, FixtureType
from projects.jobs.circuits import home_of
from projects.jobs.models import Circuit, Room
from projects.platform.tenancy import ShopRecord
from reports.takeoffs.models import AskedItem

ROOT = Path(__file__).resolve().parents[2]
COUNTS = (
    "layout/engine", "reports/estimating", "reports/contents.py", "reports/wired.py", "reports/takeoffs/counting.py",
    "projects/catalogue/tables.py", "projects/jobs/circuits.py",
)  # fmt: skip

# Hangs on a room and is counted from nowhere: what was measured or drafted reaches a takeoff only by a revision.
APART = frozenset({
    "jobs.Room",  # those made from it: each counts for itself
    "jobs.StageEvent", "jobs.MeasurementSet", "jobs.SurfaceLayer",
    "ceilings.Ceiling",
    "layout.Draft", "layout.WayTaken", "layout.SiteMove", "layout.PlanPicture", "layout.LayoutRevision",
    "takeoffs.RoomLines",
    "wiring.Pull", "alike.Follows",
})  # fmt: skip
# What comes of a count or is worked out beside it, never before it
AFTER = frozenset({
    "reports", "prices", "purchasing", "bids", "changes", "light", "sound", "stages", "checks", "inspections",
    "photos", "crews", "as_built", "field", "approvals", "furniture",
})  # fmt: skip
NEVER_COUNTS = frozenset({
    "version", "created_at", "updated_at", "stage", "stage_since", "waits_for", "note", "held_up", "held_up_why",
    "held_up_since", "trashed_at", "trashed_by", "type_room",
})  # fmt: skip


def keys_of(job, rooms, rules_digest):
    """room's pk -> key, for these rooms (a queryset) of a job: one query for each table, however many rooms."""
    parts = {}
    common = repr((_program(), rules_digest))
    own = _columns(Room)
    for row in rooms.values_list("pk", *own):
        parts[row[0]] = [common, repr(row)]
    newest = _revisions(job, rooms)
    types = _all_types(job.shop_id)
    used = _types(job, newest, types)
    for room_id, (revision_id, told) in newest.items():
        parts[room_id] += [repr(told), *used.get(revision_id, ())]
    for model, name in _tables():
        mine = _columns(model)
        place = mine.index("fixture_type_id") if "fixture_type_id" in mine else None
        for room_id, *row in _rows(model, job).filter(**{f"{name}__in": rooms}).values_list(f"{name}_id", *mine):
            parts[room_id].append(repr((model._meta.label, row, types[row[place]] if place is not None else None)))
    circuits, fed = _circuits(job)
    for room_id, told in fed:
        if room_id in parts:
            parts[room_id].append(repr(told))
    for text in (*_of_the_job(job), repr(circuits)):
        for room in parts.values():
            room.append(text)
    return {room_id: hashlib.sha256("\n".join(told).encode()).hexdigest() for room_id, told in parts.items()}


def _columns(model):
    return [field.attname for field in model._meta.concrete_fields if field.name not in NEVER_COUNTS]


@lru_cache
def _tables():
    """Every table that hangs on a room, but for those that are counted from nowhere."""
    return [
        (relation.related_model, relation.field.name)
        for relation in Room._meta.related_objects
        if relation.related_model._meta.label not in APART
        and relation.related_model._meta.app_label not in AFTER
        and not relation.many_to_many
    ]


def _rows(model, job):
    rows = model.objects.of(job.shop_id) if issubclass(model, ShopRecord) else model.objects
    return rows.order_by("pk")


def _of_the_job(job):
    """What bears on a room's counts and hangs on the job or the shop, circuits apart: asked items, controls."""
    asked = AskedItem.objects.filter(job=job, room=None).order_by("item").values_list("item")
    controls = _rows(ControlType, job).values_list(*_columns(ControlType))
    return [repr(list(rows)) for rows in (asked, controls)]


def _circuits(job):
    """(the job's circuits as they stand, (room's pk, what feeds it) for every room that another one feeds)."""
    own = _columns(Circuit)
    room = "switch_zones__room"
    zone = ("homerun_room_id", f"{room}_id", f"{room}__name", f"{room}__cancelled", f"{room}__trashed_at")
    rows = _rows(Circuit, job).filter(job=job).order_by("pk", f"{room}_id").values_list("pk", *own, *zone)
    circuits, on = {}, {}
    for pk, *row in rows:
        circuits[pk] = row[: len(own)]
        chosen, room_id, name, cancelled, trashed_at = row[len(own) :]
        if room_id is not None and not cancelled and trashed_at is None:
            on.setdefault((pk, chosen), {})[room_id] = name
    fed = []
    for (pk, chosen), names in on.items():
        home = home_of(chosen, names)
        fed += [(room_id, ("fed", pk, home, names[home])) for room_id in names if room_id != home]
    return list(circuits.values()), fed


def _revisions(job, rooms):
    """room's pk -> (its newest revision's pk, what of it is counted from besides its marks' types)."""
    told = [name for name in _columns(LayoutRevision) if name not in ("inputs", "result", "token")]
    rows = LayoutRevision.objects.of(job.shop_id).filter(room__in=rooms).order_by("number")
    return {row[0]: (row[1], row) for row in rows.values_list("room_id", "pk", *told)}


def _types(job, newest, types):
    """revision's pk -> the fixture types its marks are cut for, as they stand in the catalog. The marks themselves
    are in the revision's digest.
    """
    wanted = {revision_id for revision_id, _ in newest.values()}
    marks = RevisionMark.objects.filter(revision__room__job=job).order_by("revision_id", "kind", "fixture_type_id")
    found = {}
    for revision_id, kind, type_id in marks.values_list("revision_id", "kind", "fixture_type_id").distinct():
        if revision_id in wanted:
            found.setdefault(revision_id, []).append(repr((kind, types[type_id])))
    return found


def _all_types(shop_id):
    rows = FixtureType.objects.of(shop_id).values_list("pk", *_columns(FixtureType))
    return {row[0]: row for row in rows}


@lru_cache
def _program():
    """The digest of all that counts: another program may count otherwise, and then nothing kept is taken."""
    seen = hashlib.sha256()
    for place in COUNTS:
        path = ROOT / place
        for file in sorted(path.rglob("*.py")) if path.is_dir() else [path]:
            seen.update(str(file.relative_to(ROOT)).encode())
            seen.update(file.read_bytes())
    for file in sorted((ROOT / "fixtures").glob("*.json")):
        if file.name != "demo.json":
            seen.update(file.read_bytes())
    return seen.hexdigest()
