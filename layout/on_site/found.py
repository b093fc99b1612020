"""What was found on site, and the layout that follows: issued at once within the limits, asked about outside them.

What the tape says is kept whatever follows from it. A layout follows from it by the ways out, in a crew's order.
"""

from copy import copy
from dataclasses import dataclass

from django.db import models, transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from layout.engine.findings import Code
from layout.engine.lengths import ZERO, Distance
from layout.engine.room import RoomLayout, lay_out
from layout.engine.ways import words as say
from layout.engine.ways.out import ways_of
from layout.engine.ways.rules import WayKind
from layout.inputs import inputs_of
from layout.kept import Numbers, as_json, from_json, numbers_of, try_on
from layout.models import Answer, LayoutRevision, SiteMove
from layout.offers.taking import alternatives, last_way, numbers_with, take_way, types_of
from layout.offers.ways import names_of
from layout.services import approve_revision, change_numbers, draft_of, issue_revision
from projects.ceilings.services import ceiling_of, change_ceiling
from projects.jobs.models import Room
from projects.jobs.queries import room_of
from projects.jobs.waiting import wait_for, wait_no_more
from projects.platform.permissions import may

A_YES = gettext_lazy("a yes to a move on site")
# With one of these no card is issued from the site.
BLOCKS = {Code.ON_A_JOIST, Code.NEAR_A_THING, Code.TOO_DEEP, Code.OUTSIDE_OUTLINE, Code.HOLES_TOO_CLOSE}

# Ways that only move what is there.
MOVES = {WayKind.SLIDE, WayKind.RESPACE, WayKind.PAIRS, WayKind.SHIFT, WayKind.ONE_ALONE}


class StaleMove(Exception):
    """The room, its ceiling or its numbers changed since this was asked, or it was answered already."""

    def __str__(self):
        return str(_("The room changed since this was asked, or it was answered already. Work it out on site again."))


@dataclass(frozen=True, slots=True)
class Follows:
    """What follows from what was found. One of revision (a card can be printed), asked (someone has to say yes), or
    neither: nothing clears it within reach.
    """

    words: str
    revision: LayoutRevision | None = None
    asked: SiteMove | None = None


@dataclass(frozen=True, slots=True)
class _Step:
    """A layout that clears, as a change of the draft's numbers; nothing to change where it clears as it is.

    asks: somebody has to say yes, however little moves: another light, another count, a limit of the shop's passed.
    """

    layout: RoomLayout
    change: dict
    kind: str
    words: str
    cost: str = ""
    asks: bool = False


def found_on_site(room, seen_version, entry, *, found, by) -> Follows:
    """Keep what was found, and issue or ask for the layout that follows.

    entry: all that is then known of the ceiling. found: what the tape said, in words.
    Raises StaleVersion, TooMany, and what lay_out, inputs_of and draft_of raise; then nothing is kept.
    """
    draft = draft_of(room)
    start = _as_decided(room, draft)
    stand_at = _marks_to_keep(room, draft)
    trial = copy(draft)
    try_on(trial, start)
    steps = list(_steps(room, trial, lay_out(inputs_of(room, trial, entry))))
    with transaction.atomic():
        ceiling = change_ceiling(ceiling_of(room), seen_version, entry)
        fresh = room_of(room.shop, room.pk)
        if not steps:
            return Follows(_("Kept. Nothing within reach clears it: look at the ways out on the room's page."))
        within = next((step for step in steps if not step.asks and _within(stand_at, step.layout, draft)), None)
        if within is not None and may(by, "lay out"):
            return _issue(fresh, draft, start, within, found, by)
        step = within or steps[0]
        if may(by, "approve layouts"):
            return _issue(fresh, draft, start, step, found, by, approve=True)
        return _ask(fresh, draft, ceiling, start, step, found, by)


def _as_decided(room, draft) -> Numbers:
    """The numbers somebody decided on, without what moved on site by itself since: that is worked out anew."""
    way = last_way(room)
    if way is not None and way.on_site and draft.pk is not None and way.draft_version == draft.version:
        return from_json(way.before)
    return numbers_of(draft)


def _marks_to_keep(room, draft):
    """Where the marks were when somebody last decided: the newest revision that isn't a move on site by itself."""
    decided = models.Q(from_site=False) | models.Q(approved_at__isnull=False)
    revision = room.revisions.filter(decided).order_by("-number").first()
    if revision is not None:
        return _by_place(revision.marks.all())
    return _by_place(lay_out(inputs_of(room, draft)).arrangement.marks)


def _by_place(marks):
    """Where each mark stands, by its kind, its row and which of its row it is: on another switch it has another ID."""
    found, in_row = {}, {}
    for mark in marks:
        row = mark.kind, mark.row
        in_row[row] = in_row.get(row, 0) + 1
        found[*row, in_row[row]] = (mark.along, mark.across)
    return found


def _steps(room, draft, layout):
    """The layout as it is where that clears, else each way out in a crew's order."""
    asked = _codes(layout.arrangement.findings)
    if not asked & BLOCKS:
        yield _Step(layout, {}, "", _("Every mark stays where it is."))
        return
    types, tape = types_of(room.shop), room.job.tape
    names = names_of(room, layout.inputs.orientation)
    for way in ways_of(layout, alternatives(types, draft)).ways:
        still = _codes(way.still)
        if not still & BLOCKS:
            words, cost = say.say_way(way, tape, names), "; ".join(say.say_costs(way, tape))
            asks = way.kind not in MOVES or bool(still - asked)
            yield _Step(way.layout, dict(way.change), way.kind.value, words, cost, asks)


def _codes(findings):
    return {finding.code for finding in findings}


def _within(before, layout, draft) -> bool:
    moved = how_far(before, layout)
    return moved is not None and moved[0] <= draft.columns_may_move and moved[1] <= draft.rows_may_move


def how_far(before, layout) -> tuple[Distance, Distance] | None:
    """The farthest any mark stands from where it was, along and across; None where there are other marks now."""
    after = _by_place(layout.arrangement.marks)
    if after.keys() != before.keys():
        return None
    moves = [(abs(after[one][0] - at[0]), abs(after[one][1] - at[1])) for one, at in before.items()]
    return (
        max((along for along, _across in moves), key=lambda by: by.nm, default=ZERO),
        max((across for _along, across in moves), key=lambda by: by.nm, default=ZERO),
    )


def _issue(room, draft, start, step, found, by, *, approve=False):
    if step.change or start != numbers_of(draft):
        told = {"kind": step.kind, "words": step.words, "cost": step.cost, "reason": found, "by": by}
        take_way(draft, draft.version, step.change, before=start, on_site=True, **told)
    note = _("Found on site: %(found)s. %(words)s") % {"found": found, "words": step.words}
    revision = issue_revision(room, by=by, note=note[:400], from_site=True)
    if approve:
        approve_revision(revision, by=by)
    return Follows(step.words, revision=revision)


def _ask(room, draft, ceiling, start, step, found, by):
    numbers = numbers_with(start, step.change, types_of(room.shop))
    room.site_moves.filter(state=Answer.WAITS).update(  # what was found later stands for it
        state=Answer.REFUSED, note=_("asked anew"), decided_at=timezone.now()
    )
    asked = SiteMove.objects.create(
        shop_id=room.shop_id,
        room=room,
        found=found[:400],
        words=step.words[:1000],
        draft_version=draft.version if draft.pk else 0,
        ceiling_version=ceiling.version,
        change=as_json(numbers),
        asked_by=by,
    )
    wait_for(room, A_YES)
    return Follows(step.words, asked=asked)


def waiting(room):
    """What was asked from this room and not answered yet."""
    return room.site_moves.filter(state=Answer.WAITS).select_related("asked_by__user").first()


def last_site_move(room):
    """The last thing asked from this room, and how it was answered."""
    return room.site_moves.select_related("asked_by__user", "decided_by__user").first()


@transaction.atomic
def answer(room, move_id, *, yes, note, by) -> LayoutRevision | None:
    """Say yes, and the layout is issued and approved; or no, with a note. Raises StaleMove and what issuing raises."""
    Room.objects.of(room.shop_id).select_for_update().get(pk=room.pk)  # the lock: it is answered once
    asked = room.site_moves.filter(pk=move_id, state=Answer.WAITS).first()
    if asked is None:
        raise StaleMove
    revision = _issue_asked(room, asked, by) if yes else None
    SiteMove.objects.of(room.shop_id).filter(pk=asked.pk).update(
        state=Answer.APPROVED if yes else Answer.REFUSED,
        note=note,
        decided_by=by,
        decided_at=timezone.now(),
        version=models.F("version") + 1,
        updated_at=timezone.now(),
    )
    wait_no_more(room, A_YES)
    return revision


def _issue_asked(room, asked, by):
    draft, ceiling = draft_of(room), ceiling_of(room)
    known = draft.version if draft.pk else 0
    if (known, ceiling.version) != (asked.draft_version, asked.ceiling_version):
        raise StaleMove
    numbers: Numbers = from_json(asked.change)
    if numbers != numbers_of(draft):
        change_numbers(draft, draft.version, numbers)
    note = _("Found on site: %(found)s. %(words)s") % {"found": asked.found, "words": asked.words}
    revision = issue_revision(room, by=asked.asked_by, note=note[:400], from_site=True)
    approve_revision(revision, by=by)
    return revision
