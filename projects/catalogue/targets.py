"""Levels a shop lights to: the rows of fixtures/light_targets.json with the shop's changes over them, and its own.

Nothing is stored until a shop changes a row. No page and no form here.
"""

from dataclasses import dataclass, fields

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.text import slugify

from layout.engine.light.values import LUX_IN_A_FOOTCANDLE
from projects.catalogue import table_values
from projects.catalogue.models import LightTarget
from projects.catalogue.tables import light_targets
from projects.platform.tenancy import StaleVersion, save_from

OWN = "own"  # the group of what a shop added
SAID_BY_SHOP = "shop"  # how a row the shop changed is known
NUMBERS = ("lux", "low_lux", "high_lux", "uniformity", "glare_ugr", "color_ra", "wall_lux", "ceiling_lux")
WORDS = ("space", "kind", "document", "edition", "source")


class KeyTaken(Exception):
    """The shop has a target of this name."""


@dataclass(frozen=True, slots=True)
class ShopTarget(table_values.LightTarget):
    """A row as the shop has it. own: it added it. changed: it differs from the table's row, which is `table`."""

    own: bool = False
    changed: bool = False
    retired: bool = False
    table: table_values.LightTarget | None = None

    @property
    def footcandles(self):
        return self.lux / LUX_IN_A_FOOTCANDLE


def targets_of(shop):
    """Every target of a shop: the table's rows in its order, then the shop's own by name. One query."""
    stored = {record.key: record for record in LightTarget.objects.of(shop)}
    rows = [_as_shop_has_it(row, stored.pop(key, None)) for key, row in light_targets().items()]
    return (*rows, *(_own(record) for record in stored.values()))


def target_of(shop, key):
    """One of them, or None: there is none of this key."""
    row = light_targets().get(key)
    stored = LightTarget.objects.of(shop).filter(key=key).first()
    if row is None:
        return stored and _own(stored)
    return _as_shop_has_it(row, stored)


def record_of(shop, key):
    """What an edit starts from: the stored row, or one of version 0 as the table has it. None: there is none."""
    stored = LightTarget.objects.of(shop).filter(key=key).first()
    if stored is not None or key not in light_targets():
        return stored
    row = light_targets()[key]
    values = {name: getattr(row, name) for name in (*WORDS, *NUMBERS)}
    return LightTarget(shop=shop, key=key, version=0, **values)


def add_target(shop, **values):
    """Raises KeyTaken."""
    key = slugify(values["space"])[:60] or "target"
    if key in light_targets():
        raise KeyTaken
    record = LightTarget(shop=shop, key=key, **values)
    record.clean_fields()
    return _stored(record)


@transaction.atomic
def change_target(record, seen_version, changes):
    """Change a target as it was seen; the table's row becomes the shop's. Raises StaleVersion."""
    if record.pk is not None:
        return save_from(record, seen_version, changes, at=timezone.now())
    if seen_version != 0:  # it was put back meanwhile
        raise StaleVersion(record, changes)
    shop, key = record.shop, record.key
    made = LightTarget(shop=shop, key=key, **changes)
    made.clean_fields()
    try:
        return _stored(made)
    except KeyTaken as taken:
        raise StaleVersion(LightTarget.objects.of(shop).get(key=key), changes) from taken


@transaction.atomic
def put_back(shop, key):
    """The table's row again. False: it is the shop's own, or was never changed."""
    if key not in light_targets():
        return False
    deleted, _each = LightTarget.objects.of(shop).filter(key=key).delete()
    return bool(deleted)


def _stored(record):
    try:
        with transaction.atomic():
            record.save(force_insert=True)
    except IntegrityError as taken:
        if "key" in str(taken):
            raise KeyTaken from taken
        raise
    return record


def _as_shop_has_it(row, stored):
    if stored is None:
        return ShopTarget(**{field.name: getattr(row, field.name) for field in fields(row)})
    return _value(stored, row.group, changed=True, table=row)


def _own(stored):
    return _value(stored, OWN, own=True)


def _value(stored, group, **more):
    numbers = {name: getattr(stored, name) for name in NUMBERS}
    return ShopTarget(
        key=stored.key,
        group=group,
        known=SAID_BY_SHOP,
        retired=stored.retired,
        **{name: getattr(stored, name) for name in WORDS},
        **{name: None if value is None else float(value) for name, value in numbers.items()},
        **more,
    )
