"""Reads of bids, each through its shop and bounded. What was sent is read from what was kept."""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from django.core.paginator import Paginator
from django.db.models import Prefetch
from django.http import Http404

from reports.bids.contents import kept
from reports.bids.models import Bid, BidLine, BidRevision, ClientLink, Outcome, ShopTexts, State, TrueUp
from reports.estimating.bid import true_up
from reports.estimating.money import NOTHING, Basis, cents

PAGE = 50
ROWS = 5_000  # bids that a page of outcomes looks back over


def page_of_bids(shop, number, outcome=""):
    """The shop's bids, the newest first, each with its revisions but not what they hold: three queries."""
    bids = Bid.objects.of(shop).filter(job__trashed_at=None).select_related("job").prefetch_related(_revisions(shop))
    if outcome in Outcome.values:
        bids = bids.filter(outcome=outcome)
    return Paginator(bids, PAGE).get_page(number)


def _revisions(shop):
    rows = BidRevision.objects.of(shop).defer("contents", "cover").order_by("-number")
    return Prefetch("revisions", rows, to_attr="letters")


def bids_of(job):
    return list(job.bids.prefetch_related(_revisions(job.shop_id))[:PAGE])


def bid_of(shop, bid_id):
    found = Bid.objects.of(shop).filter(pk=bid_id, job__trashed_at=None).select_related("job__shop", "shop").first()
    if found is None:
        raise Http404
    return found


def revision_of(shop, revision_id):
    found = (
        BidRevision.objects.of(shop)
        .filter(pk=revision_id, bid__job__trashed_at=None)
        .select_related("bid__job__shop", "bid__shop", "sent_by__user", "accepted_by__user", "shop")
        .first()
    )
    if found is None:
        raise Http404
    return found


def letters_of(bid):
    """Its revisions, the newest first, without what they hold."""
    return list(bid.revisions.defer("contents", "cover"))


def lines_of(revision):
    return list(revision.lines.all())


def line_of(shop, line_id):
    found = (
        BidLine.objects.of(shop)
        .filter(pk=line_id, revision__bid__job__trashed_at=None)
        .select_related("revision__bid__job__shop", "revision__shop")
        .first()
    )
    if found is None:
        raise Http404
    return found


def link_behind(token):
    """The link with this token, whatever the shop: the token is the key, and it opens one thing."""
    return (
        ClientLink.objects.every_shop()
        .filter(token=token, bid_revision__bid__job__trashed_at=None)
        .select_related("bid_revision__bid__job", "bid_revision__bid__shop", "shop")
        .first()
    )


def own_texts(shop):
    return ShopTexts.objects.of(shop).first()


# What was accepted


@dataclass(frozen=True, slots=True)
class BidRates:
    """What an accepted bid was priced with: a change order starts from these."""

    currency: str
    wage: Decimal
    burden_pct: Decimal
    tax_pct: Decimal
    contingency_pct: Decimal
    overhead_pct: Decimal
    profit_pct: Decimal
    profit_basis: Basis
    price: Decimal


def accepted_revision(job) -> BidRevision | None:
    """The contract's revision, with its bid and the takeoff it stands on; there is at most one for a job."""
    return (
        BidRevision.objects.of(job.shop_id)
        .filter(bid__job=job, state=State.ACCEPTED)
        .select_related("bid", "takeoff")
        .first()
    )


def rates_in(revision) -> BidRates:
    """The rates as they were sent. Raises Altered."""
    contents = kept(revision)
    rates = contents["rates"]
    numbers = ("wage", "burden_pct", "tax_pct", "contingency_pct", "overhead_pct", "profit_pct")
    return BidRates(
        currency=contents["currency"],
        **{name: Decimal(rates[name]) for name in numbers},
        profit_basis=Basis(rates["profit_basis"]),
        price=Decimal(contents["sums"]["price"]),
    )


@dataclass(frozen=True, slots=True)
class Settled:
    """An allowance of an accepted bid, and what was chosen for it, if anything yet."""

    key: str
    words: str
    quantity: Decimal
    allowed: Decimal
    chosen: Decimal | None = None
    note: str = ""

    @property
    def difference(self) -> Decimal | None:
        return None if self.chosen is None else true_up(self.quantity, self.allowed, self.chosen)


def allowances_of(revision, contents) -> tuple[Settled, ...]:
    """One query."""
    latest: dict[str, TrueUp] = {}
    for one in revision.true_ups.order_by("pk"):
        latest[one.key] = one
    settled = []
    for line in contents["lines"]:
        if line["kind"] == "allowance":
            one = latest.get(line["key"])
            settled.append(
                Settled(
                    line["key"],
                    line["words"],
                    Decimal(line.get("quantity", "1")),
                    Decimal(line.get("amount", "0")),
                    one.chosen if one else None,
                    one.note if one else "",
                )
            )
    return tuple(settled)


# How bids turned out


SIZES = (
    (Decimal(5_000), "under 5,000"),
    (Decimal(20_000), "5,000 to 20,000"),
    (Decimal(100_000), "20,000 to 100,000"),
    (None, "100,000 and more"),
)


@dataclass(slots=True)
class Tally:
    """Bids of one month, client or size. hit rate: won of those won or lost; no answer counts as not won."""

    name: str
    sent: int = 0
    won: int = 0
    lost: int = 0
    no_answer: int = 0
    open: int = 0
    price: Decimal = NOTHING  # of those won
    cost: Decimal = NOTHING
    direct: Decimal = NOTHING

    @property
    def decided(self):
        return self.won + self.lost + self.no_answer

    @property
    def hit_pct(self):
        """Won, percent of those decided; None before any is."""
        return cents(Decimal(self.won * 100) / self.decided).quantize(Decimal(1)) if self.decided else None

    @property
    def margin_pct(self):
        """What was kept after all cost, percent of price, over those won."""
        return cents((self.price - self.cost) * 100 / self.price) if self.price else None

    @property
    def gross_pct(self):
        """What was kept after direct cost, percent of price, over those won."""
        return cents((self.price - self.direct) * 100 / self.price) if self.price else None


def outcomes(shop):
    """(all together, by month, by client, by size): tallies of bids that were sent. One query."""
    rows = (
        BidRevision.objects.of(shop)
        .filter(bid__job__trashed_at=None)
        .exclude(state=State.DRAFT)
        .order_by("bid_id", "-number")
        .values_list("bid_id", "state", "price", "cost", "direct", "sent_at", "bid__outcome", "bid__client")[:ROWS]
    )
    latest: dict[int, tuple] = {}
    for row in rows:
        if row[0] not in latest or row[1] == State.ACCEPTED:
            latest[row[0]] = row
    together = Tally("")
    groups: tuple[dict[str, Tally], ...] = ({}, {}, {})
    for _bid, _state, price, cost, direct, sent_at, outcome, client in latest.values():
        names = (f"{sent_at:%Y-%m}", client or "–", size_of(price))
        for tally in (together, *(group.setdefault(n, Tally(n)) for group, n in zip(groups, names, strict=True))):
            tally.sent += 1
            setattr(tally, outcome, getattr(tally, outcome) + 1)
            if outcome == Outcome.WON:
                tally.price += price
                tally.cost += cost
                tally.direct += direct
    months, clients, sizes = groups
    order = [name for _most, name in SIZES]
    return (
        together,
        sorted(months.values(), key=lambda one: one.name, reverse=True),
        sorted(clients.values(), key=lambda one: (-one.sent, one.name)),
        sorted(sizes.values(), key=lambda one: order.index(one.name)),
    )


def size_of(price):
    return next(name for most, name in SIZES if most is None or price < most)


def why_lost(shop):
    """The latest reasons, as they were written down."""
    lost = Bid.objects.of(shop).filter(outcome__in=[Outcome.LOST, Outcome.NO_ANSWER], job__trashed_at=None)
    lost = lost.exclude(outcome_why="")
    return list(lost.select_related("job").order_by("-outcome_on", "-pk")[:20])


def is_expired(revision, today: dt.date) -> bool:
    return revision.state == State.SENT and today > revision.valid_until
