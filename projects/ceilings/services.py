"""Changes to what is entered about a ceiling, each one save of the whole, in one transaction."""

import json

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.ceilings.models import (
    MOST_CORNERS,
    MOST_MEMBERS,
    MOST_REGIONS,
    MOST_RUNS,
    MOST_THINGS,
    Ceiling,
    Framing,
    JoistRun,
    OddMember,
    OutlineCorner,
    Region,
    RegionCorner,
    Thing,
)
from projects.ceilings.values import COLUMNS, Entered, entered
from projects.jobs.models import Room
from projects.platform.tenancy import save_from

ROWS = {"joists": JoistRun, "members": OddMember, "things": Thing, "corners": OutlineCorner}
ABOVE = {"id", "ceiling", "region"}  # of a row: what says whose it is, not what was entered


class TooMany(Exception):
    """More rows than a room may have. The message says of what, and how many it may have."""


class NothingBefore(Exception):
    """This is the first save: nothing stood here before it."""

    def __str__(self):
        return str(_("Nothing stood here before: there is no earlier save to put back."))


def ceiling_of(room) -> Ceiling:
    """What is entered about the room's ceiling; until something is, an unsaved record. Looking stores nothing."""
    return getattr(room, "ceiling", None) or Ceiling(room=room, shop=room.shop)


@transaction.atomic
def change_ceiling(ceiling, seen_version, entry: Entered):
    """Save all of it at once: what is left out is not there. Raises StaleVersion, TooMany."""
    check_counts(entry)
    ceiling = _kept(ceiling)
    before = json.dumps(snapshot(_fresh(ceiling)), separators=(",", ":"))
    stored = save_from(ceiling, seen_version, entry.columns | {"before": before}, at=timezone.now())
    _write_rows(stored, entry)
    _touch(stored)
    return stored


def put_back(ceiling, seen_version):
    """What stood here before the last save stands again; pressed twice, the last save does.

    Raises StaleVersion, NothingBefore.
    """
    if ceiling.pk is None or not ceiling.before:
        raise NothingBefore
    return change_ceiling(ceiling, seen_version, restored(json.loads(ceiling.before)))


def check_counts(entry: Entered):
    """Raises TooMany."""
    corners = len(entry.corners) + sum(len(corners) for _region, corners in entry.regions)
    for has, most, words in (
        (len(entry.joists), MOST_RUNS, _("%(has)s runs of joists: a room takes %(most)s.")),
        (len(entry.members), MOST_MEMBERS, _("%(has)s odd members: a room takes %(most)s.")),
        (len(entry.things), MOST_THINGS, _("%(has)s things in the way: a room takes %(most)s.")),
        (len(entry.regions), MOST_REGIONS, _("%(has)s parts at another height: a room takes %(most)s.")),
        (corners, MOST_CORNERS, _("%(has)s corners: a room takes %(most)s, its parts' corners counted in.")),
    ):
        if has > most:
            raise TooMany(words % {"has": has, "most": most})


def copy_ceiling(room, copy):
    """Registered with projects.jobs: a copied room has what the first one has, but nobody has looked there yet."""
    found = Ceiling.objects.of(room.shop_id).filter(room=room).first()
    if found is None:
        return
    entry = entered(found).with_columns(framing=Framing.UNSEEN.value, looked_by="", looked_on=None)
    twin = Ceiling(room=copy, shop_id=room.shop_id, **entry.columns)
    twin.save()
    _write_rows(twin, entry)


def _kept(ceiling):
    """The record as stored; one that was not kept yet is stored now."""
    if ceiling.pk is not None:
        return ceiling
    # The room's row is the lock: of two people who enter a first joist, the second finds the first one's.
    Room.objects.of(ceiling.shop_id).select_for_update().get(pk=ceiling.room_id)
    found = Ceiling.objects.of(ceiling.shop_id).filter(room_id=ceiling.room_id).first()
    if found is None:
        found = Ceiling(room_id=ceiling.room_id, shop_id=ceiling.shop_id)
        found.save()
    return found


def _fresh(ceiling):
    """As stored, whatever was done to the record in hand."""
    return entered(Ceiling.objects.of(ceiling.shop_id).prefetch_related("regions__corners").get(pk=ceiling.pk))


def _write_rows(ceiling, entry):
    for name, model in ROWS.items():
        getattr(ceiling, name).all().delete()
        model.objects.bulk_create(_bare(model, row, ceiling=ceiling) for row in getattr(entry, name))
    ceiling.regions.all().delete()
    for region, corners in entry.regions:
        stored = _bare(Region, region, ceiling=ceiling)
        stored.save()
        RegionCorner.objects.bulk_create(RegionCorner(region=stored, x=x, y=y) for x, y in corners)


def _bare(model, row, **above):
    """A row of its own with the same values: one from another ceiling keeps its place there."""
    return model(**{name: getattr(row, name) for name in _names(model)}, **above)


def _names(model):
    return [field.name for field in model._meta.concrete_fields if field.name not in ABOVE]


def _touch(ceiling):
    Room.objects.of(ceiling.shop_id).filter(pk=ceiling.room_id).update(updated_at=timezone.now())


# What stood here before, as JSON: lengths as whole nanometers, days as text


def snapshot(entry: Entered) -> dict:
    return {
        "columns": {name: _plain(Ceiling, name, value) for name, value in entry.columns.items()},
        **{name: [_plain_row(model, row) for row in getattr(entry, name)] for name, model in ROWS.items()},
        "regions": [
            _plain_row(Region, region) | {"corners": [[int(x), int(y)] for x, y in corners]}
            for region, corners in entry.regions
        ],
    }


def restored(kept: dict) -> Entered:
    regions = []
    for one in kept["regions"]:
        corners = tuple((_read(RegionCorner, "x", x), _read(RegionCorner, "y", y)) for x, y in one["corners"])
        regions.append((_read_row(Region, one), corners))
    return Entered(
        {name: _read(Ceiling, name, kept["columns"][name]) for name in COLUMNS if name in kept["columns"]},
        regions=tuple(regions),
        **{name: tuple(_read_row(model, row) for row in kept[name]) for name, model in ROWS.items()},
    )


def _plain_row(model, row):
    return {name: _plain(model, name, getattr(row, name)) for name in _names(model)}


def _plain(model, name, value):
    value = model._meta.get_field(name).get_prep_value(value)
    return value.isoformat() if hasattr(value, "isoformat") else value


def _read_row(model, row):
    known = set(_names(model))  # a column that came later starts as new rows do
    return model(**{name: _read(model, name, value) for name, value in row.items() if name in known})


def _read(model, name, value):
    return model._meta.get_field(name).to_python(value)
