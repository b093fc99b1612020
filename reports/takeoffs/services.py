"""Changes of state of takeoffs: one is kept, rules are saved, items are asked for. Each in one transaction."""

import datetime as dt
import json
from dataclasses import replace

from django.db import models, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from layout.engine.lengths import Unit
from projects.accounts.models import Shop
from projects.catalogue.tables import read_takeoff_rules, takeoff_table
from projects.jobs.models import Job
from projects.keeping.known_as import rooms_here
from reports.estimating import frozen_takeoff
from reports.estimating.frozen_takeoff import FrozenTakeoff, NotAsKept
from reports.estimating.kept_text import digest_of
from reports.estimating.pricing import price, unit_of_cable
from reports.estimating.takeoff import Basis
from reports.prices.queries import conditions_of, labor_book, price_book, rates_of
from reports.prices.services import AGAIN
from reports.takeoffs.counting import count_job
from reports.takeoffs.models import AskedItem, DeviceFeet, RulesVersion, Takeoff
from reports.takeoffs.rules import body_of, table_of, text_of


def takeoff_now(job, *, number=0, label="", on=None, counted=None):
    """The job as it would be kept now, without prices: a FrozenTakeoff that nobody has kept (number 0)."""
    counted = counted or count_job(job)
    return FrozenTakeoff(
        number=number,
        label=label,
        job_number=job.number,
        job_name=job.name,
        unit=job.tape.unit,
        on=on or timezone.localdate(),
        rooms=counted.rooms,
        job=counted.job,
        rules_version=counted.rules_version,
        left_out=counted.left_out,
    )


@transaction.atomic
def freeze(job, *, by, label="", at=None, at_most=None, once=False):
    """Keep the job's takeoff as it stands, with its rules and, where there are any, its prices.

    once: the press of a button; when the same person kept the very same within AGAIN, that one is given back.
    Raises NotAsIssued, and MustBeCounted when more than at_most rooms have to be counted first.
    """
    # The job's row is the lock: two people who keep one at once get two numbers.
    Job.objects.of(job.shop_id).select_for_update().get(pk=job.pk)
    at = at or timezone.now()
    last = job.takeoffs.aggregate(last=models.Max("number"))["last"] or 0
    on: dt.date = timezone.localtime(at).date()
    counted = count_job(job, at_most=at_most)
    taken = _priced(job, takeoff_now(job, number=last + 1, label=label, on=on, counted=counted))
    body, prices = frozen_takeoff.to_text(taken), frozen_takeoff.prices_text(taken)
    rules, _ = body_of(job.shop)
    if once and (kept := _kept_just_now(job, taken, rules, by=by, label=label, at=at)):
        return kept
    return Takeoff.objects.create(
        shop_id=job.shop_id,
        job=job,
        number=taken.number,
        label=label,
        body=body,
        prices=prices,
        rules=rules,
        digest=digest_of(body, prices, rules),
        rooms=len(taken.rooms),
        rooms_counted=sum(room.basis is Basis.COUNTED for room in taken.rooms),
        by=by,
        at=at,
    )


def _kept_just_now(job, taken, rules, **said):
    """The newest kept takeoff, where it is this one but for its number, by the same person a moment ago."""
    at = said.pop("at")
    last = job.takeoffs.filter(**said, at__gte=at - AGAIN, number=taken.number - 1).first()
    if last is None:
        return None
    same = replace(taken, number=last.number)
    texts = (frozen_takeoff.to_text(same), frozen_takeoff.prices_text(same), rules)
    return last if texts == (last.body, last.prices, last.rules) else None


def thaw(takeoff, *, prices=False):
    """The takeoff as it was kept. prices: with its money, for people who may see prices. Raises NotAsKept."""
    if digest_of(takeoff.body, takeoff.prices, takeoff.rules) != takeoff.digest:
        raise NotAsKept(f"Takeoff {takeoff.number} is not as it was kept.")
    taken, here = frozen_takeoff.from_text(takeoff.body, takeoff.prices if prices else ""), rooms_here(takeoff.shop_id)
    rooms = [replace(room, room_id=here.get(room.room_id, room.room_id)) for room in taken.rooms]
    return replace(taken, rooms=tuple(rooms)) if here else taken


def _priced(job, taken):
    """With its money, where the shop has a price or a wage at all."""
    book, rates = price_book(job.shop, taken.on), rates_of(job)
    if not book.items and not rates.entered:
        return taken
    return replace(taken, priced=priced_now(job, taken, book, rates), prices_on=taken.on)


def priced_now(job, taken, book=None, rates=None, *, apart=True):
    """A takeoff at these prices, else at today's: a Priced. Only for people who may see prices.

    apart: as pricing.price() has it.
    """
    return price(
        taken.job,
        [room.takeoff for room in taken.rooms],
        book or price_book(job.shop),
        labor_book(job.shop),
        rates or rates_of(job),
        conditions_of(job),
        cable_unit=unit_of_cable(taken.unit is Unit.MM),
        apart=apart,
    )


# Rules


class Outdated(Exception):
    """Somebody saved the rules since they were opened. newest: the number they are saved under now."""

    def __init__(self, newest):
        super().__init__(newest)
        self.newest = newest


@transaction.atomic
def save_rules(shop, table, *, seen, why, by, back_to=None, at=None):
    """Save the shop's takeoff rules as a new version. table: in the shape of fixtures/takeoff_rules.json.

    seen: the version they were opened at, 0 for the program's own. Raises Outdated, and TableError for a slip.
    """
    Shop.objects.select_for_update().get(pk=shop.pk)  # two people who save at once: the second is told
    _, newest = table_of(shop)
    if newest != seen:
        raise Outdated(newest)
    number = newest + 1
    # The version stands in the rules, and with them on every takeoff that is counted by them.
    table = {**table, "version": f"{table['version'].split(' / ')[0]} / {number}"}
    read_takeoff_rules(json.loads(text_of(table)))
    body = text_of(table)
    return RulesVersion.objects.create(
        shop=shop,
        number=number,
        body=body,
        digest=digest_of(body),
        why=why,
        back_to=back_to,
        by=by,
        at=at or timezone.now(),
    )


def put_back_rules(shop, number, *, seen, by):
    """Count by an earlier version again, as a new one; 0: the rules the program came with. Raises Outdated."""
    if number == 0:
        table, why = takeoff_table(), _("Put back the rules the program came with.")
    else:
        version = RulesVersion.objects.of(shop).get(number=number)
        table = json.loads(version.body)
        why = _("Put back version %(number)s: %(why)s") % {"number": number, "why": version.why}
    return save_rules(shop, table, seen=seen, why=why[:400], by=by, back_to=number)


# What is asked for


@transaction.atomic
def ask_for(job, items, *, room=None, seen=()):
    """Change the optional items that a job, or one of its rooms, takes.

    seen: those that were ticked when the page was opened. Only what was changed since is written, so that what somebody
    else ticked meanwhile stays.
    """
    asked = AskedItem.objects.filter(job=job, room=room)
    asked.filter(item__in=set(seen) - set(items)).delete()
    standing = set(asked.values_list("item", flat=True)) | set(seen)
    AskedItem.objects.bulk_create(
        [AskedItem(job=job, room=room, item=item) for item in sorted(set(items) - standing)], ignore_conflicts=True
    )


@transaction.atomic
def set_feet(room, feet):
    """Cable for each device of a room nobody has measured. feet: {device: Length or None, the shop's usual}."""
    for device, each in feet.items():
        if each is None:
            DeviceFeet.objects.filter(room=room, device=device).delete()
        else:
            DeviceFeet.objects.update_or_create(room=room, device=device, defaults={"each": each})
