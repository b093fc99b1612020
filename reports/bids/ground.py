"""What a draft stands on now: its rooms and takeoff, the terms a new bid starts with, and what has moved since.

The one place of this part that knows of takeoffs, prices and their records.
"""

from decimal import Decimal
from fractions import Fraction

from django.utils.translation import gettext as _

from layout.engine.lengths import feet
from reports.bids.base import SPEAKERS, Base, BaseRoom, base_of
from reports.bids.models import LineKind
from reports.documents.head import plain
from reports.estimating.bid import Part
from reports.estimating.money import NOTHING, cents
from reports.estimating.takeoff import item_of
from reports.takeoffs.models import Takeoff
from reports.takeoffs.services import thaw


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
        line.name, str(line.order), line.unit, f"{line.cost:f}", f"{line.tax:f}", plain(line.hours), f"{line.labor:f}"
    )  # fmt: skip


def terms_of(job):
    """Wage, burden and tax of a job, where the shop keeps them."""
    return {}


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
    """What has moved since a revision was sent (or a draft's takeoff was frozen): layouts, rules, prices; in words."""
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
        elif (new.lights, new.speakers) != (room["lights"], room["speakers"]):
            moved.append(_("%(room)s has another count now.") % {"room": room["name"]})
    moved += [_("%(room)s is new in the job and not in this bid.") % {"room": room.name} for room in now.values()]
    return moved
