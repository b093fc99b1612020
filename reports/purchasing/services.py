"""Ordering, receiving, picking, returning, moving: each one transaction that adds rows and changes none.

Every change begins with the job's row locked, so that what is still to come and what lies there is true when it is
held against what was typed. A slip comes with each press: pressed twice, it counts once.
"""

from dataclasses import dataclass

from django.db import models, transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from projects.jobs.models import Job
from projects.platform.tenancy import save_from
from reports.purchasing.models import (
    MOST,
    ROOM,
    Kind,
    Leftover,
    Movement,
    Order,
    OrderLine,
    PickLine,
    PickList,
    Place,
)
from reports.purchasing.stock import Lies, Moved, lying

MOST_LINES = 500


class NotDone(Exception):
    """What was asked can't be done. The message says why and what to do instead."""


class Refused(NotDone):
    """Some rows can't be taken, and so none was. errors: by the row's id, what is wrong and the remedy."""

    def __init__(self, errors):
        super().__init__(_("Nothing was booked: some rows can't be taken as they stand."))
        self.errors = errors


@dataclass(frozen=True, slots=True)
class Item:
    key: str
    name: str
    unit: str
    quantity: int


def lock(job):
    Job.objects.of(job.shop_id).select_for_update(no_key=True).get(pk=job.pk)


def lies_of(job, key=None):
    """What lies where, by item; with `key`, of that one item."""
    rows = Movement.objects.of(job.shop_id).filter(job=job)
    rows = rows.filter(key=key) if key else rows
    told = rows.order_by().values_list("key", "came_from", "went_to", "room_id").annotate(n=models.Sum("quantity"))
    return lying(Moved(key, came_from, went_to, n, room) for key, came_from, went_to, room, n in told)


# Ordering


@transaction.atomic
def place_order(job, items, *, from_whom, slip, promised_on=None, note="", by=None):
    """Order these items. The same slip again gives the order it made. Raises NotDone for an order of nothing."""
    lock(job)
    if made := Order.objects.of(job.shop_id).filter(job=job, slip=slip).first():
        return made
    if not items:
        raise NotDone(_("Nothing to order: give at least one line a quantity."))
    if len(items) > MOST_LINES:
        raise NotDone(_("Over %(most)s lines. Order them in two.") % {"most": MOST_LINES})
    order = Order.objects.create(
        shop_id=job.shop_id, job=job, number=_next(job.orders), from_whom=from_whom, note=note, slip=slip, by=by,
        at=timezone.now(),
    )  # fmt: skip
    OrderLine.objects.bulk_create(
        OrderLine(
            shop_id=job.shop_id, order=order, key=item.key, name=item.name, unit=item.unit, quantity=item.quantity,
            promised_on=promised_on,
        )
        for item in items
    )  # fmt: skip
    return order


def promise(line, seen_version, promised_on):
    """Move the day a line is promised for. Raises StaleVersion."""
    return save_from(line, seen_version, {"promised_on": promised_on}, at=timezone.now())


def became(shop_id, line_ids):
    """Of each order line, what was received and what is not coming: {id: [received, not coming]}."""
    found = {pk: [0, 0] for pk in line_ids}
    whole = models.Sum("quantity", filter=models.Q(undoes=None), default=0)
    undone = models.Sum("quantity", filter=~models.Q(undoes=None), default=0)
    rows = Movement.objects.of(shop_id).filter(order_line__in=list(found)).order_by()
    for pk, kind, came, back in rows.values_list("order_line_id", "kind").annotate(came=whole, back=undone):
        found[pk][kind == Kind.NOT_COMING] += came - back
    return found


@transaction.atomic
def receive(order, rows, *, slip, by=None, note="", not_coming=False):
    """Book what came: rows are (order line's id, how much, where it was put).

    not_coming: instead, give up so much of each line. Parts may come on several days. The same slip again books
    nothing. Raises Refused with each row that is more than is still to come, and books none.
    """
    job = order.job
    lock(job)
    if _slip_used(job, slip):
        return []
    lines = {line.pk: line for line in order.lines.all()}
    so_far, errors = became(job.shop_id, lines), {}
    for pk, quantity, _place in rows:
        line = lines.get(pk)
        left = line.quantity - sum(so_far[pk]) if line else 0
        if line is None:
            errors[pk] = _("This line is not on the order. Load the page again.")
        elif quantity < 1 or quantity > MOST:
            errors[pk] = _("Give a whole number over 0, or leave it empty.")
        elif quantity > left:
            errors[pk] = _too_much(line, quantity, left)
    if errors:
        raise Refused(errors)
    if not rows:
        raise NotDone(_("Nothing to book: give at least one line a quantity."))
    return [
        _move(
            job, lines[pk], Kind.NOT_COMING if not_coming else Kind.RECEIVED, quantity, "", "" if not_coming else place,
            slip=slip, at=at, by=by, note=note, order_line=lines[pk],
        )
        for at, (pk, quantity, place) in enumerate(rows)
    ]  # fmt: skip


def _too_much(line, quantity, left):
    if not left:
        return _("Nothing of this line is still to come: %(n)s were ordered. Order more first.") % {"n": line.quantity}
    return ngettext(
        "%(n)s is more than the %(left)s still to come. Book that, and order what came beyond it.",
        "%(n)s are more than the %(left)s still to come. Book those, and order what came beyond them.",
        quantity,
    ) % {"n": quantity, "left": left}


# Picking


@transaction.atomic
def write_pick_list(room, items, *, slip, by=None, note=""):
    """A list of what a room is to get. The same slip again gives the list it made. Raises NotDone for an empty one."""
    lock(room.job)
    if made := PickList.objects.of(room.shop_id).filter(room=room, slip=slip).first():
        return made
    if not items:
        raise NotDone(_("Nothing to pick: give at least one line a quantity."))
    if len(items) > MOST_LINES:
        raise NotDone(_("Over %(most)s lines. Write two lists.") % {"most": MOST_LINES})
    made = PickList.objects.create(
        shop_id=room.shop_id, room=room, number=_next(room.pick_lists), note=note, slip=slip, by=by, at=timezone.now()
    )
    PickLine.objects.bulk_create(
        PickLine(pick_list=made, key=item.key, name=item.name, unit=item.unit, quantity=item.quantity) for item in items
    )
    return made


@transaction.atomic
def pick(pick_list, rows, *, slip, by=None, note="", back=False):
    """Take material to the room: rows are (pick line's id, how much, from where). back: bring it back there.

    Raises Refused for what doesn't lie there, and for bringing back more than the room has.
    """
    room = pick_list.room
    job = room.job
    lock(job)
    if _slip_used(job, slip):
        return []
    lines = {line.pk: line for line in pick_list.lines.all()}
    lies, errors = lies_of(job), {}
    for pk, quantity, place in rows:
        line = lines.get(pk)
        if line is None or not 1 <= quantity <= MOST:
            errors[pk] = _("Give a whole number over 0, or leave it empty.")
            continue
        at = lies.setdefault(line.key, Lies())
        there = at.rooms.get(room.pk, 0) if back else at.places[place]
        if quantity > there:
            errors[pk] = _short_of(there, room.name if back else Place(place).label)
        elif back:
            at.rooms[room.pk] = there - quantity
        else:
            at.places[place] = there - quantity
    if errors:
        raise Refused(errors)
    if not rows:
        raise NotDone(_("Nothing to book: give at least one line a quantity."))
    return [
        _move(
            job, lines[pk], Kind.RETURNED if back else Kind.PICKED, quantity, ROOM if back else place,
            place if back else ROOM, slip=slip, at=at, by=by, note=note, room=room, pick_line=lines[pk],
        )
        for at, (pk, quantity, place) in enumerate(rows)
    ]  # fmt: skip


def _short_of(there, where):
    if not there:
        return _("None of it lies there (%(where)s).") % {"where": where}
    return _("Only %(there)s of it lie there (%(where)s).") % {"there": there, "where": where}


# From place to place, and to the shelf


@transaction.atomic
def move(job, item, came_from, went_to, *, slip, by=None, note=""):
    """Carry so much of an item from one place to another. Raises NotDone when it doesn't lie there."""
    lock(job)
    if _slip_used(job, slip):
        return None
    if came_from == went_to:
        raise NotDone(_("It lies there already. Choose another place."))
    _insist_on(job, item, came_from)
    return _move(job, item, Kind.MOVED, item.quantity, came_from, went_to, slip=slip, by=by, note=note)


@transaction.atomic
def leave_over(job, item, came_from, *, lies, slip, by=None, note=""):
    """Put what a job no longer takes on the shop's shelf. Raises NotDone when it doesn't lie there."""
    lock(job)
    if _slip_used(job, slip):
        return None
    _insist_on(job, item, came_from)
    moved = _move(job, item, Kind.LEFT_OVER, item.quantity, came_from, "", slip=slip, by=by, note=note)
    return _shelve(job.shop_id, item, item.quantity, lies=lies, slip=slip, job=job, movement=moved, by=by, note=note)


@transaction.atomic
def take_from_shelf(job, item, went_to, *, lies="", slip, by=None, note=""):
    """Take leftovers for a job. Raises NotDone when the shelf hasn't so many."""
    _lock_shelf(job.shop)
    lock(job)
    if _slip_used(job, slip):
        return None
    _insist_on_shelf(job.shop_id, item, lies)
    moved = _move(job, item, Kind.FROM_SHELF, item.quantity, "", went_to, slip=slip, by=by, note=note)
    return _shelve(job.shop_id, item, -item.quantity, lies=lies, slip=slip, job=job, movement=moved, by=by, note=note)


@transaction.atomic
def count_shelf(shop, item, change, *, lies="", slip, by=None, note=""):
    """Enter leftovers that were found, or write off what is gone (change below 0). Raises NotDone."""
    _lock_shelf(shop)
    if made := Leftover.objects.of(shop).filter(slip=slip).first():
        return made
    if change < 0:
        _insist_on_shelf(shop.pk, item, lies)
    return _shelve(shop.pk, item, change, lies=lies, slip=slip, by=by, note=note)


@transaction.atomic
def take_back(movement, *, slip, by=None, note=""):
    """Undo a movement by its opposite, once. Raises NotDone when what it brought is no longer where it put it."""
    job = movement.job
    lock(job)
    movement = Movement.objects.of(job.shop_id).select_related("undone_by").get(pk=movement.pk)
    if _slip_used(job, slip):
        return None
    if movement.undoes_id or hasattr(movement, "undone_by"):
        raise NotDone(_("This was taken back already."))
    if movement.kind in (Kind.LEFT_OVER, Kind.FROM_SHELF):
        raise NotDone(_("The shelf has its own ledger: put it there, or take it from there, again."))
    lies = lies_of(job, movement.key).get(movement.key, Lies())
    if movement.went_to == ROOM:
        there = lies.rooms.get(movement.room_id, 0)
    else:
        there = lies.places.get(movement.went_to, movement.quantity)  # outside: it can always be asked for again
    if there < movement.quantity:
        raise NotDone(_("Only %(there)s of it lie there now. Bring the rest back first.") % {"there": there})
    return _move(
        job, movement, movement.kind, movement.quantity, movement.went_to, movement.came_from, slip=slip, by=by,
        note=note, room=movement.room, order_line=movement.order_line, pick_line=movement.pick_line, undoes=movement,
    )  # fmt: skip


def shelf(shop_id):
    """What lies on the shop's shelves: key, name, unit, lies, n of it, the last of its rows in the ledger."""
    return (
        Leftover.objects.of(shop_id)
        .order_by("name", "key", "lies")
        .values("key", "unit", "lies")
        .annotate(name=models.Max("name"), n=models.Sum("change"), last=models.Max("pk"))
        .filter(n__gt=0)
        .order_by("name", "key", "lies")
    )


def _shelve(shop_id, item, change, **about):
    return Leftover.objects.create(
        shop_id=shop_id, key=item.key, name=item.name, unit=item.unit, change=change, at=timezone.now(), **about
    )


def _lock_shelf(shop):
    type(shop).objects.select_for_update(no_key=True).get(pk=shop.pk)


def _insist_on(job, item, place):
    there = lies_of(job, item.key).get(item.key, Lies()).places[place]
    if item.quantity > there:
        raise NotDone(_short_of(there, Place(place).label))


def _insist_on_shelf(shop_id, item, lies):
    rows = Leftover.objects.of(shop_id).filter(key=item.key, unit=item.unit, lies=lies)
    there = rows.aggregate(n=models.Sum("change"))["n"] or 0
    if item.quantity > there:
        raise NotDone(_short_of(there, lies or _("the shelf")))


def _move(job, item, kind, quantity, came_from, went_to, *, slip, at=0, **about):
    return Movement.objects.create(
        shop_id=job.shop_id, job=job, kind=kind, key=item.key, name=item.name, unit=item.unit, quantity=quantity,
        came_from=came_from, went_to=went_to, slip=slip, place_on_slip=at, at=timezone.now(), **about,
    )  # fmt: skip


def _slip_used(job, slip):
    return Movement.objects.of(job.shop_id).filter(job=job, slip=slip).exists()


def _next(rows):
    return (rows.aggregate(last=models.Max("number"))["last"] or 0) + 1
