"""Changes of state of change orders and field extras. Each in one transaction; what was sent is never changed.

Who was first decides: each step is one UPDATE that says from which state it goes, so two people who approve approve
once.
"""

from django.db import models, transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.jobs.models import Job
from projects.platform.tenancy import save_from
from reports.changes import photos
from reports.changes.contents import contents_of
from reports.changes.models import (
    ChangedRoom,
    ChangeOrder,
    ContractTerms,
    FieldExtra,
    GoodsSaid,
    MovedLight,
    State,
    TypedLine,
    new_once,
)
from reports.changes.pricing import price_of
from reports.estimating.kept_text import canonical, digest_of
from reports.prices.services import AGAIN

OPEN = (State.DRAFT, State.SENT)
COVERED = (*OPEN, State.APPROVED)


class CannotBeDone(Exception):
    """The change order can't be changed like this as it stands. The message says why, and what to do."""


class MadeJustNow(CannotBeDone):
    """The very same was made within AGAIN: a button pressed twice makes one. made: what was made."""

    def __init__(self, made, words):
        super().__init__(words)
        self.made = made


def _hold_job(job):
    """The job's row is the lock: two people who open one at once get two numbers, and no layout is in two."""
    Job.objects.of(job.shop_id).select_for_update().get(pk=job.pk)


# A draft


@transaction.atomic
def open_change(job, by, *, title, reason="", asked_by="", once=False):
    """An empty draft under the job's next number. once: the press of a button; pressed again raises MadeJustNow."""
    _hold_job(job)
    if once:
        same = {"title": title[:200], "reason": reason, "asked_by": asked_by[:120], "state": State.DRAFT}
        if made := job.changes.filter(**same, created_at__gte=timezone.now() - AGAIN).first():
            raise MadeJustNow(made, _("%s was made a moment ago: this is it. No second one was made.") % made)
    last = job.changes.aggregate(last=models.Max("number"))["last"] or 0
    return ChangeOrder.objects.create(
        shop_id=job.shop_id, job=job, number=last + 1, title=title[:200], reason=reason, asked_by=asked_by[:120]
    )


@transaction.atomic
def open_from_layouts(job, pairs, by, *, title="", reason="", asked_by=""):
    """A draft of what changed between layouts. pairs: (room, revision before or None for as it was bid, after).

    Raises CannotBeDone where nothing changed, or another change order has that layout already.
    """
    if not pairs:
        raise CannotBeDone(_("No room has another layout than its contract has. Issue a revision first."))
    _hold_job(job)
    for room, _before, after in pairs:
        taken = ChangedRoom.objects.filter(room=room, after=after, change__state__in=COVERED).first()
        if taken:
            said = _("%(change)s has revision %(number)s of %(room)s already.")
            raise CannotBeDone(said % {"change": taken.change, "number": after.number, "room": room.name})
    names = ", ".join(room.name for room, _before, _after in pairs)
    change = open_change(
        job, by, title=title or _("Layout changed: %(rooms)s") % {"rooms": names}, reason=reason, asked_by=asked_by
    )
    ChangedRoom.objects.bulk_create(
        ChangedRoom(change=change, room=room, before=before, after=after) for room, before, after in pairs
    )
    return change


@transaction.atomic
def open_from_extra(extra, by, change=None):
    """The extra as a line of a draft: a new one, or one that is open. Pressed twice it is one line."""
    held = FieldExtra.objects.of(extra.shop_id).select_for_update().get(pk=extra.pk)
    if held.change_id:
        return held.change
    if held.closed_why:
        raise CannotBeDone(_("This extra was closed: it isn't charged."))
    if change is None:
        change = open_change(held.job, by, title=str(held), reason=held.words, asked_by=held.asked_by)
    else:
        _hold_draft(change)
    words = f"{str(held).rstrip(' .')}; {_('material')}: {held.material}" if held.material else str(held)
    TypedLine.objects.create(change=change, room=held.room, words=" ".join(words.split())[:200], hours=held.hours or 0)
    save_from(held, held.version, {"change": change}, at=timezone.now())
    _touched(change)
    return change


@transaction.atomic
def open_for_moved_lights(room, revision, idents, by, *, reason="", asked_by=""):
    """A draft for lights that somebody wants elsewhere."""
    title = _("%(room)s: move %(lights)s") % {"room": room.name, "lights": ", ".join(idents)}
    change = open_change(room.job, by, title=title, reason=reason, asked_by=asked_by)
    MovedLight.objects.bulk_create(
        MovedLight(change=change, room=room, revision=revision, ident=ident) for ident in idents
    )
    return change


def change_draft(change, seen_version, changes):
    """Raises StaleVersion, CannotBeDone."""
    _must_be_draft(change)
    return save_from(change, seen_version, changes, at=timezone.now())


@transaction.atomic
def add_line(change, *, once=False, **fields):
    """once: the press of a button; the same line again, right after itself, raises MadeJustNow."""
    held = _hold_draft(change)
    if once and held.updated_at >= timezone.now() - AGAIN:
        last = held.typed_lines.last()
        if last and all(getattr(last, name) == given for name, given in fields.items()):
            raise MadeJustNow(
                last, _("The same line is the last one already: it stands once. For a second one, wait a minute.")
            )
    line = TypedLine.objects.create(change=change, **fields)
    _touched(change)
    return line


@transaction.atomic
def remove_line(change, line_id):
    _hold_draft(change)
    change.typed_lines.filter(pk=line_id).delete()
    _touched(change)


@transaction.atomic
def say_goods(change, room_id, key, goods):
    _hold_draft(change)
    GoodsSaid.objects.update_or_create(change=change, room_id=room_id, key=key, defaults={"goods": goods})
    _touched(change)


@transaction.atomic
def set_terms(job, seen_version, values):
    """The job's own terms; seen_version 0 for the first. Raises StaleVersion."""
    _hold_job(job)
    found = ContractTerms.objects.of(job.shop_id).filter(job=job).first()
    if found is None:
        return ContractTerms.objects.create(shop_id=job.shop_id, job=job, **values)
    return save_from(found, seen_version, values, at=timezone.now())


# Sent, and then


@transaction.atomic
def send(change, by, *, seen_version=None, seen_price=None):
    """Freeze a draft with its price. seen_version, seen_price: what was looked at. Raises CannotBeDone, ChangeError."""
    held = _hold_draft(change)
    if seen_version is not None and held.version != seen_version:
        raise CannotBeDone(_("This was changed by someone else while you had it open. Look at it again, then send it."))
    priced = price_of(held)
    if not priced.change.lines:
        raise CannotBeDone(_("Nothing is in it yet: add a line, or make it from a layout."))
    if priced.change.missing:
        raise CannotBeDone(
            _("No price is known for: %(keys)s. Enter it under Prices, or plug it there with your name.")
            % {"keys": ", ".join(priced.change.missing)}
        )
    if priced.change.hours and not priced.books.rates.entered:
        raise CannotBeDone(_("No wage is entered for this job, so labor comes to nothing. Enter its rates first."))
    if seen_price is not None and str(priced.change.price) != seen_price:
        raise CannotBeDone(_("The sum has changed since it was shown. Look at it again: nothing was sent."))
    contents = canonical(contents_of(held, priced))
    now = timezone.now()
    _rows(held).filter(state=State.DRAFT).update(
        state=State.SENT, contents=contents, digest=digest_of(contents), price=priced.change.price, sent_at=now,
        sent_by=by, version=F("version") + 1, updated_at=now,
    )  # fmt: skip
    return _rows(held).get()


def approve(change, by, *, name, on, ink=""):
    """Signed. Two at once are one approval; a second, later one is refused. Raises CannotBeDone."""
    return _close(change, State.APPROVED, (State.SENT,), by, signed_name=name, signed_on=on, ink=ink)


def reject(change, by, *, why):
    return _close(change, State.REJECTED, (State.SENT,), by, closed_why=why)


@transaction.atomic
def void(change, by, *, why):
    """A draft or an unsigned one that is not wanted. Its field extras are open again."""
    closed = _close(change, State.VOID, OPEN, by, closed_why=why)
    change.extras.update(change=None, version=F("version") + 1, updated_at=timezone.now())
    return closed


def said_yes(change, *, name, on):
    """A yes that was only spoken. It stays red until somebody signs."""
    now = timezone.now()
    if (
        not _rows(change)
        .filter(state__in=OPEN)
        .update(verbal_name=name, verbal_on=on, version=F("version") + 1, updated_at=now)
    ):
        raise CannotBeDone(_("It is closed already."))


def _close(change, state, from_states, by, **more):
    now = timezone.now()
    done = (
        _rows(change)
        .filter(state__in=from_states)
        .update(state=state, closed_at=now, closed_by=by, version=F("version") + 1, updated_at=now, **more)
    )
    stored = _rows(change).get()
    if not done and stored.state != state:
        said = _("%(change)s is %(state)s: that can't be done with it any more.")
        raise CannotBeDone(said % {"change": stored, "state": stored.get_state_display()})
    return stored


def _rows(change):
    return ChangeOrder.objects.of(change.shop_id).filter(pk=change.pk)


def _hold_draft(change):
    held = _rows(change).select_for_update(of=("self",)).select_related("job__shop", "shop").get()
    _must_be_draft(held)
    return held


def _must_be_draft(change):
    if not change.is_draft:
        raise CannotBeDone(_("It was sent: what is in it stays. Make another change order for what is different."))


def _touched(change):
    _rows(change).update(version=F("version") + 1, updated_at=timezone.now())


# Field extras


@transaction.atomic
def write_extra(job, by, *, pictures=(), room=None, once=None, **fields):
    """What the field did, kept with its photos. pictures: as photos.look_at gives them. once: the form's own token;
    with one that was sent before, what was kept then is given back. Other words under the same token (a page gone back
    to, and written anew) are another extra: nothing that was typed is lost.
    """
    once = once or new_once()
    sent = FieldExtra.objects.of(job.shop_id).filter(once=once).first()
    if sent and (sent.job_id != job.pk or any(getattr(sent, name) != given for name, given in fields.items())):
        once = new_once()
    extra, made = FieldExtra.objects.of(job.shop_id).get_or_create(
        shop_id=job.shop_id, once=once, defaults={"job": job, "room": room, "by": by, "at": timezone.now(), **fields}
    )
    if not made:
        return extra
    photos.keep_all(extra, pictures)
    return extra


def close_extra(extra, *, why):
    """It isn't charged. Raises CannotBeDone when a change order has it."""
    now = timezone.now()
    rows = FieldExtra.objects.of(extra.shop_id).filter(pk=extra.pk)
    if not rows.filter(change=None).update(closed_why=why, version=F("version") + 1, updated_at=now):
        raise CannotBeDone(_("A change order has it already."))


@transaction.atomic
def sign_moved_lights(room, revision, idents, by, *, reason, name, on, ink="", seen_price=None):
    """On the phone, before anything moves: drafted, sent and approved in one. Pressed twice, it is signed once: the
    same lights of the same revision with the same words, name and day are what was signed before.

    Raises CannotBeDone, ChangeError.
    """
    _hold_job(room.job)
    if signed := _signed_before(room, revision, idents, reason=reason, signed_name=name, signed_on=on):
        return signed
    change = open_for_moved_lights(room, revision, idents, by, reason=reason, asked_by=name)
    return approve(send(change, by, seen_price=seen_price), by, name=name, on=on, ink=ink)


def _signed_before(room, revision, idents, **said):
    same = room.job.changes.filter(
        state=State.APPROVED, moved_lights__room=room, moved_lights__revision=revision, **said
    ).distinct()
    lights = sorted(set(idents))
    return next((one for one in same if sorted(light.ident for light in one.moved_lights.all()) == lights), None)
