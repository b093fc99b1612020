"""Changes to what is set for a room's light, and readings added to its log: each one save, in one transaction."""

import json
from datetime import timedelta
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from layout.engine.lengths import Unit
from layout.light.models import (
    LightAim,
    LightSetup,
    LightTask,
    LightUnit,
    LightZone,
    MeterReading,
)
from projects.jobs.models import Room
from projects.platform.tenancy import save_from

PRESSED_TWICE = timedelta(seconds=10)
ROWS = {"zones": LightZone, "aims": LightAim, "tasks": LightTask}
COLUMNS = tuple(
    field.name
    for field in LightSetup._meta.concrete_fields
    if field.name not in ("id", "shop", "room", "version", "created_at", "updated_at")
)


def setup_of(room):
    """The room's setup with its rows; until one is kept, an unsaved one of the usual values. Stores nothing."""
    found = (
        LightSetup.objects.of(room.shop_id)
        .filter(room=room)
        .prefetch_related("zones__light_type", "aims", "tasks")
        .first()
    )
    return found or LightSetup(room=room, shop_id=room.shop_id, target_unit=unit_of(room.job.tape))


def unit_of(tape):
    """Footcandles where lengths are feet and inches."""
    return LightUnit.LUX if tape.unit is Unit.MM else LightUnit.FOOTCANDLES


def _kept(setup):
    """The setup as stored; one that was not kept yet is stored now."""
    if setup.pk is not None:
        return setup
    # The room's row is the lock: of two people who keep a first setup, the second finds the first one's.
    Room.objects.of(setup.shop_id).select_for_update().get(pk=setup.room_id)
    found = LightSetup.objects.of(setup.shop_id).filter(room_id=setup.room_id).first()
    if found is None:
        setup.save()
    return found or setup


@transaction.atomic
def change_setup(setup, seen_version, changes, **rows):
    """Save columns and, of zones, aims and tasks, those given: each a list of dicts that replaces what stands.

    Raises StaleVersion.
    """
    stored = save_from(_kept(setup), seen_version, changes, at=timezone.now())
    for name, given in rows.items():
        getattr(stored, name).all().delete()
        made = [ROWS[name](setup=stored, **one) for one in given]
        for one in made:
            one.clean_fields(exclude=["setup"])
        ROWS[name].objects.bulk_create(made)
    return stored


@transaction.atomic
def add_reading(room, *, by, dims, predicted_lx=None, digest="", **fields):
    """dims: zone letter -> percent it was at when read. Readings are never changed: a wrong one is read again.

    A button pressed twice adds it once: the same person's same reading of moments ago is given back.
    """
    Room.objects.of(room.shop_id).select_for_update().get(pk=room.pk)
    written = json.dumps(dims, sort_keys=True, separators=(",", ":"))
    since = timezone.now() - PRESSED_TWICE
    rows = MeterReading.objects.of(room.shop_id).filter(room=room, entered_by=by, entered_at__gte=since, dims=written)
    same = rows.filter(**fields).first()
    if same is not None:
        return same
    record = MeterReading(
        room=room, shop_id=room.shop_id, entered_by=by, entered_at=timezone.now(),
        predicted_lx=None if predicted_lx is None else round(Decimal(repr(float(predicted_lx))), 3),
        digest=digest, dims=written, **fields,
    )  # fmt: skip
    record.clean_fields()
    record.save()
    return record
