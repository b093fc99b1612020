"""Changes to a shop's fixture types."""

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.text import slugify

from projects.catalogue.models import ControlType, FixtureType
from projects.catalogue.tables import fixture_types
from projects.platform.tenancy import save_from


class KeyTaken(Exception):
    """Another type of this shop has the same short name."""


def stock_catalog(shop):
    """Give a new shop the generic types of fixtures/fixture_types.json, none of them verified."""
    FixtureType.objects.bulk_create(_from_table(shop, entry) for entry in fixture_types().values())


def _from_table(shop, entry):
    frame, box = entry.frame, entry.junction_box
    return FixtureType(
        shop=shop,
        **{
            name: getattr(entry, name)
            for name in (
                "key", "kind", "name", "install", "shape", "aperture", "cutout", "depth", "watts", "lumens",
                "beam_deg", "impedance_ohm", "coverage_deg", "sensitivity_db", "clip_swing", "source",
            )
        },
        power_watts=None if entry.kind == "light" else entry.watts,  # a speaker's watts are its rating
        trim=entry.trim_od,
        frame_length=frame and frame.length,
        frame_width=frame and frame.width,
        opening_from_end=frame and frame.opening_from_end,
        opening_from_side=frame and frame.opening_from_side,
        frame_may_turn=frame.may_turn if frame else True,
        junction_box_length=box and box.length,
        junction_box_width=box and box.width,
    )  # fmt: skip


def add_type(shop, **fields):
    """Raises KeyTaken."""
    return _added(FixtureType(shop=shop, key=slugify(fields["name"])[:40] or "type", **fields))


def add_control(shop, **fields):
    """Raises KeyTaken."""
    return _added(ControlType(shop=shop, key=slugify(fields["name"])[:40] or "control", **fields))


@transaction.atomic
def change_control(record, seen_version, changes):
    """Raises StaleVersion."""
    return save_from(record, seen_version, changes, at=timezone.now())


def _added(record):
    record.clean_fields()
    try:
        with transaction.atomic():
            record.save()
    except IntegrityError as taken:
        if "key" in str(taken):
            raise KeyTaken from taken
        raise
    return record


@transaction.atomic
def change_type(record, seen_version, changes):
    """A changed cutout is no longer a verified one. Raises StaleVersion."""
    if "cutout" in changes and changes["cutout"] != record.cutout:
        changes = {**changes, "cutout_verified_by": "", "cutout_verified_on": None}
    return save_from(record, seen_version, changes, at=timezone.now())


@transaction.atomic
def verify_cutout(record, seen_version, *, by, on):
    """Somebody has cut and dry-fitted one. Raises StaleVersion."""
    changes = {"cutout_verified_by": by, "cutout_verified_on": on}
    return save_from(record, seen_version, changes, at=timezone.now())
