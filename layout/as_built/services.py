"""Changes to what was marked, set and cut, each in one transaction. What needs a yes is asked, and answered once."""

import json
from dataclasses import dataclass

from django.db import models, transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout.as_built import words as say
from layout.as_built.models import AsBuilt, MarkMove, MoveState, Reason, Step
from layout.as_built.queries import MarkNow, marks_of
from layout.engine.lengths import Length, nanometers
from layout.engine.marks import Kind
from layout.engine.ways.crew_move import CrewMove, crew_move, may_stay, on_the_mark
from layout.models import PLACE
from layout.services import thawed
from projects.jobs.models import Room
from projects.jobs.queries import room_of
from projects.jobs.waiting import wait_for, wait_no_more
from projects.platform.permissions import may

STEPS = [step.value for step in Step]
A_YES = gettext_lazy("a yes to a moved mark")


class NotKept(Exception):
    """What was entered can't be kept as it is. The message says why and what to do."""


class CutoutNotVerified(NotKept):
    """Nobody has held a fixture of this type to a test hole."""


class WontFit(NotKept):
    """A hole there would come onto framing, or onto what nothing takes from."""


class Differs(Exception):
    """Somebody else entered something else meanwhile. theirs: the AsBuilt that stands; mine: (along, across)."""

    def __init__(self, message, theirs, mine):
        super().__init__(message)
        self.theirs, self.mine = theirs, mine


class StaleMove(NotKept):
    """Answered already, or a later revision moved the mark."""

    def __init__(self):
        super().__init__(_("This was answered already, or a later revision moved the mark. Look at the room again."))


@dataclass(frozen=True, slots=True)
class Recorded:
    """What came of an entry. record: what is kept; None while a yes is waited for. move: with all that moves along."""

    record: AsBuilt | None
    move: MarkMove | None = None

    @property
    def waits(self):
        return self.move is not None and self.move.state == MoveState.WAITS


@transaction.atomic
def record(
    room, ident, *, step, along=None, across=None, reason="", words="", by, base=0, at=None, alone=False, number=None
) -> Recorded:
    """Keep where a mark was set at one step. along, across: from the ceiling's zero corner; none: where it goes now.

    base: the version of this mark and step that was last seen, 0 for none. number: the revision of the card that was
    worked from. A mark set elsewhere moves its lines with it: within the job's limit at once, beyond it when somebody
    who may move marks says yes; a hole that is cut is kept wherever it is. Raises NotKept, Differs.
    """
    room = _locked(room)
    if step not in STEPS:
        raise NotKept(_("%s is no step of a mark. Use floor, framing, roughed or cut.") % step)
    now = marks_of(room)
    if now.revision is None:
        raise NotKept(_("%s has no issued revision: there is no mark to set yet. Issue one first.") % room)
    mark = now.of(ident)
    if mark is None:
        told = {"mark": ident, "number": now.revision.number}
        raise NotKept(_("%(mark)s is no mark of revision %(number)s. Look at the newest card.") % told)
    place = _typed(along, across, mark)
    there = room.as_built.filter(ident=ident, step=step, current=True).first()
    if there is not None and there.place == place and there.mark_id == mark.mark.pk:
        return Recorded(there)  # the same said twice, by whoever
    if base != (there.version if there else 0):
        raise _meanwhile(ident, there, place)
    _same_place_on_their_card(room, mark, number, there, place)
    layout = thawed(now.revision) if step == Step.CUT or not on_the_mark(place, mark.place) else None
    if step == Step.CUT:
        _may_be_cut(mark, layout, place)
    entered = _Entry(room, now, mark, step, place, reason, words, by, at or timezone.now(), alone)
    move = None if on_the_mark(place, mark.place) else _moved(entered, layout)
    if move is not None and move.state == MoveState.WAITS and step != Step.CUT:
        return Recorded(None, move)
    return Recorded(_kept(entered, there), move)


def _meanwhile(ident, there, mine):
    return Differs(_("%s was entered by somebody else meanwhile. Look at both.") % ident, there, mine)


@dataclass(frozen=True, slots=True)
class _Entry:
    room: Room
    now: object
    mark: MarkNow
    step: str
    place: tuple
    reason: str
    words: str
    by: object
    at: object
    alone: bool


def _locked(room):
    """The room's row is the lock: two phones are heard one after the other."""
    Room.objects.of(room.shop_id).select_for_update().get(pk=room.pk)
    return room_of(room.shop, room.pk)


def _typed(along, across, mark):
    place = (mark.place[0] if along is None else along, mark.place[1] if across is None else across)
    for name, at in zip((_("Along"), _("Across")), place, strict=True):
        if not PLACE[0] <= at <= PLACE[1]:
            raise NotKept(_("%(name)s: that is outside the room. Measure from the zero corner.") % {"name": name})
    return tuple(Length(at.nm) if at.nm.denominator == 1 else nanometers(round(at.nm)) for at in place)


def _same_place_on_their_card(room, mark, number, there, place):
    """A card of an older revision may have had this mark elsewhere."""
    if number is None or number == mark.mark.revision.number:
        return
    old = room.revisions.filter(number=number).first()
    theirs = old and old.marks.filter(ident=mark.ident).first()
    if theirs is None or (theirs.along, theirs.across) != (mark.mark.along, mark.mark.across):
        told = {"mark": mark.ident, "number": mark.mark.revision.number}
        raise Differs(_("Revision %(number)s has %(mark)s elsewhere. Get the new card first.") % told, there, place)


def _may_be_cut(mark, layout, place):
    fitting = layout.inputs.fittings[Kind(mark.mark.kind)]
    kind = mark.mark.fixture_type
    if not kind.verified or kind.cutout != fitting.cutout:
        told = {"mark": mark.ident, "type": kind.name}
        raise CutoutNotVerified(
            _("Don't cut %(mark)s: nobody has verified the cutout of %(type)s. Cut a test hole first, in scrap.") % told
        )
    stops = may_stay(layout, mark.ident, place)
    if stops:
        told = {"mark": mark.ident, "near": ", ".join(dict.fromkeys(why.near for why in stops))}
        raise WontFit(_("Don't cut %(mark)s there: it won't fit beside %(near)s. Move it, or ask.") % told)


def _kept(entered, there):
    """Write the row, and let the one before stand as history. Raises Differs when somebody was faster."""
    mark, (along, across), (to_along, to_across) = entered.mark.mark, entered.place, entered.mark.place
    if there is not None:
        gone = AsBuilt.objects.of(entered.room.shop_id).filter(pk=there.pk, current=True).update(current=False)
        if not gone:
            raise _meanwhile(mark.ident, there, entered.place)
    on_it = on_the_mark(entered.place, entered.mark.place)
    row = AsBuilt(
        shop_id=entered.room.shop_id, room=entered.room, mark=mark, ident=mark.ident, step=entered.step, along=along,
        across=across, to_along=to_along, to_across=to_across, reason="" if on_it else entered.reason,
        words=entered.words, by=entered.by, at=entered.at, version=_version(entered) + 1,
    )  # fmt: skip
    row.clean_fields(exclude=["shop", "room", "mark", "by"])
    row.save()
    return row


def _version(entered):
    rows = entered.room.as_built.filter(ident=entered.mark.ident, step=entered.step)
    return rows.aggregate(last=models.Max("version"))["last"] or 0


# Moves


def _moved(entered, layout) -> MarkMove:
    """What moves with it, done or asked. Raises NotKept without a reason."""
    if not entered.reason or entered.reason not in Reason.values:
        off = say.off_in_words(_off(entered), entered.room.job.tape)
        told = {"mark": entered.mark.ident, "off": off}
        raise NotKept(_("%(mark)s is off by %(off)s. Say why: joist, duct, client or error.") % told)
    moved = {one.ident: one.place for one in entered.now.marks if one.move is not None}
    found = crew_move(
        layout, moved, entered.mark.ident, entered.place, entered.room.job.crew_may_move, alone=entered.alone
    )
    if found.free:
        return _move(entered, found, MoveState.WITHIN)
    if may(entered.by, "move marks"):
        return _move(entered, found, MoveState.YES, decided_by=entered.by, decided_at=timezone.now())
    return _ask(entered, found)


def _off(entered):
    return tuple(at - to for at, to in zip(entered.place, entered.mark.place, strict=True))


def _move(entered, found: CrewMove, state, **decided):
    along, across = entered.place
    had = {one.ident: (int(one.mark.along), int(one.mark.across)) for one in entered.now.marks}
    moves = {ident: [int(place[0]), int(place[1]), *had[ident]] for ident, place in found.moves.items()}
    row = MarkMove(
        shop_id=entered.room.shop_id, room=entered.room, revision=entered.now.revision, ident=entered.mark.ident,
        step=entered.step, along=along, across=across, alone=entered.alone, state=state, reason=entered.reason,
        words=entered.words, moves=json.dumps(moves, separators=(",", ":")),
        far=found.far.exact(), why=say.all_said(found, entered.room.job.tape)[:2000], asked_by=entered.by,
        at=entered.at, **decided,
    )  # fmt: skip
    row.clean_fields(exclude=["shop", "room", "revision", "asked_by", "decided_by"])
    row.save()
    return row


def _ask(entered, found):
    room = entered.room
    room.mark_moves.filter(ident=entered.mark.ident, state=MoveState.WAITS).update(
        state=MoveState.ANEW, decided_at=timezone.now(), version=models.F("version") + 1
    )
    asked = _move(entered, found, MoveState.WAITS)
    wait_for(room, A_YES)
    return asked


@transaction.atomic
def answer(room, move_id, *, yes, note="", by) -> MarkMove:
    """Say yes, and the mark is kept where the crew put it and its lines go along; or no, with a note. Once.

    Raises StaleMove, NotKept.
    """
    room = _locked(room)
    asked = room.mark_moves.filter(pk=move_id, state=MoveState.WAITS).first()
    if asked is None:
        raise StaleMove
    if not yes and not note.strip():
        raise NotKept(_("A no needs a note: say what the crew is to do instead."))
    now = marks_of(room)
    mark = now.of(asked.ident)
    had = json.loads(asked.moves).get(asked.ident, [])[2:]
    if yes and (mark is None or [int(mark.mark.along), int(mark.mark.across)] != had):
        raise StaleMove
    asked.state, asked.note = (MoveState.YES if yes else MoveState.NO), note
    asked.decided_by, asked.decided_at, asked.version = by, timezone.now(), asked.version + 1
    asked.clean_fields(exclude=["shop", "room", "revision", "asked_by", "decided_by"])
    asked.save()
    if yes and asked.step != Step.CUT:  # a hole was kept when it was cut
        there = room.as_built.filter(ident=asked.ident, step=asked.step, current=True).first()
        place = asked.along, asked.across
        if there is None or there.place != place:
            entry = _Entry(
                room, now, mark, asked.step, place, asked.reason, asked.words, asked.asked_by, asked.at, asked.alone
            )
            _kept(entry, there)
    if not room.mark_moves.filter(state=MoveState.WAITS).exists():
        wait_no_more(room, A_YES)
    return asked


@transaction.atomic
def take_back(room, ident, *, step, by, base) -> AsBuilt:
    """What was entered by mistake no longer counts; it stays in the history. Raises NotKept, Differs."""
    room = _locked(room)
    there = room.as_built.filter(ident=ident, step=step, current=True).first()
    if there is None:
        raise NotKept(_("Nothing is entered for %s at this step.") % ident)
    if there.version != base:
        raise _meanwhile(ident, there, there.place)
    there.current, there.taken_back_by, there.taken_back_at = False, by, timezone.now()
    there.save()
    return there


def record_all(room, idents, *, step, by, at=None, number=None) -> list[Recorded]:
    """A whole row at once, where each goes now: entered from the floor when the ladder is put away. All or nothing.

    What stands there already is left as it was entered.
    """
    with transaction.atomic():
        now = marks_of(_locked(room))
        there = {mark.ident: mark for mark in now.marks}
        kept = []
        for ident in dict.fromkeys(idents):
            mark = there.get(ident)
            if mark is not None and mark.stands(step):
                kept.append(Recorded(mark.steps[step]))
                continue
            base = mark.steps[step].version if mark is not None and step in mark.steps else 0
            kept.append(record(room, ident, step=step, by=by, base=base, at=at, number=number))
        return kept
