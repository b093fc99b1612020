"""Reads of change orders and field extras, each through its shop and bounded."""

from dataclasses import dataclass
from decimal import Decimal

from django.core.paginator import Paginator
from django.db.models import Count, Max, Min, Prefetch, Q, Sum
from django.http import Http404
from django.utils import timezone

from layout.models import LayoutRevision
from reports.changes.models import ChangedRoom, ChangeOrder, FieldExtra, State
from reports.estimating.money import NOTHING, cents

PAGE = 50


def change_of(shop, change_id):
    found = (
        ChangeOrder.objects.of(shop)
        .filter(pk=change_id, job__trashed_at=None)
        .select_related("job__shop", "shop", "sent_by__user", "closed_by__user")
        .prefetch_related(
            Prefetch("rooms", ChangedRoom.objects.select_related("room", "before", "after")), "typed_lines__room"
        )
        .first()
    )
    if found is None:
        raise Http404
    return found


def page_of_changes(job, number):
    rows = job.changes.defer("contents", "ink").select_related("closed_by__user").order_by("-number")
    return Paginator(rows, PAGE).get_page(number)


def page_of_unsigned(shop, number):
    rows = ChangeOrder.objects.of(shop).filter(state__in=(State.DRAFT, State.SENT), job__trashed_at=None)
    rows = rows.defer("contents", "ink").select_related("job")
    return Paginator(rows.order_by("created_at", "pk"), PAGE).get_page(number)


def extra_of(shop, extra_id):
    found = (
        FieldExtra.objects.of(shop)
        .filter(pk=extra_id, job__trashed_at=None)
        .select_related("job", "room", "shop", "by__user", "change")
        .prefetch_related("photos")
        .first()
    )
    if found is None:
        raise Http404
    return found


def page_of_extras(shop, number, *, job=None, only_open=False):
    rows = FieldExtra.objects.of(shop).filter(job__trashed_at=None).defer("ink").order_by("-pk")
    rows = rows.select_related("job", "room", "by__user", "change")
    if job is not None:
        rows = rows.filter(job=job)
    if only_open:
        rows = rows.filter(change=None, closed_why="")
    return Paginator(rows, PAGE).get_page(number)


def open_drafts(job):
    return list(job.changes.filter(state=State.DRAFT).defer("contents", "ink")[:PAGE])


@dataclass(frozen=True, slots=True)
class ContractSum:
    """The contract as it stands: bid + approved = sum. bid None: no bid is accepted yet."""

    bid: Decimal | None
    approved: Decimal
    waiting: Decimal
    approved_count: int
    waiting_count: int

    @property
    def sum(self):
        return None if self.bid is None else self.bid + self.approved


def contract_sum(job, accepted):
    """accepted: the accepted bid revision, or None. One query."""
    rows = job.changes.order_by().values("state").annotate(amount=Sum("price"), count=Count("pk"))
    by_state = {row["state"]: (cents(row["amount"] or NOTHING), row["count"]) for row in rows}
    approved, waiting = (by_state.get(state, (NOTHING, 0)) for state in (State.APPROVED, State.SENT))
    return ContractSum(accepted.price if accepted else None, approved[0], waiting[0], approved[1], waiting[1])


@dataclass(frozen=True, slots=True)
class Unsigned:
    """What nobody has signed yet, over the shop: change orders sent, and field extras in none."""

    changes: int
    extras: int
    oldest_days: int
    amount: Decimal
    no_more_than_spoken: int

    @property
    def any(self):
        return self.changes + self.extras


def unsigned(shop):
    """Two queries."""
    sent = (
        ChangeOrder.objects.of(shop)
        .filter(state=State.SENT, job__trashed_at=None)
        .aggregate(
            count=Count("pk"), oldest=Min("sent_at"), amount=Sum("price"),
            spoken=Count("pk", filter=~Q(verbal_name="")),
        )
    )  # fmt: skip
    extras = (
        FieldExtra.objects.of(shop)
        .filter(change=None, closed_why="", job__trashed_at=None)
        .aggregate(count=Count("pk"), oldest=Min("at"))
    )
    oldest = min((at for at in (sent["oldest"], extras["oldest"]) if at), default=None)
    return Unsigned(
        sent["count"],
        extras["count"],
        (timezone.now() - oldest).days if oldest else 0,
        cents(sent["amount"] or NOTHING),  # SQLite adds them up as floats
        sent["spoken"],
    )


def changed_since(job, contract):
    """(room, revision before or None for as it was bid, newest revision) of rooms whose layout is not the contract's.

    A room's contract is the layout of its last change order that was not refused, else its part of the accepted bid's
    takeoff; without an accepted bid no room has one.
    """
    newest = dict(
        LayoutRevision.objects.of(job.shop_id)
        .filter(room__job=job, room__cancelled=False, room__trashed_at=None)
        .values_list("room")
        .annotate(newest=Max("pk"))
    )
    revisions = LayoutRevision.objects.of(job.shop_id).filter(pk__in=newest.values()).select_related("room")
    covered = {}
    for each in (
        ChangedRoom.objects.filter(change__job=job, change__state__in=("draft", "sent", "approved"))
        .select_related("after")
        .order_by("pk")
    ):
        covered[each.room_id] = each.after
    pairs = []
    for revision in sorted(revisions, key=lambda each: each.room_id):
        before = covered.get(revision.room_id)
        if before is not None:
            if before.pk != revision.pk:
                pairs.append((revision.room, before, revision))
        elif contract.frozen is not None:
            as_bid = contract.room_as_bid(revision.room_id)
            if as_bid is None or as_bid.digest != revision.digest:
                pairs.append((revision.room, None, revision))
    return pairs
