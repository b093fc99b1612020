"""Bids: their revisions and lines while they are written, and what was sent, word for word. Knows no sums."""

import secrets

from django.db import models
from django.utils.translation import gettext_lazy as _

from projects.accounts.models import Membership
from projects.jobs.models import Job
from projects.platform.fields import NameField, NoteField, no_longer_than, number_between, one_of
from projects.platform.tenancy import ShopRecord
from reports.estimating.bid import MOST, MOST_HOURS, MOST_PCT, MOST_PRICE, MOST_TAX, MOST_WAGE, ROUND_TO
from reports.estimating.money import Basis


class Outcome(models.TextChoices):
    OPEN = "open", _("open")
    WON = "won", _("won")
    LOST = "lost", _("lost")
    NO_ANSWER = "no_answer", _("no answer")


class Bid(ShopRecord):
    """What a shop offers a client for one job. Its words and figures stand in its revisions."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="bids")
    number = NameField(max_length=20)
    client = models.CharField(max_length=120, blank=True, default="")
    outcome = models.CharField(max_length=10, choices=Outcome, default=Outcome.OPEN)
    outcome_why = models.CharField(max_length=400, blank=True, default="")
    outcome_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "number"], name="bid_number_once_per_shop"),
            one_of("outcome", Outcome.values, model="bid"),
            no_longer_than("number", 20, model="bid"),
            no_longer_than("client", 120, model="bid"),
            no_longer_than("outcome_why", 400, model="bid"),
        ]

    def __str__(self):
        return self.number


class State(models.TextChoices):
    DRAFT = "draft", _("draft")
    SENT = "sent", _("sent")
    ACCEPTED = "accepted", _("accepted")
    LOST = "lost", _("not taken")
    WITHDRAWN = "withdrawn", _("withdrawn")
    SUPERSEDED = "superseded", _("superseded")


class Detail(models.TextChoices):
    TOTAL = "total", _("one total")
    ROOMS = "rooms", _("a price for each room")
    COUNTS = "counts", _("a price for each room, with its lights and speakers")


class BasisChoice(models.TextChoices):
    OF_PRICE = Basis.OF_PRICE.value, _("of price: what is left of each dollar billed")
    OF_COST = Basis.OF_COST.value, _("of cost: what is put on top")


PERCENTS = {
    "tax_pct": MOST_TAX,
    "burden_pct": MOST_PCT,
    "contingency_pct": 100,
    "overhead_pct": MOST_PCT,
    "profit_pct": MOST_PCT,
    "retainage_pct": 50,
}
LAST_LETTER = 26 * 27  # A to Z, then AA to ZZ


def percent(default=0):
    return models.DecimalField(max_digits=7, decimal_places=3, default=default)


def money(digits=12):
    return models.DecimalField(max_digits=digits, decimal_places=2, null=True, blank=True)


class BidRevision(ShopRecord):
    """Revision A, B, … of a bid: a draft that is edited, then sent and never changed again.

    contents: what was sent, canonical JSON; digest: of these bytes. Price, cost and direct repeat it for lists.
    """

    bid = models.ForeignKey(Bid, on_delete=models.PROTECT, related_name="revisions")
    number = models.PositiveSmallIntegerField()
    state = models.CharField(max_length=10, choices=State, default=State.DRAFT)
    takeoff = models.ForeignKey("takeoffs.Takeoff", on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    tax_pct = percent()  # of taxable material
    wage = models.DecimalField(max_digits=8, decimal_places=2, default=0)  # an hour
    burden_pct = percent()  # of wage
    contingency_pct = percent()  # of direct
    overhead_pct = percent()  # of direct and contingency
    profit_pct = percent()
    profit_basis = models.CharField(max_length=8, choices=BasisChoice, default=BasisChoice.OF_PRICE)
    round_to = models.PositiveSmallIntegerField(default=0)
    validity_days = models.PositiveSmallIntegerField(default=30)
    retainage_pct = percent()
    detail = models.CharField(max_length=6, choices=Detail, default=Detail.TOTAL)
    cover = NoteField(max_length=2000)
    contents = models.TextField(blank=True, default="")
    digest = models.CharField(max_length=64, blank=True, default="")
    direct = money(13)
    cost = money(13)
    price = money(13)
    sent_at = models.DateTimeField(null=True, blank=True)
    sent_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    valid_until = models.DateField(null=True, blank=True)
    accepted_name = models.CharField(max_length=120, blank=True, default="")
    accepted_on = models.DateField(null=True, blank=True)
    accepted_at = models.DateTimeField(null=True, blank=True)
    accepted_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    closed_why = models.CharField(max_length=400, blank=True, default="")

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["bid", "number"], name="bid_letter_once"),
            models.UniqueConstraint(fields=["bid"], condition=models.Q(state="draft"), name="bid_one_draft"),
            models.UniqueConstraint(fields=["bid"], condition=models.Q(state="accepted"), name="bid_accepted_once"),
            one_of("state", State.values, model="bid_revision"),
            one_of("profit_basis", BasisChoice.values, model="bid_revision"),
            one_of("round_to", ROUND_TO, model="bid_revision"),
            one_of("detail", Detail.values, model="bid_revision"),
            number_between("number", 1, LAST_LETTER, model="bid_revision"),
            number_between("wage", 0, MOST_WAGE, model="bid_revision"),
            number_between("validity_days", 1, 365, model="bid_revision"),
            *(number_between(name, 0, most, model="bid_revision") for name, most in PERCENTS.items()),
            *(number_between(name, 0, MOST_PRICE, model="bid_revision") for name in ("direct", "cost", "price")),
            models.CheckConstraint(
                condition=~models.Q(profit_basis="of_price") | models.Q(profit_pct__lt=100),
                name="bid_revision_profit_of_price_under_100",
            ),
            models.CheckConstraint(
                condition=models.Q(state="draft", sent_at=None, digest="", contents="")
                | (~models.Q(state="draft") & models.Q(sent_at__isnull=False) & ~models.Q(digest="")),
                name="bid_revision_sent_is_kept",
            ),
            models.CheckConstraint(
                condition=~models.Q(state="accepted") | ~models.Q(accepted_name=""), name="bid_accepted_by_someone"
            ),
            no_longer_than("cover", 2000, model="bid_revision"),
            no_longer_than("closed_why", 400, model="bid_revision"),
            no_longer_than("accepted_name", 120, model="bid_revision"),
        ]

    def __str__(self):
        return f"{self.bid} {self.letter}"

    @property
    def letter(self):
        return letter_of(self.number)

    @property
    def is_draft(self):
        return self.state == State.DRAFT


def letter_of(number):
    """1 is A, 26 is Z, 27 is AA."""
    before, last = divmod(number - 1, 26)
    return (chr(ord("A") + before - 1) if before else "") + chr(ord("A") + last)


class LineKind(models.TextChoices):
    WORK = "work", _("Material and labor")
    EQUIPMENT = "equipment", _("Equipment")
    PERMIT = "permit", _("Permit")
    SUB = "sub", _("Sub")
    ADD = "add", _("Alternate, add")
    DEDUCT = "deduct", _("Alternate, deduct")
    ALLOWANCE = "allowance", _("Allowance")
    UNIT_PRICE = "unit_price", _("Unit price")
    EXCLUSION = "exclusion", _("Not included")
    ASSUMPTION = "assumption", _("Assumed")
    PAYMENT = "payment", _("Payment")
    NOTE = "note", _("Note")


class When(models.TextChoices):
    ANY = "", _("at any time")
    BEFORE = "before", _("before drywall")
    AFTER = "after", _("after drywall")


def new_key():
    return secrets.token_hex(6)


class BidLine(ShopRecord):
    """One line of a draft, with a version of its own: two people write one bid. Which boxes count, its kind says.

    key: the same line in every revision. price: said by a person; empty, it is worked out from material and hours.
    """

    revision = models.ForeignKey(BidRevision, on_delete=models.CASCADE, related_name="lines")
    key = models.CharField(max_length=12, default=new_key)
    kind = models.CharField(max_length=10, choices=LineKind)
    place = models.PositiveIntegerField(default=0)
    words = NameField(max_length=400)
    room = models.CharField(max_length=80, blank=True, default="")
    material = money()
    taxable = models.BooleanField(default=True)
    hours = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)
    amount = money()
    price = money()
    quantity = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    unit = models.CharField(max_length=20, blank=True, default="")
    percent = models.DecimalField(max_digits=6, decimal_places=3, null=True, blank=True)
    when = models.CharField(max_length=6, choices=When, blank=True, default="")
    included = models.BooleanField(default=False)  # an allowance whose amount the price holds already

    class Meta:
        ordering = ["place", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["revision", "key"], name="bid_line_key_once"),
            one_of("kind", LineKind.values, model="bid_line"),
            one_of("when", When.values, model="bid_line"),
            number_between("place", 0, 100_000, model="bid_line"),
            *(number_between(name, 0, MOST, model="bid_line") for name in ("material", "amount", "price")),
            number_between("hours", 0, MOST_HOURS, model="bid_line"),
            number_between("quantity", 0, 1_000_000, model="bid_line"),
            number_between("percent", 0, 100, model="bid_line"),
            no_longer_than("words", 400, model="bid_line"),
            no_longer_than("room", 80, model="bid_line"),
            no_longer_than("unit", 20, model="bid_line"),
        ]

    def __str__(self):
        return self.words


class TrueUp(ShopRecord):
    """What was chosen where an accepted bid had an allowance. The latest for a line counts; none is changed."""

    revision = models.ForeignKey(BidRevision, on_delete=models.PROTECT, related_name="true_ups")
    key = models.CharField(max_length=12)  # of the allowance's line
    chosen = models.DecimalField(max_digits=12, decimal_places=2)  # each
    note = models.CharField(max_length=400, blank=True, default="")
    by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            number_between("chosen", 0, MOST, model="true_up"),
            no_longer_than("note", 400, model="true_up"),
        ]


def new_token():
    return secrets.token_urlsafe(24)  # 192 bits: whoever has it reads what it shows, without sign-in


class Shows(models.TextChoices):
    BID = "bid", _("a bid")


class ClientLink(ShopRecord):
    """One address for one client: what it shows, until when, and whose name stands under it.

    It shows one thing as it was when the link was made (digest), and nothing else. Another kind of thing shown is
    another value of `shows` with a column of its own beside bid_revision.
    """

    token = models.CharField(max_length=40, unique=True, default=new_token)
    shows = models.CharField(max_length=10, choices=Shows, default=Shows.BID)
    bid_revision = models.ForeignKey(BidRevision, on_delete=models.PROTECT, related_name="links", null=True, blank=True)
    digest = models.CharField(max_length=64)  # of what it shows
    expires_on = models.DateField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    signed_name = models.CharField(max_length=120, blank=True, default="")
    signed_on = models.DateField(null=True, blank=True)
    signed_at = models.DateTimeField(null=True, blank=True)
    made_by = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="+", null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            one_of("shows", Shows.values, model="client_link"),
            models.CheckConstraint(
                condition=~models.Q(shows="bid") | models.Q(bid_revision__isnull=False),
                name="client_link_shows_something",
            ),
            no_longer_than("signed_name", 120, model="client_link"),
        ]


class ShopTexts(ShopRecord):
    """The shop's own lists that a new bid starts with, one text a line; a payment's percent stands before it."""

    exclusions = NoteField()
    assumptions = NoteField()
    payments = NoteField(max_length=1000)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["shop"], name="bid_texts_once_per_shop"),
            no_longer_than("exclusions", 4000, model="bid_texts"),
            no_longer_than("assumptions", 4000, model="bid_texts"),
            no_longer_than("payments", 1000, model="bid_texts"),
        ]
