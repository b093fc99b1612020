"""What a draft stands on now: its rooms and takeoff, the terms a new bid starts with, and what has moved since.

The one place of this part that knows of takeoffs, prices and their records.
"""

from decimal import Decimal
from fractions import Fraction

from django.utils.translation import gettext as _

from layout.engine.lengths import feet
from layout.services import NotAsIssued
from reports.bids.base import SPEAKERS, Base, BaseRoom, base_of
from reports.bids.models import LineKind
from reports.documents.head import plain
from reports.estimating.bid import Part
from reports.estimating.money import NOTHING, cents
from reports.estimating.takeoff import item_of
from reports.prices.averages import hours_a_light
from reports.prices.models import Price
from reports.prices.queries import rates_of
from reports.takeoffs.models import Takeoff
from reports.takeoffs.rules import rules_of
from reports.takeoffs.services import freeze, thaw


def base_for(revision) -> Base:
    """The rooms and, where there is one, the frozen takeoff of this revision. Raises NotAsKept."""
    if revision.takeoff_id is None:
        return base_of(revision.bid.job)
    takeoff = Takeoff.objects.of(revision.shop_id).get(pk=revision.takeoff_id)
    return base_from(takeoff, thaw(takeoff, prices=True))


def base_from(takeoff, frozen) -> Base:
    """A frozen takeoff as a bid's ground. Without prices its lines are all missing one, and that is said."""
    priced = frozen.priced
    cost: dict[str, Decimal] = {}
    for line in priced.lines if priced else ():
        for room in line.rooms:
            cost[room.room] = cost.get(room.room, NOTHING) + room.cost + room.tax + room.labor
    by_hand, in_all = _feet(frozen)
    names = {line.key: line.name for line in frozen.job.lines}
    return Base(
        rooms=tuple(_frozen_room(room, cost.get(room.name, NOTHING)) for room in frozen.rooms),
        part=Part(_("takeoff %(number)s") % {"number": frozen.number}, priced.material, priced.tax, priced.hours,
                  priced.labor) if priced else None,
        currency=priced.currency if priced else "",
        takeoff=takeoff.pk,
        label=f"{frozen.number} {frozen.label}".strip(),
        rules=frozen.rules_version,
        prices_on=frozen.prices_on.isoformat() if frozen.prices_on else "",
        missing=tuple(names.get(key, key) for key in priced.missing) if priced else tuple(names.values()),
        plugged=tuple((line.name, line.plugged_by, f"{line.cost:f}") for line in priced.allowances) if priced else (),
        factors=tuple(
            (room, tuple((factor.name, plain(factor.times)) for factor in chain))
            for room, chain in sorted(priced.factors.items()) if chain
        ) if priced else (),
        lines=tuple(_told(line) for line in priced.lines) if priced else (),
        by_hand_ft=plain(by_hand),
        cable_ft=plain(in_all),
    )  # fmt: skip


def _frozen_room(room, cost):
    kinds = [mark.kind for mark in room.marks]
    lights, speakers = sum(kind == "light" for kind in kinds), sum(kind in SPEAKERS for kind in kinds)
    if room.revision is None:
        lights, speakers = _by_lines(room, ("light",)), _by_lines(room, SPEAKERS)
    return BaseRoom(room.room_id, room.name, "", room.revision, room.digest, lights, speakers, cost)


def _by_lines(room, kinds) -> int:
    """How many of these a room's lines were counted for: what every one of them takes says it, whichever item it is."""
    found: dict[tuple[str, str], Fraction] = {}
    for line in room.takeoff.lines:
        for name, count in (pair for why in line.why for pair in why.inputs):
            if name in kinds and isinstance(count, Fraction):
                found[item_of(line.key), name] = found.get((item_of(line.key), name), Fraction(0)) + count
    return sum(int(max((n for (_item, kind), n in found.items() if kind == each), default=0)) for each in kinds)


def _feet(frozen):
    """Feet of cable that people set by hand, and in all, as measured runs before waste."""
    by_hand = in_all = Fraction(0)
    for room in frozen.rooms:
        for run in (run for line in room.takeoff.lines for run in line.runs):
            in_all += run.length.nm / feet(1).nm
            by_hand += 0 if run.by_hand is None else run.by_hand.nm / feet(1).nm
    return cents(by_hand), cents(in_all)


def _told(line):
    return (
        line.name, str(line.order), line.unit, f"{line.cost:f}", f"{line.tax:f}", plain(line.hours),
        f"{line.labor:f}", line.key,
    )  # fmt: skip


class CannotCount(Exception):
    """The job's takeoff can't be kept as it stands; the message says why."""


def keep_takeoff(revision, *, by):
    """The job's takeoff as it stands now, kept for this revision. Raises CannotCount."""
    try:
        return freeze(revision.bid.job, by=by, label=_("for bid %s") % revision, once=True)
    except NotAsIssued as refused:
        raise CannotCount(str(refused)) from refused


def takeoffs_of(revision):
    """The job's kept takeoffs, the newest first, without what they hold."""
    rows = Takeoff.objects.of(revision.shop_id).filter(job_id=revision.bid.job_id)
    return list(rows.defer("body", "prices", "rules")[:50])


def takeoff_of(revision, text):
    """One of the job's kept takeoffs by its id as typed; None for one that isn't there."""
    if not (text.isascii() and text.isdecimal() and len(text) < 18):
        return None
    return Takeoff.objects.of(revision.shop_id).filter(job_id=revision.bid.job_id, pk=int(text)).first()


def rates_in(takeoff):
    """Wage, burden and tax that a kept takeoff was priced with; nothing when it has no prices."""
    priced = thaw(takeoff, prices=True).priced
    return _terms(priced.rates) if priced else {}


def room_names(revision):
    return list(revision.bid.job.rooms.filter(cancelled=False).order_by("pk").values_list("name", flat=True))


def cautions(contents):
    """What an estimator should know before the client does: nothing of it stops a bid."""
    estimate, told = contents["estimate"], []
    if estimate["missing"]:
        told.append(_("Without a price, and counted as nothing: %s.") % ", ".join(estimate["missing"][:12]))
    if estimate["plugged"]:
        told.append(
            _("With a plugged price: %s.")
            % ", ".join(f"{name} ({who})" for name, who, _sum in estimate["plugged"][:12])
        )
    if estimate["counted"]:
        told.append(_("Counted, not laid out: %s.") % ", ".join(estimate["counted"][:12]))
    if estimate["by_hand_ft"] not in ("", "0"):
        told.append(
            _("%(some)s of %(all)s ft of cable are set by hand.")
            % {"some": estimate["by_hand_ft"], "all": estimate["cable_ft"]}
        )
    if contents["sums"]["hours"] != "0" and contents["rates"]["wage"] == "0":
        told.append(_("There are hours and no wage: labor comes to nothing."))
    return told


def terms_of(job):
    """Wage, burden and tax of a job, where the shop keeps them."""
    return _terms(rates_of(job))


def _terms(rates):
    return {"wage": rates.wage, "burden_pct": rates.burden_pct, "tax_pct": rates.tax_pct} if rates.entered else {}


def not_ready(contents):
    """Why this draft can't be sent yet, in words."""
    troubles = []
    if not Decimal(contents["sums"]["price"]):
        troubles.append(_("The price is nothing. Add material and labor, or take a takeoff."))
    percents = [Decimal(each["percent"]) for each in contents["payments"]]
    if percents and sum(percents) != 100:
        troubles.append(
            _("The payments come to %(sum)s %%. Make them 100 %%.") % {"sum": f"{sum(percents).normalize():f}"}
        )
    for line in contents["lines"]:
        if line["kind"] == LineKind.ALLOWANCE and not line.get("amount"):
            troubles.append(_("Allowance “%(words)s” has no amount.") % line)
    return troubles


def moved_since(revision, contents):
    """What has moved since a revision was sent (or a draft's takeoff was kept): layouts, rules, prices; in words."""
    return [*_layouts_moved(revision, contents), *_figures_moved(revision, contents)]


def _figures_moved(revision, contents):
    """Rules and prices count only where a takeoff was counted and priced by them."""
    stands_on = contents["stands_on"]
    if stands_on["takeoff"] is None:
        return []
    moved, shop = [], revision.shop
    now = rules_of(shop).version
    if now != stands_on["rules"]:
        moved.append(_("Counted by takeoff rules %(was)s; the shop's are %(now)s now.") % {
            "was": stands_on["rules"], "now": now})  # fmt: skip
    if stands_on["prices_on"]:
        since = Takeoff.objects.of(shop).values_list("at", flat=True).get(pk=stands_on["takeoff"])
        keys = [line[-1] for line in contents["estimate"]["lines"]]
        later = Price.objects.of(shop).filter(created_at__gt=since, pack__item__key__in=keys)
        names = list(later.order_by("pack__item__name").values_list("pack__item__name", flat=True).distinct()[:13])
        if names:
            more = ", …" if len(names) > 12 else ""
            moved.append(_("Prices have changed since %(day)s: %(names)s.") % {
                "day": stands_on["prices_on"], "names": ", ".join(names[:12]) + more})  # fmt: skip
    return moved


def _layouts_moved(revision, contents):
    now = {room.id: room for room in base_of(revision.bid.job).rooms}
    moved = []
    for room in contents["rooms"]:
        new = now.pop(room["id"], None)
        if new is None:
            moved.append(_("%(room)s is no longer in the job.") % {"room": room["name"]})
        elif room["revision"] is None and new.revision is not None:
            moved.append(_("%(room)s was counted; it is laid out now.") % {"room": room["name"]})
        elif new.revision != room["revision"] or new.digest != room["digest"]:
            words = _("%(room)s stands on layout revision %(was)s; revision %(now)s has been issued.")
            moved.append(words % {"room": room["name"], "was": room["revision"], "now": new.revision})
        elif room["revision"] is None and (new.lights, new.speakers) != (room["lights"], room["speakers"]):
            moved.append(_("%(room)s has another count now.") % {"room": room["name"]})
    if contents["stands_on"]["takeoff"] is not None:  # a takeoff leaves out what is neither laid out nor counted
        now = {key: room for key, room in now.items() if room.revision is not None or room.lights or room.speakers}
    moved += [_("%(room)s is new in the job and not in this bid.") % {"room": room.name} for room in now.values()]
    return moved


def averages_of(shop):
    """The shop's own hours a light by phase, from rooms that are past it, and how many rooms that is."""
    return hours_a_light(shop)
