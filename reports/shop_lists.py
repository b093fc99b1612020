"""The sections of a shop's lists that are about money and material: what it buys, how it counts, what its bids say.

Registered from here, so that keeping knows none of it.
"""

import json
import re
from dataclasses import replace

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout.engine.lengths import Length
from projects.catalogue.tables import TableError, takeoff_table
from projects.keeping.lists import Change, register
from projects.keeping.lists_rows import Records, one, plain
from projects.platform.api.bodies import Body
from projects.platform.api.problems import Refused
from projects.platform.forms import LengthFormField, NameFormField, TapeForm
from reports.bids.forms import TextsForm
from reports.bids.models import ShopTexts
from reports.bids.services import keep_texts
from reports.bids.texts import LISTS
from reports.documents.takeoff import CATEGORIES
from reports.estimating.price_import import MEANINGS
from reports.prices.forms import DayField, ItemForm, NumberField
from reports.prices.labor_web import is_known
from reports.prices.models import (
    BURDEN,
    COIL,
    FACTOR,
    PIECES,
    PRICE,
    TAX,
    UNIT_FEET,
    UNIT_HOURS,
    WAGE,
    ColumnMeaning,
    Item,
    ItemPack,
    JobRates,
    LaborEdit,
    Price,
)
from reports.prices.services import edit_labor, set_price, set_rates
from reports.rooms.models import MOST_DAYS, MOST_HOURS, RedRule
from reports.rooms.rules import usual_rules
from reports.takeoffs import rules
from reports.takeoffs.forms import PER, ROUNDING
from reports.takeoffs.services import save_rules

LONGEST = 2000  # of a text in takeoff rules
FREE = ("key", "name", "unit", "note", "source", "use")  # columns of takeoff rules that hold any words
NUMBER = re.compile(r"\d{1,6}(\.\d{1,6}|/[1-9]\d{0,3})?", re.ASCII)
LENGTH = re.compile(r"[\d ./]{1,16} (in|ft|mm)", re.ASCII)


# When something is red


class RedRuleForm(forms.Form):
    watched = forms.BooleanField(required=False)
    days = forms.IntegerField(min_value=0, max_value=MOST_DAYS, required=False)
    hours_once = forms.DecimalField(min_value=0, max_value=MOST_HOURS, decimal_places=1, max_digits=4)
    hours_each = forms.DecimalField(min_value=0, max_value=MOST_HOURS, decimal_places=1, max_digits=4)


class RedRules(Records):
    def values(self, shop, cleaned, report, key):
        if (cleaned["days"] is None) != (usual_rules()[key].days is None):
            raise ValidationError(_("This rule has days where the usual one has, and none where it has none."))
        return super().values(shop, cleaned, report, key)


# Labor numbers


class LaborForm(TapeForm):
    """key: what and key of the number, as they stand in the labor table, with a colon between."""

    name = NameFormField(max_length=80, required=False)
    value = NumberField(low=0, high=UNIT_HOURS[1], places=4)


class LaborNumbers:
    name, money, body = "labor_numbers", False, Body("ListLaborNumber", LaborForm)
    bounds = {"factor": FACTOR, "own": FACTOR, "unit": UNIT_HOURS, "whole": UNIT_HOURS, "footage": UNIT_FEET}

    def stored(self, shop):
        return {(each.what, each.key): each for each in LaborEdit.objects.of(shop).order_by("pk")}  # the newest counts

    def told(self, shop):
        found = sorted(self.stored(shop).items())
        return [self._row(key, edit) for key, edit in found if edit.value is not None]

    def _row(self, key, edit):
        value = plain(edit.value, LaborEdit._meta.get_field("value"))
        return {"what": key[0], "key": key[1], "name": edit.name, "value": value}

    def take(self, shop, by, given, report):
        stored, met = self.stored(shop), set()
        for at, row in _entries(self, given, report):
            key = (row.pop("what", None), row.pop("key", None)) if isinstance(row, dict) else (None, None)
            if not all(isinstance(each, str) for each in key) or not self._known(shop, *key) or key in met:
                report.wrong(at, _("“what” and “key” name a number of the labor table here, each of them once."))
                continue
            met.add(key)
            one(self, row, at, report, lambda key=key, row=row: self._write(shop, by, key, row, stored, report))

    def _known(self, shop, what, key):
        own = what == "own" and re.fullmatch(r"[\w:-]{1,60}", key)
        return what in self.bounds and bool(own or is_known(shop, what, key))

    def _write(self, shop, by, key, row, stored, report):
        old = stored.get(key)
        standing = old if old is not None and old.value is not None else None
        start = {"name": standing.name, "value": standing.value} if standing else {}
        said = self.body.fill(row, start=start, tape=shop.tape).cleaned_data
        low, high = self.bounds[key[0]]
        if not low <= said["value"] <= high:
            raise ValidationError(_("Between %(low)s and %(high)s.") % {"low": low, "high": high})
        if key[0] == "own" and not said["name"]:
            raise ValidationError(_("A condition of the shop's own has a name."))
        if standing and (standing.name, standing.value) == (said["name"], said["value"]):
            report.same += 1
            return
        edit = edit_labor(shop, *key, said["value"], by=by, seen=old.pk if old else 0, name=said["name"])
        edit.refresh_from_db()
        before, after = self._row(key, standing) if standing else {}, self._row(key, edit)
        fields = tuple((name, before.get(name), after[name]) for name in ("name", "value"))
        fields = tuple(each for each in fields if each[1] != each[2])
        report.changes.append(Change(self.name, ":".join(key), edit.name or key[1], standing is None, fields))


def _entries(part, given, report):
    """(where it stands, a copy of it) of a list's entries."""
    if not isinstance(given, list):
        report.wrong(f"/{part.name}", _("A list stands here."))
        return
    for n, row in enumerate(given):
        yield f"/{part.name}/{n}", dict(row) if isinstance(row, dict) else row


# What it buys, and for how much


class ItemRecords(Records):
    """Each with the packs it is sold in: pieces, or a coil's length as text."""

    def stored(self, shop):
        return {each.key: each for each in Item.objects.of(shop).prefetch_related("packs").order_by("key")}

    def row(self, record):
        return super().row(record) | {"packs": [plain(pack.size) for pack in record.packs.all()]}

    def _one(self, shop, key, row, record, at, report):
        packs = row.pop("packs", [])
        if not isinstance(packs, list) or len(packs) > 100:
            report.wrong(f"{at}/packs", _("A list stands here."))
            return
        before = len(report.errors)
        super()._one(shop, key, row, record, at, report)
        if len(report.errors) == before and packs:
            item = Item.objects.of(shop).get(key=key)
            one(self, packs, f"{at}/packs", report, lambda: self._packs(shop, item, packs, report))

    def _packs(self, shop, item, packs, report):
        have = {pack.size for pack in item.packs.all()}
        new = []
        for size in (_size(shop, item, each) for each in packs):
            if size not in have:
                have.add(size)
                new.append(size)
                measure = {"length": size} if isinstance(size, Length) else {"pieces": size}
                ItemPack.objects.create(shop=shop, item=item, **measure)
        if not new:
            return
        told = ("packs", None, ", ".join(str(plain(size)) for size in new))
        for n, change in enumerate(report.changes):
            if (change.section, change.key) == (self.name, item.key):
                report.changes[n] = replace(change, fields=(*(f for f in change.fields if f[0] != "packs"), told))
                return
        report.same -= 1
        report.changes.append(Change(self.name, item.key, item.name, False, (told,)))


class SizeForm(TapeForm):
    pieces = forms.IntegerField(min_value=PIECES[0], max_value=PIECES[1], required=False)
    length = LengthFormField(low=COIL[0], high=COIL[1], required=False)


_SIZE = Body("ListPack", SizeForm)


def _size(shop, item, given):
    """A pack's size: a Length for what is bought by the coil. Raises ValidationError."""
    name = "length" if item.by_length else "pieces"
    try:
        said = _SIZE.fill({name: given}, tape=shop.tape).cleaned_data[name]
    except Refused as refused:
        raise ValidationError(refused.more["errors"][0]["detail"]) from refused
    if said is None:
        raise ValidationError(_("Pieces stand here as a whole number, or the length of a coil."))
    return said


class PriceForm(TapeForm):
    amount = NumberField(low=PRICE[0], high=PRICE[1], places=2)
    on = DayField(ahead=366)
    source = NameFormField(max_length=200)


class Prices:
    """What a pack costs now. A figure in place of a price stays: it is nobody's price."""

    name, money, body = "prices", True, Body("ListPrice", PriceForm)

    def told(self, shop):
        found = [
            {"item": price.pack.item.key, "pack": plain(price.pack.size), "currency": shop.currency, "amount":
             plain(price.amount, Price._meta.get_field("amount")), "on": plain(price.on), "source": price.source}
            for price in self.stored(shop).values() if price.amount is not None
        ]  # fmt: skip
        return sorted(found, key=lambda row: (row["item"], str(row["pack"])))

    def stored(self, shop):
        """{pack's id: the price that holds}: of the latest day, of that the one written last."""
        rows = Price.objects.of(shop).filter(plugged_by="").select_related("pack__item").order_by("on", "pk")
        return {each.pack_id: each for each in rows}

    def take(self, shop, by, given, report):
        stored, met = self.stored(shop), set()
        for at, row in _entries(self, given, report):
            one(self, row, at, report, lambda row=row: self._write(shop, by, row, stored, met, report))

    def _write(self, shop, by, row, stored, met, report):
        if not isinstance(row, dict) or not isinstance(row.get("item"), str):
            raise ValidationError(_("An item of the price list, by its short name, stands here."))
        item = Item.objects.of(shop).filter(key=row.pop("item")).first()
        if item is None:
            raise ValidationError(_("An item of the price list, by its short name, stands here."))
        if row.pop("currency", None) != shop.currency:
            said = _("Prices here are in %(currency)s, and are never turned into another.")
            raise ValidationError(said % {"currency": shop.currency})
        size = _size(shop, item, row.pop("pack", None))
        if (item.pk, size) in met:
            raise ValidationError(_("This stands in the list twice."))
        met.add((item.pk, size))
        said = self.body.fill(row, tape=shop.tape).cleaned_data
        old = next((each for each in stored.values() if (each.pack.item_id, each.pack.size) == (item.pk, size)), None)
        if old is not None and old.on > said["on"]:
            report.same += 1  # a later price stands here
            return
        if old is not None and all(getattr(old, name) == said[name] for name in ("amount", "on", "source")):
            report.same += 1
            return
        new = set_price(item, size, said["amount"], on=said["on"], source=said["source"], by=by)
        before = {name: plain(getattr(old, name)) if old is not None else None for name in ("amount", "on", "source")}
        fields = tuple((name, before[name], plain(getattr(new, name))) for name in before)
        report.changes.append(Change(self.name, item.key, f"{item.name}, {plain(size)}", old is None, fields))


class RatesForm(TapeForm):
    wage = NumberField(low=WAGE[0], high=WAGE[1], places=2)
    burden_pct = NumberField(low=BURDEN[0], high=BURDEN[1], places=2)
    tax_pct = NumberField(low=TAX[0], high=TAX[1], places=3)


class Single:
    """What a shop has once: names a model's columns, and the service that keeps them."""

    def told(self, shop):
        record = self.stored(shop)
        return None if record is None else self._row(record)

    def _row(self, record):
        return {name: plain(getattr(record, name), record._meta.get_field(name)) for name in self.fields}

    def take(self, shop, by, given, report):
        one(self, given, f"/{self.name}", report, lambda: self._write(shop, given, report))

    def _write(self, shop, given, report):
        record = self.stored(shop)
        start = {name: getattr(record, name) for name in self.fields} if record is not None else {}
        said = self.body.fill(given, start=start, version=1, tape=shop.tape).cleaned_data
        values = {name: said[name] for name in self.fields}
        if values == start:
            report.same += 1
            return
        before = self._row(record) if record is not None else dict.fromkeys(self.fields)
        after = self._row(self.keep(shop, record, values))
        fields = tuple((name, before[name], after[name]) for name in after if before[name] != after[name])
        report.changes.append(Change(self.name, "", str(self.title), record is None, fields))


class Rates(Single):
    name, money, body = "rates", True, Body("ListRates", RatesForm)
    title, fields = gettext_lazy("What an hour and the tax cost"), ("wage", "burden_pct", "tax_pct")

    def stored(self, shop):
        return JobRates.objects.of(shop).filter(job=None).first()

    def keep(self, shop, record, values):
        return set_rates(shop, None, record.version if record is not None else 0, values)


class BidTexts(Single):
    name, money, body = "bid_texts", False, Body("ListBidTexts", TextsForm)
    title, fields = gettext_lazy("Texts of bids"), tuple(LISTS)

    def stored(self, shop):
        return ShopTexts.objects.of(shop).first()

    def keep(self, shop, record, values):
        return keep_texts(shop, record.version if record is not None else 1, values)


# How it counts


class TakeoffRules:
    """In the shape of fixtures/takeoff_rules.json, without its version: each shop counts its own."""

    name, money = "takeoff_rules", False

    def told(self, shop):
        table, number = rules.table_of(shop)
        return {name: value for name, value in table.items() if name != "version"} if number else None

    def take(self, shop, by, given, report):
        at = f"/{self.name}"
        if not isinstance(given, dict) or given.keys() != takeoff_table().keys() - {"version"}:
            report.wrong(at, _("All sections of the takeoff rules stand here, and no other."))
            return
        given = json.loads(json.dumps(given, default=str))
        if wrong := _misshapen(given):
            report.wrong(f"{at}/{wrong}", _("This is not as takeoff rules are."))
            return
        table, number = rules.table_of(shop)
        if given == {name: value for name, value in table.items() if name != "version"}:
            report.same += 1
            return
        why, new = _("Taken in from a file of lists."), {**given, "version": table["version"]}
        try:
            with transaction.atomic():
                version = save_rules(shop, new, seen=number, why=why, by=by)
        except (TableError, ArithmeticError, LookupError, TypeError, ValueError) as wrong:
            report.wrong(at, wrong)
            return
        fields = tuple((name, *_counts(table[name], given[name])) for name in given if table[name] != given[name])
        report.changes.append(Change(self.name, "", str(version), number == 0, fields))


def _counts(before, after):
    """Of two lists how many entries differ; of anything else the values."""
    if not isinstance(after, list):
        return before, after
    old = {each["key"]: each for each in before}
    changed = [each["key"] for each in after if old.get(each["key"]) != each]
    return len(before), f"{len(after)}: {', '.join(changed)[:400]}"


def _misshapen(given):
    """Where the first value stands that is none of its column, or "" where all are as in the program's table."""
    for section, usual in takeoff_table().items():
        if section == "version":
            continue
        rows = given[section]
        if not isinstance(usual, list):
            if rows not in dict(ROUNDING):
                return section
            continue
        if not isinstance(rows, list):
            return section
        columns = {name: [row[name] for row in usual] for name in usual[0]}
        for n, row in enumerate(rows):
            if not isinstance(row, dict) or row.keys() != columns.keys():
                return f"{section}/{n}"
            for name, value in row.items():
                if not _fits(value, columns[name], _words(given, section, name)):
                    return f"{section}/{n}/{name}"
    return ""


def _words(given, section, name):
    """What may stand in a column beside what the program's table has there; None: any text."""
    if name in FREE:
        return None
    if (section, name) == ("items", "per"):
        return set(dict(PER))
    if (section, name) == ("items", "category"):
        return set(CATEGORIES)
    named = {("spares", "items"): "items", ("cables", "waste"): "waste", ("per_device", "cable"): "cables"}
    rows = given.get(named.get((section, name), ""), ())
    return {row["key"] for row in rows if isinstance(row, dict) and isinstance(row.get("key"), str)}


def _fits(value, usual, words):
    """Whether a value is such as the program's table has in that column."""
    if type(value) not in {type(each) for each in usual}:
        return False
    if isinstance(value, list):
        inside = [each for row in usual for each in row]
        return len(value) <= 100 and all(_fits(each, inside, words) for each in value)
    if isinstance(value, bool):
        return True
    if isinstance(value, int):
        return 0 <= value <= PIECES[1]
    for shape in (NUMBER, LENGTH):
        if all(shape.fullmatch(each) for each in usual if isinstance(each, str)):
            return bool(shape.fullmatch(value))
    return len(value) <= LONGEST and value.isprintable() if words is None else value in words or value in usual


class ColumnForm(forms.Form):
    means = forms.ChoiceField(choices=[("", ""), *((each, each) for each in MEANINGS)], required=False)


register(
    RedRules(
        "red_rules", RedRule, RedRuleForm, tuple(RedRuleForm.base_fields), options=lambda shop: {},
        allowed=lambda key: key in usual_rules(),
    ),
    TakeoffRules(),
    LaborNumbers(),
    BidTexts(),
    Records("column_names", ColumnMeaning, ColumnForm, ("means",), key="header", options=lambda shop: {}),
    ItemRecords("items", Item, ItemForm, ("name", "unit", "category", "taxable", "retired")),
    Prices(),
    Rates(),
)  # fmt: skip
