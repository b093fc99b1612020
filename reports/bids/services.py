"""Changes to bids, each in one transaction: written, sent once, accepted once. What was sent is never changed.

Every change begins with the bid's row locked, so that nobody writes a line while it is sent. Lines have versions of
their own; a bid's terms have the revision's.
"""

from datetime import timedelta

from django.db import IntegrityError, models, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.jobs.models import Job
from projects.platform.tenancy import StaleVersion, save_from
from reports.bids import ground
from reports.bids.contents import draft_contents
from reports.bids.contents import kept as contents_kept
from reports.bids.models import (
    PERCENTS,
    Bid,
    BidLine,
    BidRevision,
    ClientLink,
    LineKind,
    Outcome,
    ShopTexts,
    State,
    TrueUp,
    letter_of,
)
from reports.bids.texts import LISTS, texts_of
from reports.estimating.kept_text import canonical, digest_of
from reports.prices.services import AGAIN

MOST_LINES = 400
TERMS = (
    *PERCENTS, "wage", "profit_basis", "round_to", "validity_days", "detail", "cover", "takeoff_id",
)  # fmt: skip
COPIED = (
    "key", "kind", "place", "words", "room", "material", "taxable", "hours", "amount", "price", "quantity", "unit",
    "percent", "when", "included",
)  # fmt: skip


class NotDone(Exception):
    """What was asked can't be done now. The message says why, and what to do instead."""


class NumberTaken(NotDone):
    """Another bid of the shop has this number."""


class AlreadySent(NotDone):
    """This revision was sent: it stays as it is, and a change is a new revision."""

    def __init__(self, revision):
        super().__init__(
            _("Revision %(letter)s was sent and stays as it is. Start the next revision and change that.")
            % {"letter": revision.letter}
        )


class MadeJustNow(NotDone):
    """The very same was made within AGAIN: a button pressed twice makes one. made: what was made."""

    def __init__(self, made, words):
        super().__init__(words)
        self.made = made


class LooksOtherwise(NotDone):
    """It was changed since it was looked at: nothing is sent unseen."""

    def __init__(self):
        super().__init__(_("This bid was changed since you looked at it. Look it over, then send it."))


# Writing


@transaction.atomic
def open_bid(job, *, by, number="", client="", once=False):
    """A bid with revision A, the shop's usual texts and the terms of its latest bid.

    once: the press of a button. Raises NumberTaken, and MadeJustNow (with the revision) for a second press.
    """
    if once:
        _refuse_second_press(job, number, client or job.client)
    before = BidRevision.objects.of(job.shop_id).order_by("-pk").first()
    bid = _numbered(Bid(shop_id=job.shop_id, job=job, number=number, client=client or job.client))
    terms = {name: getattr(before, name) for name in TERMS if name not in ("cover", "takeoff_id")} if before else {}
    revision = BidRevision.objects.create(shop_id=job.shop_id, bid=bid, number=1, **terms | ground.terms_of(job))
    _usual_texts(revision)
    return revision


def _numbered(bid):
    """Stored under its number, else under the next free one, which somebody else may take in the same moment."""
    given, left = bid.number, 5
    while True:
        bid.number, left = given or _free_number(bid.job), left - 1
        try:
            with transaction.atomic():
                bid.save()
            return bid
        except IntegrityError as clash:
            if given or not left:
                raise NumberTaken(_("Another bid has this number. Give it one of its own.")) from clash


def _refuse_second_press(job, number, client):
    Job.objects.of(job.shop_id).select_for_update(no_key=True).get(pk=job.pk)
    same = {"bid__job": job, "bid__client": client, "bid__created_at__gte": timezone.now() - AGAIN}
    if number:
        same["bid__number"] = number
    made = BidRevision.objects.of(job.shop_id).filter(**same, number=1, state=State.DRAFT).first()
    if made:
        raise MadeJustNow(made, _("Bid %s was started a moment ago: this is it. No second one was made.") % made.bid)


def _usual_texts(revision):
    place, lines = 0, []
    for name, texts in texts_of(revision.shop_id).items():
        for text in texts:
            place += 10
            lines.append(
                BidLine(
                    shop_id=revision.shop_id, revision=revision, kind=LISTS[name], place=place, words=text.words,
                    percent=text.percent,
                )
            )  # fmt: skip
    BidLine.objects.bulk_create(lines)


def _free_number(job):
    taken = set(Bid.objects.of(job.shop_id).values_list("number", flat=True))
    stem = f"B-{job.number}"[:16]
    return next(name for n in range(1, len(taken) + 2) if (name := stem if n == 1 else f"{stem}-{n}") not in taken)


def locked(revision):
    """The revision as stored, its bid's row held until the transaction ends."""
    bid = Bid.objects.of(revision.shop_id).select_for_update(no_key=True).get(pk=revision.bid_id)
    found = BidRevision.objects.of(revision.shop_id).get(pk=revision.pk)
    found.bid = bid
    return found


def _lock_job(revision):
    """Where a change needs the job's row as well, it comes before the bid's: no two wait for each other."""
    Job.objects.of(revision.shop_id).select_for_update(no_key=True).get(pk=revision.bid.job_id)


def _draft(revision):
    found = locked(revision)
    if not found.is_draft:
        raise AlreadySent(found)
    return found


@transaction.atomic
def change_terms(revision, seen_version, changes):
    """Raises AlreadySent, StaleVersion."""
    return save_from(_draft(revision), seen_version, changes, at=timezone.now())


@transaction.atomic
def change_bid(bid, seen_version, changes):
    """Its number and client, while no revision was sent. Raises StaleVersion, NotDone."""
    Bid.objects.of(bid.shop_id).select_for_update(no_key=True).get(pk=bid.pk)
    if bid.revisions.exclude(state=State.DRAFT).exists():
        raise NotDone(_("A revision of this bid was sent: its number and client stay."))
    try:
        with transaction.atomic():
            return save_from(bid, seen_version, changes, at=timezone.now())
    except IntegrityError as clash:
        raise NumberTaken(_("Another bid has this number. Give it one of its own.")) from clash


@transaction.atomic
def discard_bid(bid, seen_version):
    """Throw away a bid that nobody was sent, with its lines. Kept takeoffs stay. Raises NotDone, StaleVersion."""
    held = Bid.objects.of(bid.shop_id).select_for_update(no_key=True).filter(pk=bid.pk).first()
    if held is None:
        return
    if held.version != seen_version:
        raise StaleVersion(held, {})
    if not may_be_discarded(held):
        raise NotDone(_("A bid that was sent, or has an outcome, stays on record."))
    held.revisions.all().delete()
    Bid.objects.of(bid.shop_id).filter(pk=bid.pk).delete()


def may_be_discarded(bid):
    return bid.outcome == Outcome.OPEN and not bid.revisions.exclude(state=State.DRAFT).exists()


@transaction.atomic
def take_takeoff(revision, which, *, by):
    """Stand a draft on a takeoff: "now", the id of a kept one, or "" for figures typed in alone.

    With it come the wage, burden and tax it was priced with. Raises AlreadySent, NotDone, ground.CannotCount.
    """
    _lock_job(revision)
    found = _draft(revision)
    if not which:
        return _set(found, takeoff=None)
    takeoff = ground.keep_takeoff(found, by=by) if which == "now" else ground.takeoff_of(found, which)
    if takeoff is None:
        raise NotDone(_("That takeoff isn't one of this job's."))
    return _set(found, takeoff=takeoff, **ground.rates_in(takeoff))


@transaction.atomic
def add_line(revision, kind, *, once=False, **fields):
    """At the end of its kind. once: the press of a button. Raises AlreadySent, NotDone, MadeJustNow."""
    found = _draft(revision)
    if once and (made := found.lines.filter(kind=kind, created_at__gte=timezone.now() - AGAIN, **fields).first()):
        raise MadeJustNow(
            made, _("The same line was added a moment ago: it stands once. For a second one, wait a minute.")
        )
    last = found.lines.aggregate(count=models.Count("pk"), place=models.Max("place"))
    if last["count"] >= MOST_LINES:
        raise NotDone(_("A bid takes %(most)s lines. Gather some of them in one.") % {"most": MOST_LINES})
    line = BidLine(shop_id=found.shop_id, revision=found, kind=kind, place=(last["place"] or 0) + 10, **fields)
    line.clean_fields(exclude=["shop", "revision"])
    line.save()
    return line


@transaction.atomic
def change_line(line, seen_version, changes):
    """Raises AlreadySent, StaleVersion."""
    _draft(line.revision)
    return save_from(line, seen_version, changes, at=timezone.now())


@transaction.atomic
def remove_line(line, seen_version):
    """Raises AlreadySent, StaleVersion when somebody changed it since: their words aren't thrown away unseen."""
    _draft(line.revision)
    gone, _each = BidLine.objects.of(line.shop_id).filter(pk=line.pk, version=seen_version).delete()
    if not gone and (stored := BidLine.objects.of(line.shop_id).filter(pk=line.pk).first()):
        raise StaleVersion(stored, {})


@transaction.atomic
def keep_texts(shop, seen_version, lists):
    """The shop's own lists. Raises StaleVersion."""
    own, _made = ShopTexts.objects.of(shop).get_or_create(
        shop=shop, defaults=dict.fromkeys(LISTS, "")
    )  # a first save starts at version 1, which is what a page without a record names
    return save_from(own, seen_version, lists, at=timezone.now())


# Sending


@transaction.atomic
def send(revision, seen, *, by, on):
    """Keep the draft as it stands, word for word, and give the client a link to it. Pressed twice, sent once.

    Args: seen: the digest of what was looked at. on: today, in the shop's own zone.
    Raises: LooksOtherwise, NotDone, BidError. Returns: the revision as sent.
    """
    found = locked(revision)
    if found.state == State.SENT and found.digest == seen:
        return found
    if not found.is_draft:
        raise AlreadySent(found)
    _refuse_when_won(found.bid)
    lines = list(found.lines.all())
    contents = draft_contents(found, lines, ground.base_for(found))
    kept = canonical(contents)
    if digest_of(kept) != seen:
        raise LooksOtherwise
    if troubles := ground.not_ready(contents):
        raise NotDone(" ".join(str(trouble) for trouble in troubles))
    now, until = timezone.now(), on + timedelta(days=found.validity_days)
    found.bid.revisions.filter(state=State.SENT).update(
        state=State.SUPERSEDED,
        closed_why=_("Revision %(letter)s took its place.") % {"letter": found.letter},
        version=models.F("version") + 1,
    )
    BidRevision.objects.of(found.shop_id).filter(pk=found.pk).update(
        state=State.SENT, contents=kept, digest=seen, sent_at=now, sent_by=by, valid_until=until,
        direct=contents["sums"]["direct"], cost=contents["sums"]["cost"], price=contents["sums"]["price"],
        version=models.F("version") + 1,
    )  # fmt: skip
    ClientLink.objects.create(shop_id=found.shop_id, bid_revision=found, digest=seen, expires_on=until, made_by=by)
    Bid.objects.of(found.shop_id).filter(pk=found.bid_id).update(
        outcome=Outcome.OPEN, outcome_why="", outcome_on=None, version=models.F("version") + 1
    )
    return locked(found)


@transaction.atomic
def next_revision(bid, *, by):
    """The next letter, a copy of the latest. With a draft at hand, that draft. Raises NotDone once it was accepted."""
    Bid.objects.of(bid.shop_id).select_for_update(no_key=True).get(pk=bid.pk)
    latest = bid.revisions.order_by("-number").first()
    if latest.is_draft:
        return latest
    _refuse_when_won(bid)
    terms = {name: getattr(latest, name) for name in TERMS}
    made = BidRevision.objects.create(shop_id=bid.shop_id, bid=bid, number=latest.number + 1, **terms)
    BidLine.objects.bulk_create(
        BidLine(shop_id=bid.shop_id, revision=made, **{name: getattr(line, name) for name in COPIED})
        for line in latest.lines.all()
    )
    return made


def _refuse_when_won(bid):
    accepted = bid.revisions.filter(state=State.ACCEPTED).first()
    if accepted:
        raise NotDone(
            _("Revision %(letter)s was accepted: that is the contract. What changes now is a change order.")
            % {"letter": accepted.letter}
        )


@transaction.atomic
def withdraw(revision, *, why):
    """Take a sent revision back. Its link says so. Taken back twice, once is enough. Raises NotDone."""
    found = locked(revision)
    if found.state == State.WITHDRAWN:
        return found
    if found.state != State.SENT:
        raise NotDone(_("Only a bid that is out can be withdrawn; this one is %(state)s.") % _state(found))
    _set(found, state=State.WITHDRAWN, closed_why=why)
    return locked(found)


# The client's answer


@transaction.atomic
def accept(revision, digest, *, name, on, today, by=None, link=None):
    """Accept a sent revision, as it was sent. Pressed twice, accepted once; the first name stands.

    Args: digest: of what was looked at. name, on: as signed. by: who wrote a signature on paper down.
    Raises: NotDone with the reason.
    """
    _lock_job(revision)
    found = locked(revision)
    if found.digest != digest:
        raise NotDone(_("This is not the bid that was looked at. Open it again."))
    if found.state == State.ACCEPTED:
        return found
    if found.state != State.SENT:
        raise NotDone(_("This revision is %(state)s and can't be accepted. Ask for the newest one.") % _state(found))
    if today > found.valid_until:
        raise NotDone(
            _("This bid was good until %(day)s. Ask for a new one: prices may have changed.")
            % {"day": found.valid_until}
        )
    other = BidRevision.objects.of(found.shop_id).filter(bid__job_id=found.bid.job_id, state=State.ACCEPTED).first()
    if other:
        raise NotDone(_("Another bid for this job was accepted already. What is added now is a change order."))
    now = timezone.now()
    _set(found, state=State.ACCEPTED, accepted_name=name, accepted_on=on, accepted_at=now, accepted_by=by)
    if link is not None:
        ClientLink.objects.of(found.shop_id).filter(pk=link.pk).update(
            signed_name=name, signed_on=on, signed_at=now, version=models.F("version") + 1
        )
    Bid.objects.of(found.shop_id).filter(pk=found.bid_id).update(
        outcome=Outcome.WON, outcome_why="", outcome_on=on, version=models.F("version") + 1
    )
    return locked(found)


def accept_by_link(link, digest, *, name, on, today):
    """As accept(), for who holds the link. Raises NotDone."""
    with transaction.atomic():
        _lock_job(link.bid_revision)
        locked(link.bid_revision)
        held = ClientLink.objects.of(link.shop_id).get(pk=link.pk)
        if held.revoked_at:
            raise NotDone(_("This link was closed. Ask for a new one."))
        if today > held.expires_on:
            raise NotDone(_("This link was open until %(day)s. Ask for a new one.") % {"day": held.expires_on})
        if held.digest != digest:
            raise NotDone(_("This is not the bid that was looked at. Open it again."))
        return accept(link.bid_revision, digest, name=name, on=on, today=today, link=held)


@transaction.atomic
def new_link(revision, *, by):
    """Another link to a revision that is out; earlier ones are closed. Raises NotDone."""
    found = locked(revision)
    if found.state != State.SENT:
        raise NotDone(_("Only a bid that is out has a link; this one is %(state)s.") % _state(found))
    _close_links(found)
    return ClientLink.objects.create(
        shop_id=found.shop_id, bid_revision=found, digest=found.digest, expires_on=found.valid_until, made_by=by
    )


@transaction.atomic
def close_links(revision):
    """The client's links to this revision show nothing from now on."""
    _close_links(locked(revision))


def _close_links(revision):
    revision.links.filter(revoked_at=None).update(revoked_at=timezone.now(), version=models.F("version") + 1)


@transaction.atomic
def record_outcome(bid, seen_version, *, outcome, why, on):
    """Lost, or no answer, and why. What was out is not to be accepted any more. Raises NotDone, StaleVersion."""
    Bid.objects.of(bid.shop_id).select_for_update(no_key=True).get(pk=bid.pk)
    if bid.revisions.filter(state=State.ACCEPTED).exists():
        raise NotDone(_("This bid was accepted: it is won."))
    stored = save_from(bid, seen_version, {"outcome": outcome, "outcome_why": why, "outcome_on": on}, at=timezone.now())
    if outcome in (Outcome.LOST, Outcome.NO_ANSWER):
        bid.revisions.filter(state=State.SENT).update(state=State.LOST, closed_why=why, version=models.F("version") + 1)
    return stored


@transaction.atomic
def true_up_allowance(revision, key, *, chosen, note, by):
    """What was chosen for an allowance of the accepted bid, each. Raises NotDone."""
    found = locked(revision)
    if found.state != State.ACCEPTED:
        raise NotDone(_("An allowance is settled once the bid was accepted."))
    if key not in _allowances(found):
        raise NotDone(_("That is no allowance of this bid. Load the page again."))
    return TrueUp.objects.create(
        shop_id=found.shop_id, revision=found, key=key, chosen=chosen, note=note, by=by, at=timezone.now()
    )


def _allowances(revision):
    return [line["key"] for line in contents_kept(revision)["lines"] if line["kind"] == LineKind.ALLOWANCE]


def _set(revision, **fields):
    BidRevision.objects.of(revision.shop_id).filter(pk=revision.pk).update(
        **fields, version=models.F("version") + 1, updated_at=timezone.now()
    )


def _state(revision):
    return {"state": revision.get_state_display(), "letter": letter_of(revision.number)}
