"""What is not signed, and what is complete and not billed: by job, for many jobs at once. For who may see it alone.

Complete is a part of the contract by the stages its rooms have behind them (fixtures/red_rules.json, `earned`), each
room weighing as much as it has lights and speakers. It is a guide for billing, and no account of it.
"""

from __future__ import annotations

from decimal import Decimal

from django.db.models import Max, Min, Sum
from django.db.models.aggregates import Count
from django.utils import timezone

from reports.bids.models import BidRevision
from reports.bids.models import State as BidState
from reports.changes.models import ChangeOrder
from reports.changes.models import State as ChangeState
from reports.estimating.money import NOTHING, cents
from reports.rooms.facts import Money, RoomNow, ShopNow
from reports.rooms.models import Billed
from reports.rooms.rules import earned


def money_of(shop, now: ShopNow) -> dict[int, Money]:
    """Every job's money. Three queries."""
    ids = set(now.by_job)
    found = {job_id: Money() for job_id in ids}
    contracts = dict(
        BidRevision.objects.of(shop)
        .filter(state=BidState.ACCEPTED, bid__job__among=ids)
        .order_by()
        .values_list("bid__job_id", "price")
    )
    changes = ChangeOrder.objects.of(shop).filter(job__among=ids, state__in=(ChangeState.SENT, ChangeState.APPROVED))
    signed: dict[int, Decimal] = {}
    for job_id, state, count, amount, oldest in (
        changes.order_by()
        .values_list("job_id", "state")
        .annotate(n=Count("pk"), amount=Sum("price"), oldest=Min("sent_at"))
    ):
        amount = cents(amount or NOTHING)  # SQLite adds them up as floats
        if state == ChangeState.APPROVED:
            signed[job_id] = amount
        else:
            one = found[job_id]
            one.unsigned, one.unsigned_sum, one.oldest_sent = count, amount, timezone.localtime(oldest).date()
    billed = Billed.objects.of(shop).filter(job__among=ids).order_by().values_list("job_id")
    for job_id, amount, last in billed.annotate(amount=Sum("amount"), last=Max("on")):
        found[job_id].billed, found[job_id].billed_on = cents(amount), last
    for job_id, price in contracts.items():
        _complete(found[job_id], price + signed.get(job_id, NOTHING), now.by_job[job_id].rooms)
    return found


def _complete(money: Money, contract: Decimal, rooms: list[RoomNow]) -> None:
    money.contract = contract
    money.completed = completed(contract, [(room.marks, room.stage) for room in rooms])
    first = earned()[0].from_stage
    money.completed_since = min((room.since for room in rooms if room.stage >= first), default=None)


def completed(contract: Decimal, rooms: list[tuple[int, int]]) -> Decimal:
    """So much of a contract is complete. rooms: (lights and speakers, stage) of each; one without marks weighs one."""
    weights = sum(max(marks, 1) for marks, _stage in rooms)
    done = sum(max(marks, 1) * share_at(stage) for marks, stage in rooms)
    return cents(contract * done / (100 * weights)) if weights else NOTHING


def share_at(stage: int) -> int:
    """Percent of a room's part that is complete at a stage."""
    return max((step.share for step in earned() if stage >= step.from_stage), default=0)
