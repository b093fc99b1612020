"""Reads of prices, rates, conditions and labor units, as the values sums are made from. Counts no takeoff.

Every read goes through the shop, in a number of queries that does not grow with what the shop keeps.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

from django.db.models import Count, Max, OuterRef, Q, Subquery
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from layout.models import LayoutRevision
from projects.catalogue.models import Install
from projects.jobs.models import FixtureCount
from reports.estimating.labor_book import LIGHT_ITEMS, Factor, LaborBook, LaborUnit, Phase
from reports.estimating.price_book import ItemPrice, Pack, PriceBook
from reports.estimating.priced import Rates
from reports.prices.labor_table import LaborTable, labor_table
from reports.prices.models import Conditions, ItemPack, JobRates, LaborEdit, PhaseChoice, Price

NO_RATES = Rates(Decimal(0), Decimal(0), Decimal(0), entered=False)


# Prices


def price_book(shop, on: dt.date | None = None) -> PriceBook:
    """What every pack costs on a day (today unless told), in one query. Packs no longer sold are left out."""
    on = on or timezone.localdate()
    found: dict[str, list[Price]] = {}
    for price in latest_prices(shop, on):
        found.setdefault(price.pack.item.key, []).append(price)
    return PriceBook(shop.currency, on, {key: _item_price(found[key]) for key in sorted(found)})


def latest_prices(shop, on):
    """The price of each pack that stands on a day, of items still in use; packs no longer sold are left out."""
    latest = Price.objects.of(shop).filter(pack=OuterRef("pk"), on__lte=on).values("pk")[:1]
    now = ItemPack.objects.of(shop).annotate(now=Subquery(latest)).values("now")
    return (
        Price.objects.of(shop)
        .filter(pk__in=now, amount__isnull=False, pack__item__retired=False)
        .select_related("pack__item")
    )


def _item_price(prices: list[Price]) -> ItemPrice:
    """A real price takes the place of plugged ones, whichever pack they were for."""
    real = [price for price in prices if not price.plugged_by]
    counted = sorted(real or prices, key=lambda price: price.pack.size)
    item = counted[0].pack.item
    plugs = dict.fromkeys(f"{price.plugged_by}, {date_format(price.on)}" for price in counted if not real)
    return ItemPrice(
        key=item.key,
        packs=tuple(Pack(price.pack.size, price.amount) for price in counted),
        taxable=item.taxable,
        on=min(price.on for price in counted),
        source="; ".join(dict.fromkeys(price.source for price in counted)),
        plugged_by="; ".join(plugs),
        name=item.name,
        unit=item.unit,
        category=item.category,
    )


# Rates and conditions


def rates_of(job) -> Rates:
    """The job's own rates, else what the shop usually reckons with, else nothing (entered False)."""
    found = JobRates.objects.of(job.shop_id).filter(Q(job=job) | Q(job__isnull=True)).order_by("job_id")
    own = sorted(found, key=lambda rates: rates.job_id is None)
    return Rates(own[0].wage, own[0].burden_pct, own[0].tax_pct) if own else NO_RATES


def conditions_of(job) -> Mapping[str, tuple[Factor, ...]]:
    """What stretches hours, by room's name; '' is the job's own. The job's count in each of its rooms.

    Where nobody has said anything about a room, its ceiling's height and how its fixtures go in suggest it.
    """
    factors = labor_book(job.shop).factors
    rooms = {pk: (job.pk, name) for pk, name in job.rooms.filter(cancelled=False).values_list("pk", "name")}
    keys = conditions_by_room(job.shop, rooms)
    named = {rooms[pk][1]: chosen for pk, chosen in keys.items() if pk}
    named[""] = whole_job_conditions(job)
    return {
        name: tuple(factors[key] for key in dict.fromkeys(chosen) if key in factors) for name, chosen in named.items()
    }


def whole_job_conditions(job) -> tuple[str, ...]:
    record = Conditions.objects.of(job.shop_id).filter(job=job).first()
    return record.chosen if record else ()


def conditions_by_room(shop, rooms: Mapping[int, tuple[int, str]]) -> dict[int, tuple[str, ...]]:
    """rooms: room's id -> (job's id, name). By room, the keys of its conditions and of its job's."""
    jobs = {job for job, _name in rooms.values()}
    entered, of_job = {}, {}
    for record in Conditions.objects.of(shop).filter(Q(job__in=jobs) | Q(room__job__in=jobs)):
        if record.room_id is None:
            of_job[record.job_id] = record.chosen
        else:
            entered[record.room_id] = record.chosen
    suggested = suggested_conditions(shop, jobs)
    return {pk: (*entered.get(pk, suggested.get(pk, ())), *of_job.get(job, ())) for pk, (job, _name) in rooms.items()}


def suggested_conditions(shop, job_ids) -> dict[int, tuple[str, ...]]:
    """By room: its ceiling's height, of its newest revision, and 'fished' where all of it is old work."""
    newest = (
        LayoutRevision.objects.of(shop)
        .filter(room__job__in=job_ids)
        .values("room")
        .annotate(newest=Max("pk"))
        .values("newest")
    )
    rows = (
        LayoutRevision.objects.of(shop)
        .filter(pk__in=newest)
        .annotate(all=Count("marks"), old=Count("marks", filter=Q(marks__fixture_type__install=Install.OLD_WORK)))
        .values_list("room_id", "finished_height", "all", "old")
    )
    told = {room: (height, bool(marks) and marks == old) for room, height, marks, old in rows}
    counted = (
        FixtureCount.objects.filter(room__job__in=job_ids)
        .values_list("room")
        .annotate(all=Count("pk"), old=Count("pk", filter=Q(fixture_type__install=Install.OLD_WORK)))
    )
    for room, counts, old in counted:
        told.setdefault(room, (None, counts == old))
    return {room: _suggested(height, fished) for room, (height, fished) in told.items()}


def _suggested(height, fished):
    over = next((c.factor.key for c in labor_table().heights if height and c.above and height > c.above), None)
    return ((over,) if over else ()) + (("fished",) if fished else ())


# Labor


def labor_book(shop) -> LaborBook:
    """The trade's labor table with the shop's numbers in it. Its version grows with every edit."""
    table = labor_table()
    edits = latest_edits(shop)
    units = [_with_edit(unit, edits.get((LaborEdit.What.UNIT, key))) for key, unit in table.units.items()]
    units += [_whole(edit) for (what, _key), edit in edits.items() if what == LaborEdit.What.WHOLE and told(edit)]
    by_item: dict[str, list[LaborUnit]] = {}
    for unit in units:
        for item in unit.applies:
            by_item.setdefault(item, []).append(unit)
    return LaborBook({item: tuple(found) for item, found in by_item.items()}, _factors(table, edits), version_of(edits))


def version_of(edits) -> str:
    newest = max((edit.pk for edit in edits.values()), default=0)
    return f"{labor_table().version}.{newest}" if newest else labor_table().version


def latest_edits(shop) -> dict[tuple[str, str], LaborEdit]:
    """The newest edit of each number, in one query."""
    newest = LaborEdit.objects.of(shop).values("what", "key").annotate(newest=Max("pk")).values("newest")
    rows = LaborEdit.objects.of(shop).filter(pk__in=newest).select_related("by__user").order_by("pk")
    return {(edit.what, edit.key): edit for edit in rows}


def told(edit) -> bool:
    """Is there a number in it, or was the table's own put back?"""
    return edit is not None and edit.value is not None


def edit_source(edit) -> str:
    who = edit.by.user.name if edit.by else _("the shop")
    behind = _(", average of %(n)s rooms") % {"n": edit.rooms_behind} if edit.rooms_behind else ""
    day = date_format(timezone.localtime(edit.created_at).date())
    return _("the shop's own: %(who)s, %(day)s%(behind)s") % {"who": who, "day": day, "behind": behind} + (
        f" ({edit.note})" if edit.note else ""
    )


def _with_edit(unit: LaborUnit, edit) -> LaborUnit:
    return replace(unit, hours=edit.value, source=edit_source(edit)) if told(edit) else unit


def _whole(edit) -> LaborUnit:
    """One figure for a light's whole phase: the shop's own average."""
    phase = Phase(edit.key)
    name = _("A light, all of %(phase)s") % {"phase": PhaseChoice(phase.value).label}
    return LaborUnit(
        f"whole_{phase.value}", name, LIGHT_ITEMS, phase, edit.value, Decimal(1), edit_source(edit), whole=True
    )


def _factors(table: LaborTable, edits) -> dict[str, Factor]:
    found = {}
    for key, condition in table.conditions.items():
        edit = edits.get((LaborEdit.What.FACTOR, key))
        own = {"times": edit.value, "source": edit_source(edit)} if told(edit) else {}
        found[key] = replace(condition.factor, **own)
    for (what, key), edit in edits.items():
        if what == LaborEdit.What.OWN and told(edit):
            found[key] = Factor(key, edit.name, edit.value, edit_source(edit))
    return found


def feet_per_light(shop) -> Mapping[str, tuple[Decimal, str]]:
    """Feet of cable to count for each light of a room nobody has measured, by cable kind, with where that is from."""
    edits = latest_edits(shop)
    found = {}
    for entry in labor_table().footage.values():
        for cable in entry.cables:
            found[cable] = (entry.feet, entry.source)
    for (what, key), edit in edits.items():
        if what == LaborEdit.What.FOOTAGE and told(edit):
            found[key] = (edit.value, edit_source(edit))
    return found
