"""Reads of what was marked, set and cut: for as many rooms as are asked for, in a few queries. Changes nothing."""

import json
from dataclasses import dataclass, field

from django.db.models import OuterRef, Subquery

from layout.as_built.models import GO, AsBuilt, MarkMove, MoveState, Step
from layout.engine.lengths import nanometers
from layout.engine.ways.crew_move import on_the_mark
from layout.models import LayoutRevision, RevisionMark


@dataclass(frozen=True, slots=True)
class MarkNow:
    """A mark of the newest revision as things stand. place: where it goes now, a move within the limit or with a yes
    counted in. steps: what was entered of it, by step, wherever it was set.
    """

    mark: RevisionMark
    place: tuple
    move: MarkMove | None = None
    steps: dict = field(default_factory=dict)

    @property
    def ident(self):
        return self.mark.ident

    def stands(self, step) -> bool:
        """Whether it is at this step, where it is to go now."""
        found = self.steps.get(step)
        return found is not None and on_the_mark(found.place, self.place)

    @property
    def astray(self):
        """The steps at which it was set where it doesn't go (any more)."""
        return [step for step in self.steps if not self.stands(step)]

    @property
    def built(self):
        """Where it really is: as cut, else as it was last set, else where it is to go."""
        for step in (Step.CUT, Step.ROUGHED, Step.FRAMING, Step.FLOOR):
            if step.value in self.steps:
                return self.steps[step.value].place
        return self.place


@dataclass(frozen=True, slots=True)
class RoomMarks:
    """A room's marks by its newest revision. revision: None before one is issued. waits: moves not answered yet."""

    revision: LayoutRevision | None = None
    marks: tuple[MarkNow, ...] = ()
    waits: tuple[MarkMove, ...] = ()

    def count(self, step) -> int:
        return sum(mark.stands(step) for mark in self.marks)

    def of(self, ident):
        return next((mark for mark in self.marks if mark.ident == ident), None)


@dataclass(frozen=True, slots=True)
class State:
    """How many of a room's marks are at each step, of how many.

    astray: marks that stand elsewhere than they go. waits: moves that wait for a yes.
    """

    marks: int = 0
    floor: int = 0
    framing: int = 0
    roughed: int = 0
    cut: int = 0
    astray: int = 0
    waits: int = 0
    revision: int | None = None


def state_of(rooms) -> dict[int, State]:
    """Each room's counts by its id. As many queries for two hundred rooms as for one."""
    return {room_id: _state(now) for room_id, now in marks_now(rooms).items()}


def _state(now):
    return State(
        len(now.marks),
        *(now.count(step.value) for step in Step),
        astray=sum(bool(mark.astray) for mark in now.marks),
        waits=len(now.waits),
        revision=now.revision and now.revision.number,
    )


def marks_now(rooms) -> dict[int, RoomMarks]:
    """Each room's newest revision's marks with what was entered of them, by the room's id. rooms: of one shop."""
    rooms = list(rooms)
    if not rooms:
        return {}
    shop, ids = rooms[0].shop_id, [room.pk for room in rooms]
    revisions = _newest(shop, ids)
    entered = _by_room(AsBuilt.objects.of(shop).filter(room__in=ids, current=True).select_related("mark", "by__user"))
    moves = _by_room(MarkMove.objects.of(shop).filter(room__in=ids, state__in=[*GO, MoveState.WAITS]).order_by("pk"))
    turned = _turned(shop, revisions, entered, moves)
    found = {}
    for room in rooms:
        revision = revisions.get(room.pk)
        if revision is None:
            found[room.pk] = RoomMarks()
            continue
        same = turned.get(room.pk, lambda _id: True)
        marks = _marks(revision, entered.get(room.pk, ()), moves.get(room.pk, ()), same)
        waits = tuple(
            move for move in moves.get(room.pk, ()) if move.state == MoveState.WAITS and move.revision_id == revision.pk
        )
        found[room.pk] = RoomMarks(revision, marks, waits)
    return found


def marks_of(room) -> RoomMarks:
    return marks_now([room])[room.pk]


def _newest(shop, ids):
    last = LayoutRevision.objects.of(shop).filter(room=OuterRef("room")).order_by("-number").values("pk")[:1]
    revisions = (
        LayoutRevision.objects.of(shop)
        .filter(room__in=ids, pk=Subquery(last))
        .defer("inputs", "result")
        .prefetch_related("marks__fixture_type")
    )
    return {revision.room_id: revision for revision in revisions}


def _by_room(rows):
    found = {}
    for row in rows:
        found.setdefault(row.room_id, []).append(row)
    return found


def _turned(shop, revisions, entered, moves):
    """For rooms with entries of an older revision: whether that one was counted from the same corner, by its id.

    A turned zero corner gives the same letters and numbers to other places.
    """
    asked = {}
    for room_id, revision in revisions.items():
        older = {row.mark.revision_id for row in entered.get(room_id, ())}
        older |= {move.revision_id for move in moves.get(room_id, ())}
        if older - {revision.pk}:
            asked[room_id] = older | {revision.pk}
    if not asked:
        return {}
    every = set().union(*asked.values())
    rows = LayoutRevision.objects.of(shop).filter(pk__in=every).values_list("pk", "inputs")
    corner = {pk: json.loads(inputs).get("inputs", {}).get("orientation") for pk, inputs in rows}
    return {
        room_id: lambda one, newest=revisions[room_id].pk: corner.get(one) == corner.get(newest) for room_id in asked
    }


def _marks(revision, entered, moves, same_corner):
    steps, goes = {}, {}
    for row in entered:
        if same_corner(row.mark.revision_id):
            steps.setdefault((row.ident, row.mark.kind), {})[row.step] = row
    for move in moves:
        if move.state in GO and same_corner(move.revision_id):
            for ident, (along, across, *had) in json.loads(move.moves).items():
                goes[ident, *had] = (nanometers(along), nanometers(across)), move
    found = []
    for mark in revision.marks.all():
        place, move = goes.get((mark.ident, int(mark.along), int(mark.across)), ((mark.along, mark.across), None))
        if place == (mark.along, mark.across):
            move = None  # moved and put back
        found.append(MarkNow(mark, place, move, steps.get((mark.ident, mark.kind), {})))
    return tuple(found)


def last_moves(room, most=20):
    """What was asked from this room and how it was answered, the newest first."""
    return list(room.mark_moves.select_related("asked_by__user", "decided_by__user").order_by("-pk")[:most])
