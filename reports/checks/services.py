"""Answers to a checklist, each in one transaction. The rules of an answer stand here; nothing is ever written over."""

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.catalogue.table_values import ChecklistItem
from projects.catalogue.tables import checklist
from projects.jobs.models import Room
from projects.photos import services as photos
from projects.platform.names import clean_note
from projects.platform.tenancy import save_from
from reports.checks.models import MOST_WORDS, Answer, OncePer, Outcome, RoomKnown, Run
from reports.checks.queries import items_of, known_of_rooms
from reports.estimating.checklist import Bearing, tailored
from reports.estimating.kept_text import canonical

NEEDS_WORDS = (Outcome.FAIL, Outcome.NOT_HERE)


class NotAnswered(Exception):
    """The answer can't be kept as it is. field: the box to fill; the message says what is missing."""

    def __init__(self, field, message):
        super().__init__(message)
        self.field = field


class AnsweredOtherwise(Exception):
    """Somebody answered otherwise since the page was opened. theirs: the Answer that stands; mine: the outcome sent."""

    def __init__(self, theirs, mine, reason):
        super().__init__(_("Somebody else answered this otherwise since you opened it. Look at both, answer again."))
        self.theirs, self.mine, self.reason = theirs, mine, reason


def answer(room, number, outcome, *, by, reason="", photo=None, base=0, at=None):
    """One item of a room; one that is asked once for its floor or job is answered for all of it. Returns the Answer.

    base: the version of the answer the person had before them, 0 for none. The same outcome from two people is one
    answer with the words of both. Raises NotAnswered, AnsweredOtherwise.
    """
    item = item_of(room.job, number, room=room)
    once_per = OncePer(item.once_per)
    run = run_of(room.job, once_per, room=room, level=room.level)
    return _kept(run, number, outcome, by=by, reason=reason, photo=photo, base=base, at=at)


def answer_for(job, number, outcome, *, level="", by, reason="", photo=None, base=0, at=None):
    """One item of the job's own, or of one of its floors. Raises NotAnswered, AnsweredOtherwise."""
    item = item_of(job, number)
    once_per = OncePer(item.once_per)
    if once_per is OncePer.ROOM:
        raise NotAnswered("number", _("Item %(number)s is answered room by room.") % {"number": number})
    run = run_of(job, once_per, level=level)
    return _kept(run, number, outcome, by=by, reason=reason, photo=photo, base=base, at=at)


def item_of(job, number, room=None) -> ChecklistItem:
    """The item of the list this job or room is answered by. Raises NotAnswered for a number that isn't in it."""
    for item in items_of(job, room=room):
        if item.number == number:
            return item
    raise NotAnswered("number", no_such_item(number))


def no_such_item(number):
    return _("The checklist has no item %(number)s. Look at its numbers.") % {"number": number}


def run_of(job, once_per, *, room=None, level=""):
    """The run, begun with the list as it stands today where nobody has begun it."""
    where = {
        OncePer.ROOM: {"room": room, "level": ""},
        OncePer.FLOOR: {"room": None, "level": level},
        OncePer.JOB: {"room": None, "level": ""},
    }[once_per]
    table = checklist()
    kept = canonical([_plain(item) for item in table.items if item.once_per == once_per])
    made = {"list_version": table.version, "closing": table.closing, "contents": kept}
    run, _made = Run.objects.of(job.shop_id).get_or_create(
        shop_id=job.shop_id, job=job, once_per=once_per.value, **where, defaults=made
    )
    return run


def _plain(item):
    return {name: getattr(item, name) for name in ChecklistItem.__slots__} | {"applies": list(item.applies)}


@transaction.atomic
def _kept(run, number, outcome, *, by, reason, photo, base, at):
    outcome, reason = _read(outcome, reason)
    Run.objects.of(run.shop_id).select_for_update(no_key=True).get(pk=run.pk)  # two answers at once come one by one
    stands = run.answers.filter(number=number, current=True).first()
    if stands is not None:
        if stands.outcome != outcome and stands.version != base:
            raise AnsweredOtherwise(stands, outcome, reason)
        reason = _both(stands, reason) if stands.version != base else reason
        photo = photo or stands.photo
        if (stands.outcome, stands.reason, stands.photo_id) == (outcome, reason, photo.pk if photo else None):
            return stands
        Answer.objects.filter(pk=stands.pk).update(current=False)
    version = stands.version + 1 if stands else 1
    return Answer.objects.create(
        run=run, number=number, version=version, outcome=outcome, reason=reason, photo=photo, by=by,
        at=at or timezone.now(),
    )  # fmt: skip


def _read(outcome, reason):
    if outcome not in Outcome.values:
        raise NotAnswered("outcome", _("Answer: choose pass, fail or n/a."))
    reason = clean_note(reason or "")
    if len(reason) > MOST_WORDS:
        raise NotAnswered("reason", _("Reason: at most %(most)s characters. Shorten it.") % {"most": MOST_WORDS})
    if outcome in NEEDS_WORDS and not reason:
        words = {
            Outcome.FAIL: _("Reason: a fail needs words. Say what is wrong and where."),
            Outcome.NOT_HERE: _("Reason: n/a needs words. Say why it does not come up here."),
        }
        raise NotAnswered("reason", words[Outcome(outcome)])
    return outcome, reason


def _both(stands, reason):
    """The words of two people who came to the same outcome; more than fit are two answers, one after the other."""
    if not reason or reason in stands.reason:
        return stands.reason
    joined = f"{stands.reason}\n{reason}" if stands.reason else reason
    return joined if len(joined) <= MOST_WORDS else reason


def one_by_one(item) -> bool:
    """Whether an item is looked at and answered by itself, never with others by one press."""
    return bool(item.caution or item.holds)


@transaction.atomic
def pass_rest(room, group, *, by):
    """Pass what bears on the room of one group and nobody answered yet. Returns how many.

    What is a caution, or what the inspection waits for, is never passed like this: each is answered by itself.
    """
    known = known_of_rooms([room])[room.pk]
    run = run_of(room.job, OncePer.ROOM, room=room)
    answered = set(run.answers.filter(current=True).values_list("number", flat=True))
    passed = [
        each.item.number
        for each in tailored(items_of(room.job, room=room), known)
        if each.item.group == group
        and each.item.once_per == OncePer.ROOM
        and not one_by_one(each.item)
        and each.bearing is Bearing.YES
        and each.item.number not in answered
    ]
    for number in passed:
        answer(room, number, Outcome.PASS.value, by=by)
    return len(passed)


@transaction.atomic
def tell(room, seen_version, said, *, by):
    """What a person in the room said about it: a dict of ASKED_ON_SITE, None for not known. Raises StaleVersion."""
    Room.objects.of(room.shop_id).select_for_update(no_key=True).get(pk=room.pk)
    known, made = RoomKnown.objects.of(room.shop_id).get_or_create(
        shop_id=room.shop_id, room=room, defaults={**said, "by": by}
    )
    if made:
        return known
    return save_from(known, seen_version, {**said, "by": by}, at=timezone.now())


def photo_of_item(room, number, upload, *, by, taken_at=None):
    """A photo that goes with an answer, kept among the room's photos. Raises NoPicture, QuotaFull."""
    caption = _("Checklist item %(number)s") % {"number": number}
    return photos.keep(room, upload, by=by, caption=caption, taken_at=taken_at)


def stands_on_it(photo):
    """Why a photo can't be taken back: an answer points to it. Words, or nothing."""
    found = Answer.objects.filter(photo=photo).order_by("pk").first()
    return _("Checklist item %(number)s was answered with this photo.") % {"number": found.number} if found else ""
