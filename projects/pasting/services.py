"""A pasted list becomes rooms: all of them in one transaction, in as many queries for a thousand as for one."""

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.catalogue.models import FixtureType
from projects.jobs.models import FixtureCount, Job, MeasurementSet, Reading, Room, SurfaceLayer
from projects.jobs.services import placed_layers, usual_build_up

FIRST_SIGHT, SURVEYED = 0, 1  # stages: nothing but a name; somebody gave its sizes


class NotAllRight(Exception):
    """Some rows can't be entered, so none was. rows: all of them, the wrong ones with their errors."""

    def __init__(self, rows):
        super().__init__("some rows are wrong")
        self.rows = rows


def names_in(job):
    return set(job.rooms.values_list("name", flat=True))


def usual_types(shop):
    """What a plain count of lights or speakers is of: the catalog's first that is not retired. {} where it has none."""
    found = {}
    for each in FixtureType.objects.of(shop).filter(retired=False, kind__in=("light", "speaker")).order_by("pk"):
        found.setdefault(each.kind, each)
    return found


@transaction.atomic
def enter(job, rows, *, kind, by):
    """Raises NotAllRight; a name that was taken meanwhile is told like any other error."""
    # The job's row is the lock: two lists pasted at once, or a job that goes to the trash meanwhile, wait here.
    job = Job.objects.of(job.shop_id).select_for_update(no_key=True).select_related("shop").get(pk=job.pk)
    if any(row.errors for row in rows):
        raise NotAllRight(rows)
    try:
        with transaction.atomic():
            rooms = _rooms(job, rows)
    except IntegrityError as error:
        raise NotAllRight(_with_taken(rows, names_in(job))) from error
    _layers(rooms)
    _sizes(rooms, rows, kind, by)
    _counts(rooms, rows, usual_types(job.shop))
    return rooms


def _with_taken(rows, taken):
    words = _("Another room of this job is called %(name)s by now. Give a different name.")
    for row in rows:
        if row.values["name"] in taken:
            row.errors.append((str(_("Room")), words % {"name": row.values["name"]}))
    return rows


def _rooms(job, rows):
    rooms = []
    for row in rows:
        sized = row.values["left_right"] is not None
        rooms.append(Room(
            shop_id=job.shop_id, job=job, name=row.values["name"], level=row.values["level"],
            note=row.values["note"], ceiling_system=row.values["ceiling_system"],
            stage=SURVEYED if sized else FIRST_SIGHT, **usual_build_up(row.values["ceiling_system"])[1],
        ))  # fmt: skip
    return Room.objects.bulk_create(rooms, batch_size=500)


def _layers(rooms):
    usual = {system: usual_build_up(system)[0] for system in {room.ceiling_system for room in rooms}}
    layers = [layer for room in rooms for layer in placed_layers(room, usual[room.ceiling_system])]
    SurfaceLayer.objects.bulk_create(layers, batch_size=1000)


def _sizes(rooms, rows, kind, by):
    now = timezone.now()
    told = [(room, row) for room, row in zip(rooms, rows, strict=True) if row.values["left_right"] is not None]
    visits = MeasurementSet.objects.bulk_create(
        (
            MeasurementSet(
                room=room, kind=kind, taken_on=timezone.localdate(), taken_by=by.user.name if by else _("a list"),
                entered_by=by, entered_at=now, note=_("pasted from a list"),
            )
            for room, _row in told
        ),
        batch_size=500,
    )  # fmt: skip
    readings = []
    for visit, (_room, row) in zip(visits, told, strict=True):
        for subject, name in (("door", "left_right"), ("left", "door_far"), ("height", "height")):
            if row.values[name] is not None:
                readings.append(Reading(measurement_set=visit, subject=subject, value=row.values[name]))
    Reading.objects.bulk_create(readings, batch_size=1000)


def _counts(rooms, rows, usual):
    counts = []
    for room, row in zip(rooms, rows, strict=True):
        for kind, name in (("light", "lights"), ("speaker", "speakers")):
            if row.values[name] and kind in usual:
                counts.append(FixtureCount(room=room, fixture_type=usual[kind], count=row.values[name]))
    FixtureCount.objects.bulk_create(counts, batch_size=1000)
