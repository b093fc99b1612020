"""A job's rooms counted from their records: laid out ones by their newest revision, the others by counts alone.

Knows no pages, no prices. What was counted before is taken from where it is kept, as long as its key is the same.
"""

from collections import Counter
from dataclasses import replace

from django.db import DatabaseError, transaction
from django.db.models import Max, Prefetch
from django.utils.translation import gettext as _

from layout.engine.marks import Kind
from layout.engine.wiring.runs import Wiring
from layout.models import LayoutRevision
from projects.catalogue.tables import takeoff_rules
from projects.jobs.circuits import ALL_ON_ITS_CIRCUITS
from projects.jobs.models import Room
from reports.contents import BOXED, room_contents
from reports.estimating.brief_lines import brief_from_text, brief_to_text
from reports.estimating.counted import CountedJob, CountedRoom, marks_of
from reports.estimating.difference import room_difference
from reports.estimating.frozen_takeoff import room_from_text, room_to_text
from reports.estimating.takeoff import Basis, CableByCount, Fixture, RoomContents, job_takeoff, room_takeoff
from reports.takeoffs.keys import keys_of
from reports.takeoffs.models import AskedItem, RoomLines
from reports.takeoffs.rules import body_of, counted_by, rules_of

AT_ONCE = 500  # rooms whose records are in memory together
MOST_FOR_A_PAGE = 600  # rooms that a page counts anew while someone waits; more are counted as work
ENTERED = "entered for this room"
USUAL_ZONE = "A"  # what a layout calls the lights of a room with one switch


class MustBeCounted(Exception):
    """More rooms have to be counted anew than a page waits for. rooms: how many."""

    def __init__(self, rooms):
        super().__init__(rooms)
        self.rooms = rooms

    def __str__(self):
        words = _("%(rooms)s rooms have to be counted before they can be added up. Start the counting, then come back.")
        return words % {"rooms": self.rooms}


def rooms_of(job):
    return job.rooms.filter(cancelled=False)


def keys_now(job, seal=None):
    """The key of every room of a job as its records are now. seal: the digest of the shop's rules, where known."""
    return keys_of(job, rooms_of(job), seal or body_of(job.shop)[1])


def count_job(job, *, brief=False, at_most=None, keys=None, rules=None):
    """Every room of a job that is laid out or counted, and their sum, by the shop's rules: a CountedJob.

    brief: the rooms' quantities alone, without reasons, runs and marks: enough for every sum, and quick for thousands.
    at_most: so many rooms are counted anew. keys and rules: keys_now(job) and the shop's rules, where known already.
    Raises MustBeCounted for more, and NotAsIssued for a revision that no longer comes out as it was issued.
    """
    if keys is None or rules is None:
        rules, seal = counted_by(job.shop)
        keys = keys_now(job, seal)
    rooms, left_out = counted_rooms(job, brief=brief, at_most=at_most, keys=keys)
    asked = frozenset(AskedItem.objects.filter(job=job, room=None).values_list("item", flat=True))
    summed = job_takeoff([room.takeoff for room in rooms], rules, job.tape.unit, asked)
    return CountedJob(tuple(rooms), summed, rules.version, tuple(left_out))


def counted_rooms(job, only=None, *, brief=False, at_most=None, keys=None):
    """(the rooms, in the order they were entered; the names of those with neither layout nor counts).

    only: pks of rooms, instead of all.
    """
    rooms = rooms_of(job) if only is None else rooms_of(job).filter(pk__in=only)
    names = dict(rooms.order_by("pk").values_list("pk", "name"))
    keys = keys_of(job, rooms, body_of(job.shop)[1]) if keys is None else keys
    rows = RoomLines.objects.filter(room__in=rooms).values_list("room_id", "key", "brief" if brief else "body")
    kept = {room_id: text for room_id, key, text in rows if keys.get(room_id) == key}
    read = brief_from_text if brief else room_from_text
    found = {room_id: read(text) for room_id, text in kept.items() if text}
    stale = [room_id for room_id in names if room_id not in kept]
    if at_most is not None and len(stale) > at_most:
        raise MustBeCounted(len(stale))
    for start in range(0, len(stale), AT_ONCE):
        found |= count_again(job, stale[start : start + AT_ONCE], keys)
    return (
        [found[room_id] for room_id in names if found.get(room_id)],
        [name for room_id, name in names.items() if not found.get(room_id)],
    )


def stale_rooms(job):
    """The pks of rooms whose kept lines are not what would be counted now, and the key of every room."""
    keys = keys_now(job)
    kept = dict(RoomLines.objects.filter(room__in=rooms_of(job)).values_list("room_id", "key"))
    return [room_id for room_id in sorted(keys) if kept.get(room_id) != keys[room_id]], keys


def count_again(job, room_ids, keys):
    """Count these rooms and keep their lines: room's pk -> CountedRoom, or None for one that has nothing to count."""
    rules = rules_of(job.shop)
    found = {room.pk: count_room(room, rules) for room in rooms_to_count(job, room_ids)}
    _keep(found, keys)
    return found


def count_room(room, rules=None):
    """One room: by its newest revision, else by its counts; None when it has neither."""
    rules = rules or takeoff_rules()
    laid = list(room.revisions.all()[:1])
    if laid:
        return count_revision(room, laid[0], rules)
    contents = contents_by_count(room, rules)
    return contents and _counted(room, None, contents, rules)


def count_revision(room, revision, rules):
    """A room by one of its revisions, whether it is the newest or not."""
    return _counted(room, revision, room_contents(room, revision, rules), rules)


def contents_by_count(room, rules):
    """A room's contents from its fixture counts and feet per device, before anyone measures; None without counts.

    A count that was left open (as many as the limit asks for) is not known before there is a layout.
    """
    fixtures = [
        Fixture(
            "",
            count.kind,
            count.fixture_type.key,
            count.fixture_type.name,
            count.fixture_type.install,
            (count.zone or USUAL_ZONE) if count.kind is Kind.LIGHT else "",
        )
        for count in room.counts.all()
        for _number in range(count.count or 0)
    ]
    if not fixtures:
        return None
    return RoomContents(
        room.name,
        tuple(fixtures),
        Wiring((), ()),
        "remodel" if all(fixture.install == "old_work" for fixture in fixtures) else "open",
        BOXED if room.ceiling_system == "isolated" else frozenset(),
        Basis.COUNTED,
        _cable(room, fixtures, rules),
    )


def since_counts(room, laid, rules):
    """What a layout changed against the counts that stood before it: a RoomDifference, or None without counts."""
    contents = contents_by_count(room, rules)
    if contents is None:
        return None
    return room_difference(_counted(room, None, contents, rules), laid)


def _cable(room, fixtures, rules):
    own = {feet.device: feet.each for feet in room.device_feet.all()}
    numbers = Counter(fixture.kind.value for fixture in fixtures)
    return tuple(
        CableByCount(
            device,
            usual.cable,
            numbers[device],
            own.get(device, usual.length),
            ENTERED if device in own else usual.source,
        )
        for device, usual in rules.per_device.items()
        if numbers[device]
    )


def _counted(room, revision, contents, rules):
    boxes = tuple((zone.letter, zone.box) for zone in room.switch_zones.all() if zone.box)
    fed = frozenset(zone.letter for zone in room.switch_zones.all() if zone.circuit and zone.circuit.fed_from(room))
    contents = replace(contents, asked=contents.asked | _asked(room), boxes=boxes, fed=fed)
    return CountedRoom(
        room_id=room.pk,
        name=room.name,
        basis=contents.basis,
        revision=revision and revision.number,
        digest=revision.digest if revision else "",
        takeoff=room_takeoff(contents, rules),
        marks=marks_of(contents),
    )


def _asked(room):
    """What the room takes, and what every room of its job does."""
    return frozenset(each.item for each in room.job.asked_items.all() if each.room_id in (None, room.pk))


def rooms_to_count(job, room_ids):
    """Rooms with all they are counted from and their newest revision alone, in a fixed number of queries."""
    rooms = Room.objects.of(job.shop_id).filter(pk__in=room_ids)
    newest = rooms.annotate(newest=Max("revisions__pk")).exclude(newest=None).values_list("newest", flat=True)
    revisions = LayoutRevision.objects.of(job.shop_id).filter(pk__in=list(newest))
    return list(
        rooms.select_related("job__shop", "shop")
        .prefetch_related(
            "job__asked_items",
            "counts__fixture_type",
            "device_feet",
            *CONTENTS,
            Prefetch("revisions", revisions.prefetch_related("marks__fixture_type")),
        )
        .order_by("pk")
    )


# What room_contents reads of a room.
CONTENTS = (
    "wire_points", "hand_runs", "speaker_wiring", "switch_zones__control_type", "switch_zones__circuit",
    ALL_ON_ITS_CIRCUITS,
)  # fmt: skip


def _keep(found, keys):
    """So that the next reader need not count. A store that can't be written to now costs time, nothing else."""
    rows = [
        RoomLines(
            room_id=room_id,
            key=keys[room_id],
            brief=brief_to_text(room) if room else "",
            body=room_to_text(room) if room else "",
        )
        for room_id, room in found.items()
        if room_id in keys
    ]
    try:
        with transaction.atomic():
            RoomLines.objects.bulk_create(
                rows,
                batch_size=100,
                update_conflicts=True,
                unique_fields=["room"],
                update_fields=["key", "brief", "body"],
            )
    except DatabaseError:
        return
