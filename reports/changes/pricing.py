"""A change order's records as the values it is priced from, and its price. Knows no pages and no arithmetic."""

from dataclasses import dataclass

from layout.engine.lengths import ZERO, Unit, feet, mm
from layout.models import LayoutRevision
from projects.jobs.models import Room
from reports.bids.queries import accepted_revision, rates_in
from reports.changes.models import ContractTerms
from reports.changes.rules import default_terms, stage_rules
from reports.estimating.change import price_change
from reports.estimating.change_terms import Goods, Terms, stage_rule
from reports.estimating.change_values import Books, Change, Typed
from reports.estimating.difference import Difference, MovedMark, RoomDifference, room_difference
from reports.estimating.frozen_takeoff import FrozenTakeoff
from reports.estimating.priced import Rates
from reports.prices.queries import conditions_of, labor_book, price_book, rates_of
from reports.takeoffs.counting import CONTENTS, count_revision
from reports.takeoffs.rules import rules_of
from reports.takeoffs.services import thaw

TERM_FIELDS = (
    "add_times", "restock_pct", "least_hours", "overhead_pct", "profit_pct", "patch_each", "hours_a_day",
    "most_markup_pct", "credit_markup",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Contract:
    """What a job's changes stand on. bid None: no bid is accepted. frozen: its takeoff with prices, if it has one."""

    bid: object
    frozen: FrozenTakeoff | None
    terms: Terms
    terms_entered: bool

    def room_as_bid(self, room_id):
        return next((room for room in self.frozen.rooms if room.room_id == room_id), None) if self.frozen else None


@dataclass(frozen=True, slots=True)
class Priced:
    """A change priced, with the rooms' differences it was priced from."""

    change: Change
    rooms: tuple[RoomDifference, ...]
    moved: tuple[tuple[RoomDifference, MovedMark], ...]
    books: Books


def contract_of(job) -> Contract:
    bid = accepted_revision(job)
    kept = bid.takeoff if bid else None
    own = ContractTerms.objects.of(job.shop_id).filter(job=job).first()
    terms = Terms(**{name: getattr(own, name) for name in TERM_FIELDS}) if own else default_terms()
    return Contract(bid, thaw(kept, prices=True) if kept else None, terms, own is not None)


def price_of(change) -> Priced:
    """A draft as it stands today. Raises ChangeError for a figure no change can carry."""
    contract = contract_of(change.job)
    changed = list(change.rooms.all())
    lights = list(change.moved_lights.all())
    counted = _Counted(change.job, [(each.room_id, each.before_id) for each in changed]
                       + [(each.room_id, each.after_id) for each in changed]
                       + [(each.room_id, each.revision_id) for each in lights])  # fmt: skip
    rooms = tuple(
        room_difference(
            counted.of(each.room_id, each.before_id) if each.before_id else contract.room_as_bid(each.room_id),
            counted.of(each.room_id, each.after_id),
        )
        for each in changed
    )
    moved = tuple(
        found for each in lights if (found := moved_mark(counted.of(each.room_id, each.revision_id), each.ident))
    )
    typed = [
        Typed(line.words, line.material, line.hours, line.taxable, line.room_id, line.room.name if line.room else "")
        for line in change.typed_lines.select_related("room")
    ]
    said = {(each.room_id, each.key): Goods(each.goods) for each in change.goods_said.all()}
    books = books_of(change.job, contract, counted.rooms.values(), said)
    return Priced(price_change(Difference(rooms, ()), books, typed, moved), rooms, moved, books)


def price_moves(room, revision, idents, *, stage=None) -> Priced:
    """What it takes to move these marks of a revision, at the room's stage today or at another.

    Marks it doesn't have are left out.
    """
    counted = _Counted(room.job, [(room.pk, revision.pk)])
    here = counted.of(room.pk, revision.pk)
    moved = tuple(found for ident in idents if (found := moved_mark(here, ident)))
    books = books_of(room.job, contract_of(room.job), [room], {}, stage=stage)
    return Priced(price_change(Difference((), ()), books, (), moved), (), moved, books)


def moved_mark(counted, ident):
    """A mark that is to stand elsewhere, nobody has said where, with its room; None when it isn't there."""
    mark = next((mark for mark in counted.marks if mark.ident == ident), None)
    return (room_difference(counted, counted), MovedMark(mark, mark, ZERO, ZERO)) if mark else None


def books_of(job, contract, rooms, goods, *, stage=None):
    today = rates_of(job)
    bid_rates = today
    if contract.bid:
        bid = rates_in(contract.bid)
        bid_rates = Rates(bid.wage, bid.burden_pct, bid.tax_pct)
    return Books(
        terms=contract.terms,
        prices=price_book(job.shop),
        labor=labor_book(job.shop),
        rates=today if today.entered else bid_rates,
        bid_rates=bid_rates,
        bid=contract.frozen.priced if contract.frozen else None,
        stages={room.pk: stage_rule(room.stage if stage is None else stage, stage_rules()) for room in rooms},
        factors=conditions_of(job),
        cable_unit=feet(1) if job.tape.unit is Unit.INCH else mm(1000),
        goods=goods,
    )


class _Counted:
    """Rooms counted by given revisions, in a number of queries that does not grow with them."""

    def __init__(self, job, pairs):
        self.rules = rules_of(job.shop)
        rooms = Room.objects.of(job.shop_id).filter(pk__in={room for room, _ in pairs})
        rooms = rooms.select_related("job__shop", "shop", "ceiling", "speaker_wiring").prefetch_related(
            "job__asked_items", "counts__fixture_type", "device_feet", *CONTENTS
        )
        self.rooms = {room.pk: room for room in rooms}
        wanted = {revision for _, revision in pairs if revision}
        revisions = LayoutRevision.objects.of(job.shop_id).filter(pk__in=wanted)
        self.revisions = {each.pk: each for each in revisions.prefetch_related("marks__fixture_type")}

    def of(self, room_id, revision_id):
        return count_revision(self.rooms[room_id], self.revisions[revision_id], self.rules)
