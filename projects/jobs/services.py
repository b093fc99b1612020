"""Changes to jobs and rooms, each in one transaction, each named as the trade names it."""

from copy import copy

from django.db import IntegrityError, models, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.accounts.models import Shop
from projects.catalogue.tables import ceiling_systems, layers
from projects.jobs.models import (
    ROOM_POINTS,
    WALLS,
    FixtureCount,
    Job,
    MeasurementSet,
    Reading,
    Room,
    SpeakerWiring,
    StageEvent,
    Subject,
    SurfaceLayer,
    SurveyKind,
    SwitchZone,
    WirePoint,
)
from projects.platform.tenancy import save_from

MOST_COPIES = 50
LONGEST_STEM = 74  # of a room's name, which has 80, so that a number fits behind it


class NameTaken(Exception):
    """A job number or a room name is already used. `field` is the box to change."""

    def __init__(self, field, message):
        super().__init__(message)
        self.field = field


class InTheField(Exception):
    """Rooms of the job stand where other kinds of job ask other things: it keeps its kind. field: the box."""

    field = "runs_as"

    def __init__(self):
        super().__init__(
            _("Rooms of this job are past stage %(stage)s: what they were asked so far belongs to how it runs. "
              "Send them back to it first, or put the others into a job of their own.") % {"stage": ALIKE_UNTIL}
        )  # fmt: skip


ALIKE_UNTIL = 4  # released: up to here all kinds of job ask the same (templates of fixtures/stages.json)
# What else goes along when a room is copied; the parts above register here: f(original, copy).
on_copy = []
# What else turns when a room's zero corner or its rows are turned: f(room before, room after).
on_turn = []
TURNS = ("zero_x", "zero_y", "rows_run")


@transaction.atomic
def open_job(shop, **fields):
    """Raises NameTaken."""
    return _saved(Job(shop=shop, **fields))


def change_job(job, seen_version, changes):
    """Raises StaleVersion, NameTaken, InTheField."""
    with _names_told(), transaction.atomic():
        if changes.get("runs_as", job.runs_as) != job.runs_as:
            _refuse_in_the_field(job)
        return save_from(job, seen_version, changes, at=timezone.now())


def _refuse_in_the_field(job):
    """Else a room could go past a hold point as one kind of job, and be another kind afterwards."""
    rooms = Room.everything.of(job.shop_id).filter(job=job).order_by("pk")
    if any(stage > ALIKE_UNTIL for stage in rooms.select_for_update(no_key=True).values_list("stage", flat=True)):
        raise InTheField


@transaction.atomic
def next_job(shop, **fields):
    """A job under the next free number. For the person on site: names can be added later."""
    # The shop's row is the lock: two people who begin at once don't both take the next number.
    Shop.objects.select_for_update(no_key=True).get(pk=shop.pk)
    taken = set(Job.everything.of(shop).values_list("number", flat=True))  # one in the trash may come back
    number = next(str(n) for n in range(len(taken) + 1, 2 * len(taken) + 2) if str(n) not in taken)
    return _saved(Job(shop=shop, number=number, **{"name": _("Job %(number)s") % {"number": number}, **fields}))


@transaction.atomic
def add_room(job, *, name="", **fields):
    """A room with its ceiling system's usual build-up. Without a name it is Room 1, Room 2, … Raises NameTaken."""
    room = _saved(Room(shop=job.shop, job=job, name=name or _free_name(job, _("Room")), **fields))
    lay_usual_build_up(room)
    return room


def change_room(room, seen_version, changes):
    """Raises StaleVersion, NameTaken."""
    before = copy(room)  # save_from writes the changes into the record it is given
    with _names_told(), transaction.atomic():
        after = save_from(room, seen_version, changes, at=timezone.now())
        if any(getattr(before, name) != getattr(after, name) for name in TURNS):
            for turn in on_turn:
                turn(before, after)
    return after


def lay_usual_build_up(room):
    """Start from the ceiling system's usual layers and gap. Source: fixtures/ceiling_systems.json."""
    placed, gaps = usual_build_up(room.ceiling_system)
    set_build_up(room, placed)
    for name, gap in gaps.items():
        setattr(room, name, gap)
    room.save(update_fields=list(gaps))


def usual_build_up(ceiling_system):
    """((surface, name, thickness) of each layer as set_build_up takes them, the room's gaps by their columns)."""
    system, table = ceiling_systems()[ceiling_system], layers()
    sides = ("door", "left", "far", "right")
    placed = [(side, key) for side in sides for key in system.wall_layers]
    placed += [("ceiling", key) for key in system.ceiling_layers]
    named = [(surface, table[key].name, table[key].thickness) for surface, key in placed]
    return named, {f"gap_{side}": system.perimeter_gap for side in sides}


@transaction.atomic
def set_build_up(room, placed):
    """Replace all layers. placed: (surface, name, thickness) from the framing inward, in order on each surface."""
    room.layers.all().delete()
    SurfaceLayer.objects.bulk_create(placed_layers(room, placed))


def placed_layers(room, placed):
    """The layers as rows that are not stored yet, each with its place on its surface."""
    positions: dict[str, int] = {}
    for surface, name, thickness in placed:
        positions[surface] = positions.get(surface, 0) + 1
        yield SurfaceLayer(room=room, surface=surface, position=positions[surface], name=name, thickness=thickness)


@transaction.atomic
def change_build_up(room, seen_version, placed, changes):
    """Layers, gaps, ceiling system and who holds the difference, as one save. Raises StaleVersion."""
    stored = save_from(room, seen_version, changes, at=timezone.now())
    set_build_up(stored, placed)
    return stored


@transaction.atomic
def record_measurements(room, readings, *, by=None, **fields):
    """Add a measurement set; earlier ones stay. readings: (subject, ordinal, value, height or None)."""
    visit = MeasurementSet(room=room, entered_by=by, entered_at=timezone.now(), **fields)
    visit.clean_fields()
    visit.save()
    rows = [
        Reading(measurement_set=visit, subject=subject, ordinal=ordinal, value=value, taken_at_height=height)
        for subject, ordinal, value, height in readings
    ]
    Reading.objects.bulk_create(rows)
    _touch(room)
    return visit


@transaction.atomic
def set_counts(room, counts):
    """What the room is to have. counts: (fixture_type, zone, count or None)."""
    room.counts.all().delete()
    FixtureCount.objects.bulk_create(
        FixtureCount(room=room, fixture_type=fixture_type, zone=zone, count=count)
        for fixture_type, zone, count in counts
    )
    _touch(room)


@transaction.atomic
def set_wire_points(room, points):
    """The room's own: its switch, panel and rack. points: a dict each of what, its place, beyond and story."""
    room.wire_points.filter(zone="", what__in=ROOM_POINTS).delete()
    WirePoint.objects.bulk_create(WirePoint(room=room, **point) for point in points)
    _touch(room)


@transaction.atomic
def change_counts(room, seen_version, counts, points):
    """Counts and wire points as one save. Returns the room as stored. Raises StaleVersion."""
    stored = save_from(room, seen_version, {}, at=timezone.now())
    set_counts(stored, counts)
    set_wire_points(stored, points)
    stored.refresh_from_db(fields=("version", "updated_at"))  # each of the two counts as a change of the room
    return stored


def move_stage(room, stage, *, by=None, note="", waits_for="", at=None):
    """Write that a room went to a stage, and who must act next. What the stage asks is asked in projects.stages."""
    return move_stages([room], stage, by=by, note=note, waits_for=waits_for, at=at)[0]


@transaction.atomic
def move_stages(rooms, stage, *, by=None, note="", waits_for="", at=None):
    """The same for several rooms of one shop: one event each, in a fixed number of queries. History only grows."""
    at = at or timezone.now()
    events = [
        StageEvent(room=room, came_from=room.stage, went_to=stage, note=note, by=by, at=at) for room in rooms
    ]
    for event in events:
        event.clean_fields(exclude=("room", "by"))
    StageEvent.objects.bulk_create(events)
    here = Room.objects.of(rooms[0].shop_id).filter(pk__in=[room.pk for room in rooms])
    here.exclude(stage=stage).update(stage=stage, stage_since=at)  # who stays where it is came there no later
    here.update(waits_for=waits_for, version=models.F("version") + 1, updated_at=timezone.now())
    return events


@transaction.atomic
def copy_room(room, times):
    """`times` copies: same build-up, counts, points and layout draft; sizes come along as 'from a plan'.

    Nothing is claimed to be measured in a copy: someone still has to tape it.
    """
    return [_copy_once(room) for _n in range(times)]


def _copy_once(room):
    twin = Room.objects.of(room.shop_id).get(pk=room.pk)
    twin.pk, twin._state.adding = None, True
    twin.version, twin.stage, twin.stage_since, twin.waits_for = 1, 0, timezone.now(), ""
    twin.held_up, twin.held_up_why, twin.held_up_since = "", "", None
    twin.name = _free_name(room.job, room.name)
    twin.save()
    set_build_up(twin, [(layer.surface, layer.name, layer.thickness) for layer in room.layers.all()])
    FixtureCount.objects.bulk_create(
        FixtureCount(room=twin, fixture_type_id=c.fixture_type_id, zone=c.zone, count=c.count)
        for c in room.counts.all()
    )
    WirePoint.objects.bulk_create(
        WirePoint(
            room=twin,
            what=p.what,
            zone=p.zone,
            from_left=p.from_left,
            from_door=p.from_door,
            height=p.height,
            beyond=p.beyond,
            story=p.story,
        )
        for p in room.wire_points.all()
    )
    _copy_switching(room, twin)
    if visit := _visit_to_copy(room):
        record_measurements(
            twin,
            [
                (r.subject, r.ordinal, r.value, r.taken_at_height)
                for r in visit.readings.all()
                if r.subject in (*WALLS, Subject.HEIGHT) and r.ordinal == 1
            ],
            kind=SurveyKind.PLAN,
            taken_on=visit.taken_on,
            taken_by=visit.taken_by,
            note=_("copied from %(room)s; not measured here") % {"room": room.name},
        )
    for also in on_copy:
        also(room, twin)
    return twin


def _copy_switching(room, twin):
    """On no circuit: what a circuit carries already isn't loaded twice unasked."""
    SwitchZone.objects.bulk_create(
        SwitchZone(
            room=twin,
            letter=zone.letter,
            purpose=zone.purpose,
            control=zone.control,
            control_type_id=zone.control_type_id,
            box=zone.box,
            place=zone.place,
            hung=zone.hung,
        )
        for zone in room.switch_zones.all()
    )
    for wiring in SpeakerWiring.objects.filter(room=room):
        wiring.pk, wiring.room, wiring._state.adding = None, twin, True
        wiring.save()


def _visit_to_copy(room):
    """The newest set of framing sizes, else of planned ones. A finished ceiling is no framing: it stays behind."""
    sized = room.measurement_sets.filter(readings__subject__in=WALLS).distinct()
    return (
        sized.filter(kind=SurveyKind.FRAMING).order_by("pk").last()
        or sized.filter(kind=SurveyKind.PLAN).order_by("pk").last()
    )


def _touch(room):
    Room.objects.of(room.shop_id).filter(pk=room.pk).update(version=models.F("version") + 1, updated_at=timezone.now())


def _free_name(job, stem):
    Job.objects.of(job.shop_id).select_for_update(no_key=True).get(pk=job.pk)  # or two would find the same name free
    taken = set(Room.everything.of(job.shop_id).filter(job=job).values_list("name", flat=True))
    stem = (stem.rstrip("0123456789").rstrip() or stem)[:LONGEST_STEM]
    return next(name for n in range(1, len(taken) + 3) if (name := f"{stem} {n}") not in taken)


def _saved(record):
    record.clean_fields()
    with _names_told(), transaction.atomic():
        record.save()
    return record


class _names_told:
    """Turn the database's word about a taken name into one that names the box."""

    def __enter__(self):
        return self

    def __exit__(self, kind, error, traceback):
        if not isinstance(error, IntegrityError):
            return False
        # The first line names the constraint; PostgreSQL's second repeats what was typed.
        told = str(error).lower().splitlines()[0]
        if "unique" not in told:
            return False
        if "number" in told and "job" in told:
            raise NameTaken("number", _("Another job has this number. Give a different one.")) from error
        if "name" in told:
            raise NameTaken("name", _("Another room of this job has this name. Give a different one.")) from error
        return False
