"""Changes to prices, rates, conditions, labor units and what was logged: each in one transaction."""

from __future__ import annotations

import datetime as dt

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from layout.engine.lengths import Length
from projects.accounts.models import Shop
from projects.jobs.models import Room
from projects.platform.tenancy import StaleVersion, save_from
from reports.estimating.price_import import own_key
from reports.prices.lines import known_lines
from reports.prices.models import (
    Conditions,
    Item,
    ItemPack,
    JobRates,
    LaborEdit,
    LoggedFeet,
    LoggedHours,
    Price,
)

AGAIN = dt.timedelta(seconds=60)
NOT_TAXED = ("fees", "allowances")  # by default; the shop's own tick decides


class KeyTaken(Exception):
    """The price list has this name already."""

    def __str__(self):
        return str(_("The price list already has this name. Give a different one."))


class AlreadyCorrected(Exception):
    def __str__(self):
        return str(_("This entry was taken back already, or stands against another one itself."))


class EditedMeanwhile(Exception):
    """A labor number was changed after the page was opened. Carries the newer edit, if it still has one."""

    def __init__(self, newer):
        super().__init__(
            _("This number was changed by someone else while you had it open. Look at it, then save again.")
        )
        self.newer = newer


# Items and their prices


def list_lines(shop, rules):
    """Put on the price list every line a takeoff can ask for and the list lacks. Returns how many are new."""
    have = set(Item.objects.of(shop).values_list("key", flat=True))
    new = [item_of_line(shop, key, line) for key, line in known_lines(shop, rules).items() if key not in have]
    Item.objects.bulk_create(new, ignore_conflicts=True)
    return len(new)


def item_of_line(shop, key, line):
    name, unit, category = line
    return Item(
        shop=shop, key=key, name=name[:120], unit=unit[:20], category=category, taxable=category not in NOT_TAXED
    )


def item_for_line(shop, key, name, unit, category):
    """The item a takeoff line is priced by, put on the list when it isn't there."""
    made = item_of_line(shop, key, (name, unit, category))
    defaults = {field: getattr(made, field) for field in ("name", "unit", "category", "taxable")}
    return Item.objects.of(shop).get_or_create(shop=shop, key=key, defaults=defaults)[0]


def add_item(shop, *, name, unit, category, taxable, retired=False):
    """An extra of the shop's own. Raises KeyTaken."""
    record = Item(shop=shop, key=own_key(name), name=name, unit=unit, category=category)
    record.taxable, record.retired = taxable, retired
    record.clean_fields()
    try:
        with transaction.atomic():
            record.save()
    except IntegrityError as taken:
        raise KeyTaken from taken
    return record


@transaction.atomic
def change_item(item, seen_version, changes):
    """Raises StaleVersion."""
    return save_from(item, seen_version, changes, at=timezone.now())


@transaction.atomic
def set_price(item, size, amount, *, on, source, by, plugged_by="", imported=None):
    """A pack's price from a day on. size: pieces, or a coil's Length. amount None: not sold from that day."""
    measure = {"length": size} if isinstance(size, Length) else {"pieces": size}
    pack, _new = ItemPack.objects.of(item.shop_id).get_or_create(shop_id=item.shop_id, item=item, **measure)
    return Price.objects.create(
        shop_id=item.shop_id,
        pack=pack,
        amount=amount,
        on=on,
        source=source,
        plugged_by=plugged_by,
        by=by,
        imported=imported,
    )


def has_prices(shop):
    """Once a price stands, the shop's currency stands too."""
    return Price.objects.of(shop).exists() or JobRates.objects.of(shop).exists()


# Rates and conditions


@transaction.atomic
def set_rates(shop, job, seen_version, changes):
    """The job's rates, or without a job the shop's usual ones. seen_version 0: there were none. Raises StaleVersion."""
    Shop.objects.select_for_update().get(pk=shop.pk)
    record = JobRates.objects.of(shop).filter(job=job).first()
    if record is None:
        return JobRates.objects.create(shop=shop, job=job, **changes)
    if not seen_version:
        raise StaleVersion(record, changes)
    return save_from(record, seen_version, changes, at=timezone.now())


@transaction.atomic
def set_conditions(shop, keys, seen_version, *, job=None, room=None):
    """What stretches a room's hours, or a whole job's. Raises StaleVersion."""
    Shop.objects.select_for_update().get(pk=shop.pk)
    record = Conditions.objects.of(shop).filter(job=job, room=room).first()
    if record is None:
        return Conditions.objects.create(shop=shop, job=job, room=room, keys=",".join(keys))
    if not seen_version:
        raise StaleVersion(record, {"keys": keys})
    return save_from(record, seen_version, {"keys": ",".join(keys)}, at=timezone.now())


# Labor units


@transaction.atomic
def edit_labor(shop, what, key, value, *, by, seen, name="", note="", rooms_behind=None):
    """The shop's own number in place of the table's; value None puts the table's back.

    seen: id of the edit the page was opened at, 0 for none. Raises EditedMeanwhile.
    """
    Shop.objects.select_for_update().get(pk=shop.pk)
    newest = LaborEdit.objects.of(shop).filter(what=what, key=key).order_by("-pk").first()
    if (newest.pk if newest else 0) != seen:
        raise EditedMeanwhile(newest)
    return LaborEdit.objects.create(
        shop=shop,
        what=what,
        key=key,
        name=name or (newest.name if newest else ""),
        value=value,
        note=note,
        by=by,
        rooms_behind=rooms_behind,
    )


# What was logged


@transaction.atomic
def log_visit(room, *, on, phase, who, note, hours, feet, by):
    """Hours and feet of one visit. feet: (cable key, Length) pairs. Returns the entries.

    The very same visit again within AGAIN is the same press on a bad signal, and gives what was kept.
    """
    common = {"shop_id": room.shop_id, "room": room, "on": on, "phase": phase, "who": who, "note": note, "by": by}
    Room.objects.of(room.shop_id).select_for_update(no_key=True).get(pk=room.pk)
    if kept := _logged_just_now(common, hours, feet):
        return kept
    entries = [LoggedHours.objects.create(**common, hours=hours)] if hours else []
    return entries + [LoggedFeet.objects.create(**common, cable=cable, length=length) for cable, length in feet]


def _logged_just_now(common, hours, feet):
    """The entries of this very visit, where all of them were written a moment ago and none was taken back."""
    fresh = {**common, "created_at__gte": timezone.now() - AGAIN, "corrects": None, "corrected_by": None}
    shop_id = fresh.pop("shop_id")
    found = [LoggedHours.objects.of(shop_id).filter(**fresh, hours=hours).last()] if hours else []
    found += [
        LoggedFeet.objects.of(shop_id).filter(**fresh, cable=cable, length=length).last() for cable, length in feet
    ]
    return found if all(found) else []


@transaction.atomic
def take_back(entry, *, by):
    """An entry of the same size against a wrong one; both stay to be read. Raises AlreadyCorrected."""
    if entry.corrects_id or type(entry).objects.of(entry.shop_id).filter(corrects=entry).exists():
        raise AlreadyCorrected
    against = type(entry)(
        shop_id=entry.shop_id, room_id=entry.room_id, on=entry.on, phase=entry.phase, who=entry.who, by=by,
        corrects=entry, note=_("taken back"),
    )  # fmt: skip
    if isinstance(entry, LoggedHours):
        against.hours = -entry.hours
    else:
        against.cable, against.length = entry.cable, (-entry.length).exact()
    try:
        with transaction.atomic():
            against.save()
    except IntegrityError as twice:
        raise AlreadyCorrected from twice
    return against
