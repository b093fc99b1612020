"""A price file's way from upload to price list: kept as read, held against the list, applied whole or not at all."""

from __future__ import annotations

import json

from django.db import transaction
from django.http import Http404
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.accounts.models import Shop
from reports.estimating.price_import import MEANINGS, Difference, Known, PriceNow, Row, difference, guess
from reports.prices.lines import known_lines
from reports.prices.models import ColumnMeaning, Item, ItemPack, Price, PriceImport
from reports.prices.queries import latest_prices
from reports.prices.services import item_of_line


class StaleDryRun(Exception):
    """The price list changed after the dry run was shown."""

    def __str__(self):
        return str(_("The price list changed since this dry run. Look at the difference again, then apply."))


class HasErrors(Exception):
    def __str__(self):
        return str(_("Nothing was applied: some rows can't be read. Set them right in the file and read it again."))


class NotOpen(Exception):
    def __str__(self):
        return str(_("This file was applied or dropped already."))


def keep_file(shop, name, sheet, *, on, source, by):
    """The rows as they were read; nothing of the price list changes."""
    return PriceImport.objects.create(
        shop=shop, file_name=name, sheet=sheet.name, rows=json.dumps(sheet.rows, ensure_ascii=False), on=on,
        source=source, by=by, first_line=sheet.rows[0][0], outcome="; ".join(sheet.left_out)[:200],
    )  # fmt: skip


def import_of(shop, import_id):
    record = PriceImport.objects.of(shop).filter(pk=import_id).first()
    if record is None:
        raise Http404
    return record


def rows_of(record) -> tuple[list[str], list[Row]]:
    """The header's names, and the rows below it."""
    header, *rest = json.loads(record.rows)
    return header[1], [Row(line, tuple(cells)) for line, cells in rest]


def columns_of(record, posted=None) -> dict[int, str]:
    """What each column is taken for: as chosen now, else as this shop last took one of its name, else a guess."""
    header, _rows = rows_of(record)
    if posted is not None:
        return {n: posted.get(f"column_{n}", "") for n in range(len(header))}
    remembered = dict(
        ColumnMeaning.objects.of(record.shop_id)
        .filter(header__in=[_title(name) for name in header])
        .values_list("header", "means")
    )
    found: dict[int, str] = {}
    for n, name in enumerate(header):
        means = remembered.get(_title(name), guess(name))
        found[n] = means if means not in found.values() else ""
    return found


def wrong_columns(columns) -> str:
    """Why these columns can't be read, in words; empty when they can."""
    chosen = [means for means in columns.values() if means]
    if any(means not in MEANINGS for means in chosen):
        return _("Choose what each column holds from the list.")
    if twice := {means for means in chosen if chosen.count(means) > 1}:
        return _("Two columns can't both be the %(what)s. Leave one out.") % {"what": ", ".join(sorted(twice))}
    if "price" not in chosen:
        return _("Which column holds the price? Choose it.")
    if "code" not in chosen and "name" not in chosen:
        return _("Which column says what it is? Choose the code or the name.")
    return ""


def dry_run(record, columns, rules) -> Difference:
    """The file against the price list as it is now. Writes nothing."""
    shop = record.shop
    header, rows = rows_of(record)
    known = {key: Known(key, *line) for key, line in known_lines(shop, rules).items()}
    for item in Item.objects.of(shop).filter(retired=False):
        known[item.key] = Known(item.key, item.name, item.unit, item.category)
    return difference(
        rows, header, columns, known, prices_now(shop, record.on), currency=shop.currency, on=record.on,
        source=record.source,
    )  # fmt: skip


def prices_now(shop, on):
    """What every pack costs on a day, by the item's key and the pack's size."""
    return {
        (price.pack.item.key, price.pack.size): PriceNow(price.amount, price.on, bool(price.plugged_by))
        for price in latest_prices(shop, on)
    }


@transaction.atomic
def apply(record, columns, rules, *, digest, by):
    """Every price of the file, or none. Raises NotOpen, HasErrors, StaleDryRun. Returns the difference."""
    Shop.objects.select_for_update().get(pk=record.shop_id)
    record = PriceImport.objects.of(record.shop_id).select_related("shop").get(pk=record.pk)
    if record.state != PriceImport.State.READ:
        raise NotOpen
    found = dry_run(record, columns, rules)
    if found.errors:
        raise HasErrors
    if found.digest != digest:
        raise StaleDryRun
    entries = (*found.new, *found.changed)
    items = _items(record.shop, entries)
    packs = _packs(record.shop, entries, items)
    Price.objects.bulk_create(
        Price(
            shop=record.shop, pack=packs[entry.item.key, entry.size], amount=entry.amount, on=entry.on,
            source=entry.source, by=by, imported=record,
        )
        for entry in entries
    )  # fmt: skip
    remember(record, columns)
    told = {"new": len(found.new), "changed": len(found.changed), "same": len(found.unchanged)}
    outcome = _("%(new)s new, %(changed)s changed, %(same)s unchanged") % told
    _close(record, PriceImport.State.APPLIED, outcome)
    return found


def _items(shop, entries):
    have = {item.key: item for item in Item.objects.of(shop)}
    asked = {entry.item.key: entry for entry in entries}
    new = [
        item_of_line(shop, key, (entry.item.name, entry.item.unit, entry.item.category))
        for key, entry in asked.items()
        if key not in have
    ]
    Item.objects.bulk_create(new)
    have |= {item.key: item for item in Item.objects.of(shop).filter(key__in=[item.key for item in new])}
    for entry in entries:
        item = have[entry.item.key]
        if entry.taxable is not None and item.taxable != entry.taxable:
            item.taxable, item.version = entry.taxable, item.version + 1
            item.save(update_fields=["taxable", "version", "updated_at"])
    return have


def _packs(shop, entries, items):
    def by_size():
        rows = ItemPack.objects.of(shop).select_related("item")
        return {(pack.item.key, pack.size): pack for pack in rows}

    have = by_size()
    missing = {(entry.item.key, entry.size) for entry in entries} - have.keys()
    ItemPack.objects.bulk_create(
        ItemPack(shop=shop, item=items[key], **({"pieces": size} if isinstance(size, int) else {"length": size}))
        for key, size in sorted(missing, key=lambda each: (each[0], int(each[1])))
    )
    return by_size() if missing else have


def remember(record, columns):
    """Next time a column of this name is taken for the same."""
    header, _rows = rows_of(record)
    ColumnMeaning.objects.bulk_create(
        [
            ColumnMeaning(shop_id=record.shop_id, header=title, means=columns.get(n, ""))
            for title, n in {_title(name): n for n, name in enumerate(header)}.items()
            if title
        ],
        update_conflicts=True,
        unique_fields=["shop", "header"],
        update_fields=["means"],
    )


@transaction.atomic
def drop(record):
    """Raises NotOpen."""
    Shop.objects.select_for_update().get(pk=record.shop_id)
    record.refresh_from_db()
    if record.state != PriceImport.State.READ:
        raise NotOpen
    _close(record, PriceImport.State.DROPPED, "")


def _close(record, state, outcome):
    """The rows have done their work; the prices themselves name the file they came with."""
    header, _rows = rows_of(record)
    record.rows = json.dumps([[record.first_line, header]])
    record.state, record.outcome, record.applied_at = state, outcome[:200], timezone.now()
    record.version += 1
    record.save()


def _title(name):
    return name.strip().casefold()[:80]
