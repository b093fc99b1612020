"""Moves of rooms from stage to stage, and what holds them up: each in one transaction, with what was asked stored.

A move forward asks every guard on its way. What is missing refuses it, unless the owner passes that guard by name with
a reason; a pass stays open and marks nothing done. Several rooms move all or none, in a fixed number of reads.
"""

from dataclasses import dataclass

from django.core.exceptions import PermissionDenied
from django.db import models, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.catalogue.tables import stage_number, stage_questions, stages
from projects.jobs.models import HeldUp, Room
from projects.jobs.services import move_stages
from projects.platform.names import clean_name, clean_note
from projects.platform.permissions import may
from projects.platform.tenancy import StaleVersion
from projects.stages.guards import GUARDS, Guard
from projects.stages.models import LONGEST_MISSING, GuardResult, Outcome, Pass, Said, SideEvent, Turn
from projects.stages.order import guards_between, name_of, numbers_of, place_of
from projects.stages.queries import look, open_passes

MOST_AT_ONCE = 200


@dataclass(frozen=True, slots=True)
class Lack:
    """Why one room can't move: a guard's key and title with what it says is missing; no key: something else."""

    words: str
    key: str = ""
    title: str = ""
    safety: bool = False
    page: str = ""
    said: str = ""

    @classmethod
    def of(cls, one: Guard, words):
        return cls(words, one.key, str(one.title), one.safety, one.page, one.said)


class Refused(Exception):
    """No room was moved. lacks: {room: its Lacks}."""

    def __init__(self, lacks):
        self.lacks = lacks
        super().__init__(_("Nothing was moved: %(n)s of the rooms can't go there yet.") % {"n": len(lacks)})


# Moving


def move(room, to, *, by, note="", passes=None, seen_version=None, waits_for="", says=None, at=None):
    """Move one room to a stage, forward or back. See move_all. Raises StaleVersion when seen_version is older."""
    with transaction.atomic():
        if seen_version is not None:
            now = Room.objects.of(room.shop_id).select_for_update(no_key=True).get(pk=room.pk)
            if now.version != seen_version:
                raise StaleVersion(now, {"stage": to, "note": note, "waits_for": waits_for})
        return move_all(
            room.shop, [room.pk], to, by=by, note=note, passes=passes, waits_for=waits_for, says=says, at=at
        )[0]


def back(room, to, *, by, note, seen_version=None, waits_for=""):
    """Send a room back to an earlier stage, and say why. Raises Refused for one that isn't earlier."""
    if place_of(to, room.job) >= place_of(room.stage, room.job):
        raise Refused({room: [Lack(_("Stage %(stage)s is not behind the room.") % {"stage": to})]})
    return move(room, to, by=by, note=note, seen_version=seen_version, waits_for=waits_for)


@transaction.atomic
def move_all(shop, room_ids, to, *, by, note="", passes=None, waits_for="", says=None, at=None):
    """Move these rooms to a stage, all or none. Gives their events, by room id.

    passes: {guard's key: why it is passed}, for the owner. says: {question's key: words}, what `by` has seen.
    A room that stays at its stage only changes whom it waits for. Raises Refused, PermissionDenied, Room.DoesNotExist.
    """
    passes = {key: clean_note(why) for key, why in (passes or {}).items() if why.strip()}
    if passes and not may(by, "pass guards"):
        raise PermissionDenied("pass guards")
    rooms = _locked(shop, room_ids)
    at = at or timezone.now()
    _say(rooms, to, says or {}, by, at)
    ways = {room: guards_between(room.job, room.stage, to) for room in rooms}
    standing = list(open_passes(shop).filter(room__in=rooms)) if rooms else []
    missing = look(_by_guard(ways, standing))
    lacks = {room: found for room in rooms if (found := _lacks(room, to, note, ways[room], missing, passes))}
    if lacks:
        raise Refused(lacks)
    events = move_stages(rooms, to, by=by, note=note, waits_for=waits_for, at=at)
    passed = _keep_results(events, ways, missing, passes, by, at)
    _close_met(standing, missing, by, at, {(one.room_id, one.guard) for one in passed})
    _take_back_what_was_said(rooms, to)
    return events


def _locked(shop, room_ids):
    wanted = set(room_ids)
    if not 1 <= len(wanted) <= MOST_AT_ONCE:
        raise ValueError(f"1 to {MOST_AT_ONCE} rooms at once")
    rows = Room.objects.of(shop).filter(pk__in=wanted).select_related("job__shop", "shop").order_by("pk")
    rooms = list(rows.select_for_update(of=("self",), no_key=True))
    if len(rooms) != len(wanted):
        raise Room.DoesNotExist
    return rooms


def _is_ahead(room, to):
    return place_of(to, room.job) > place_of(room.stage, room.job)


def _by_guard(ways, standing):
    """{guard: the rooms to ask it for}: those on the rooms' ways, and those passed earlier."""
    asked, rooms = {}, {room.pk: room for room in ways}
    for room, guards in ways.items():
        for one in guards:
            asked.setdefault(one.key, {})[room.pk] = room
    for old in standing:
        asked.setdefault(old.guard, {})[old.room_id] = rooms[old.room_id]
    return {key: list(found.values()) for key, found in asked.items()}


def _lacks(room, to, note, guards, missing, passes):
    if room.cancelled:
        return [Lack(_("The room is cancelled. Bring it back first."))]
    ahead = _is_ahead(room, to)
    if to not in numbers_of(room.job.runs_as):
        words = _("A job that runs as %(kind)s has no stage %(stage)s.")
        return [Lack(words % {"kind": room.job.get_runs_as_display(), "stage": _(stages()[to].name)})]
    if ahead and room.held_up:
        words = _("The room is held up (%(kind)s): %(why)s. Let it go on first.")
        return [Lack(words % {"kind": room.get_held_up_display(), "why": room.held_up_why})]
    if not ahead and to != room.stage and not note.strip():
        return [Lack(_("A room that goes back needs a reason. Say why."))]
    return [
        Lack.of(one, words)
        for one in guards
        if (words := missing[one.key].get(room.pk)) and one.key not in passes
    ]


def _keep_results(events, ways, missing, passes, by, at):
    results, passed = [], []
    by_room = {room.pk: guards for room, guards in ways.items()}
    for event in events:
        for one in by_room[event.room_id]:
            words = missing[one.key].get(event.room_id, "")[:LONGEST_MISSING]
            outcome = Outcome.PASSED if words else Outcome.MET
            results.append(
                GuardResult(event=event, guard=one.key, title=str(one.title)[:200], outcome=outcome, missing=words)
            )
            if words:
                passed.append(
                    Pass(
                        shop_id=event.room.shop_id, room_id=event.room_id, event=event, guard=one.key,
                        title=str(one.title)[:200], safety=one.safety, missing=words, why=passes[one.key], by=by, at=at,
                    )
                )  # fmt: skip
    GuardResult.objects.bulk_create(results)
    return Pass.objects.bulk_create(passed)


def _close_met(standing, missing, by, at, passed_now=frozenset()):
    """Passes whose guard is met now are answered by that. One that is passed anew stays open in the newer pass."""
    met, anew = [], []
    for old in standing:
        if old.guard not in missing:
            continue  # nobody asks this any more: it is answered with words
        still = missing[old.guard].get(old.room_id)
        if not still:
            met.append(old.pk)
        elif (old.room_id, old.guard) in passed_now:
            anew.append(old.pk)
    shop = standing[0].shop_id if standing else None
    for found, words in ((met, ""), (anew, _("Passed anew."))):
        if found:
            Pass.objects.of(shop).filter(pk__in=found, answered_at=None).update(
                answered_at=at, answered_by=by, answer=words, version=models.F("version") + 1, updated_at=timezone.now()
            )
    return len(met)


# What a person says by name


def _say(rooms, to, says, by, at):
    """What was said for this move; only of questions on the way."""
    rows = []
    for key, words in says.items():
        one = next((found for found in GUARDS.values() if found.said and found.said == key), None)
        rows += [
            Said(shop_id=room.shop_id, room=room, question=key, words=clean_note(words), by=by, at=at)
            for room in rooms
            if one in guards_between(room.job, room.stage, to)
        ]
    Said.objects.bulk_create(rows)


def _take_back_what_was_said(rooms, to):
    """A room that went back is asked again what lies ahead of it."""
    behind = [room for room in rooms if place_of(to, room.job) < place_of(room.stage, room.job)]
    gone = models.Q(pk__in=[])
    for room in behind:
        again = [key for key, one in stage_questions().items() if _asked_again(one, to, room.job)]
        gone |= models.Q(room=room, question__in=again)
    if behind:
        Said.objects.of(behind[0].shop_id).filter(gone, stands=True).update(stands=False)


def _asked_again(question, to, job):
    place, here = place_of(stage_number(question.stage), job), place_of(to, job)
    return place > here or (place == here and question.at == "leave")


# Passes afterwards


@transaction.atomic
def look_again(room, *, by):
    """Ask the guards that were passed once more. Gives how many are met now, and so closed."""
    room = _locked(room.shop, [room.pk])[0]
    standing = list(open_passes(room))
    return _close_met(standing, look({old.guard: [room] for old in standing}), by, timezone.now())


class StaysOpen(Exception):
    """A safety item that was passed: words don't close it, only meeting it does."""

    def __init__(self):
        super().__init__(_("This is a safety item: it stays open until it is met. Answer it where it is kept."))


@transaction.atomic
def answer_pass(passed, words, *, by, seen_version):
    """Answer an open pass with words. The first answer stands. Raises StaysOpen, StaleVersion."""
    if passed.safety:
        raise StaysOpen
    words = clean_note(words)
    if not words:
        raise ValueError("an answer has words")
    here = Pass.objects.of(passed.shop_id).filter(pk=passed.pk, version=seen_version, answered_at=None)
    now = timezone.now()
    if not here.update(
        answer=words, answered_by=by, answered_at=now, updated_at=now, version=models.F("version") + 1
    ):
        raise StaleVersion(Pass.objects.of(passed.shop_id).get(pk=passed.pk), {"answer": words})


# Held up, cancelled


def hold(room, kind, *, who, why, by):
    """Hold one room up. See hold_all."""
    return hold_all(room.shop, [room.pk], kind, who=who, why=why, by=by)[0]


@transaction.atomic
def hold_all(shop, room_ids, kind, *, who, why, by, at=None):
    """Hold these rooms up: on hold, blocked by another trade, or rework; who must act, and why. All or none.

    Raises Refused for a room that is cancelled.
    """
    who, why, kind = clean_name(who), clean_note(why), HeldUp(kind)
    if not who or not why:
        raise ValueError("who must act, and why")
    rooms = _locked(shop, room_ids)
    _refuse({room: _("The room is cancelled. Bring it back first.") for room in rooms if room.cancelled})
    return _turn(
        rooms, Turn(kind.value), who, why, by, at, held_up=kind, held_up_why=why, waits_for=who, held_up_since=True
    )


def lift(room, *, by, note=""):
    """Let one room go on. See lift_all."""
    return lift_all(room.shop, [room.pk], by=by, note=note)[0]


@transaction.atomic
def lift_all(shop, room_ids, *, by, note=""):
    """Let held-up rooms go on; nobody has to act any more. Raises Refused for a room that is not held up."""
    rooms = _locked(shop, room_ids)
    _refuse({room: _("The room is not held up.") for room in rooms if not room.held_up})
    return _turn(
        rooms, Turn.LIFTED, "", clean_note(note), by, None, held_up="", held_up_why="", waits_for="", held_up_since=None
    )


@transaction.atomic
def cancel(room, *, why, by):
    """Cancel a room: it stays, with its history, and counts nowhere. Raises Refused."""
    why = clean_note(why)
    if not why:
        raise ValueError("a reason")
    rooms = _locked(room.shop, [room.pk])
    _refuse({one: _("The room is cancelled already.") for one in rooms if one.cancelled})
    return _turn(
        rooms, Turn.CANCELLED, "", why, by, None,
        cancelled=True, held_up="", held_up_why="", held_up_since=None, waits_for="",
    )[0]  # fmt: skip


@transaction.atomic
def bring_back(room, *, by, note=""):
    """Take a room's cancelling back. Raises Refused."""
    rooms = _locked(room.shop, [room.pk])
    _refuse({one: _("The room is not cancelled.") for one in rooms if not one.cancelled})
    return _turn(rooms, Turn.BROUGHT_BACK, "", clean_note(note), by, None, cancelled=False)[0]


def _refuse(words):
    if words:
        raise Refused({room: [Lack(said)] for room, said in words.items()})


def _turn(rooms, what, who, why, by, at, **fields):
    """One event each, and the rooms as they are now."""
    at = at or timezone.now()
    if fields.get("held_up_since"):
        fields["held_up_since"] = at
    shop_id = rooms[0].shop_id
    turns = [SideEvent(shop_id=shop_id, room=room, what=what, who=who, why=why, by=by, at=at) for room in rooms]
    SideEvent.objects.bulk_create(turns)
    Room.objects.of(shop_id).filter(pk__in=[room.pk for room in rooms]).update(
        version=models.F("version") + 1, updated_at=timezone.now(), **fields
    )
    return turns


# Taken over


@transaction.atomic
def take_over(room, to, *, by, at, note=""):
    """A move that happened before this book was kept, from the shop's notes: its guards are kept as not looked at."""
    room = Room.objects.of(room.shop_id).select_related("job__shop", "shop").get(pk=room.pk)
    guards = guards_between(room.job, room.stage, to)
    event = move_stages([room], to, by=by, note=note, at=at, waits_for=room.waits_for)[0]
    GuardResult.objects.bulk_create(
        GuardResult(event=event, guard=one.key, title=str(one.title)[:200], outcome=Outcome.NOTED) for one in guards
    )
    return event


def told(room, to) -> str:
    """'Kitchen is at stage 5, Rough-in.'"""
    return _("%(room)s is at stage %(stage)s, %(name)s.") % {
        "room": room, "stage": to, "name": name_of(to, room.job),
    }  # fmt: skip
