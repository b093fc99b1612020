"""Changes to circuits, switch zones and how speakers are wired, each in one transaction."""

from django.db import IntegrityError, models, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.jobs.circuits import Circuit, SpeakerWiring, SwitchZone
from projects.jobs.models import ROOM_POINTS, WirePoint
from projects.platform.tenancy import save_from


class NumberTaken(Exception):
    """Another circuit of the job has this number."""

    def __str__(self):
        return str(_("Another circuit of this job has this number. Give a different one."))


def add_circuit(job, **fields):
    """Raises NumberTaken."""
    record = Circuit(shop_id=job.shop_id, job=job, **fields)
    record.clean_fields()
    with _number_told(), transaction.atomic():
        record.save()
    return record


def change_circuit(record, seen_version, changes):
    """Raises StaleVersion, NumberTaken."""
    with _number_told(), transaction.atomic():
        return save_from(record, seen_version, changes, at=timezone.now())


@transaction.atomic
def remove_circuit(record, seen_version):
    """Its zones stay, on no circuit. Raises StaleVersion."""
    save_from(record, seen_version, {}, at=timezone.now()).delete()


class _number_told:
    """Turn the database's word about a taken number into one that names it."""

    def __enter__(self):
        return self

    def __exit__(self, kind, error, traceback):
        if isinstance(error, IntegrityError) and "unique" in str(error).lower().splitlines()[0]:
            raise NumberTaken from error
        return False


@transaction.atomic
def change_switching(room, seen_version, zones, points, speakers):
    """A room's switch zones, their wire points and how its speakers are wired, as one save. Raises StaleVersion.

    zones: SwitchZone's fields, a dict each. points: WirePoint's, of zones' own switches, 3-way partners and the speaker
    control; the room's own switch, panel and rack stay. speakers: SpeakerWiring's; None: a run of its own each.
    """
    stored = save_from(room, seen_version, {}, at=timezone.now())
    stored.switch_zones.all().delete()
    SwitchZone.objects.bulk_create(SwitchZone(room=stored, **zone) for zone in zones)
    stored.wire_points.exclude(models.Q(zone="") & models.Q(what__in=ROOM_POINTS)).delete()
    WirePoint.objects.bulk_create(WirePoint(room=stored, **point) for point in points)
    SpeakerWiring.objects.filter(room=stored).delete()
    if speakers is not None:
        SpeakerWiring.objects.create(room=stored, **speakers)
    return stored
