"""One entry from a phone: taken once, in one transaction, whatever the line did to it. Knows no request."""

import json
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from hashlib import sha256
from io import BytesIO

from django.contrib.sessions.backends.db import SessionStore
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import InMemoryUploadedFile
from django.db import IntegrityError, models, transaction
from django.http import Http404
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.files import pictures
from projects.jobs.models import Room
from projects.photos.models import KEPT_SIDE
from projects.platform.permissions import may
from projects.platform.tenancy import StaleVersion, save_from
from reports.field.entries import ENTRIES, Conflict, Refused
from reports.field.models import MOST_WAITING, EntryKept, Phone

Outcome = EntryKept.Outcome
MOST_PICTURES = 300  # of a shop, kept with entries that wait for a look
LONGEST_WAIT = timedelta(days=60)  # an entry said to be older is dated no further back


class OtherBody(Exception):
    """The key was used before for something else. Nothing was done."""

    def __str__(self):
        return str(_("This key was used for another entry already. Nothing was changed."))


class NotAllowed(Exception):
    """The person's role has no such action. Nothing is kept: the phone still has it."""

    def __str__(self):
        return str(_("Your role can't enter this. It stays on the phone; ask the lead."))


@dataclass(frozen=True, slots=True)
class Sent:
    """An entry as the phone sent it. waited: how long ago it was entered, by the phone's own clock, or None.

    after: the key of the phone's own entry just before this one about the same thing. left: how many wait behind it.
    """

    key: str
    kind: str
    room_id: int
    base: int
    data: dict = field(default_factory=dict)
    after: str = ""
    said_at: str = ""
    waited: timedelta | None = None
    picture: bytes | None = None
    phone: str = ""
    left: int | None = None

    @property
    def digest(self):
        """Of what was meant, not of how it came: a repeat has another waited."""
        meant = [self.kind, self.room_id, self.base, self.data, self.after, self.said_at]
        told = sha256(json.dumps(meant, sort_keys=True).encode())
        told.update(sha256(self.picture or b"").digest())
        return told.hexdigest()


def entered_at(waited, now):
    """When it was entered by the server's clock: the phone says how long ago, and nothing lies in the future."""
    if waited is None:
        return now
    return now - min(max(waited, timedelta(0)), LONGEST_WAIT)


@transaction.atomic
def take(member, sent):
    """Apply the entry, or say why not; either way once. A key that came before gets the answer it had.

    Returns the EntryKept. Raises OtherBody, NotAllowed.
    """
    kind = ENTRIES[sent.kind]
    if not may(member, kind.may):
        raise NotAllowed
    kept, first = _claimed(member, sent)
    if not first:
        if kept.digest != sent.digest:
            raise OtherBody
        return kept
    _apply(kept, kind, member, _base_of(member, sent))
    if kept.needs_a_look and sent.picture:
        kept.picture = _kept_to_look_at(member, kept, sent.picture)
    kept.save()
    return kept


def _kept_to_look_at(member, kept, picture):
    """The photo of an entry that waits for a look, written anew: what is no picture is not kept, nor more than so many.

    The phone has its own until somebody settled the entry.
    """
    waiting = EntryKept.objects.of(member.shop_id).filter(settled_at=None, picture__isnull=False).exclude(pk=kept.pk)
    if waiting.exclude(outcome=Outcome.APPLIED).count() >= MOST_PICTURES:
        return None
    try:
        return pictures.as_jpeg(pictures.rewritten(_as_upload(picture), side=KEPT_SIDE))
    except pictures.NoPicture:
        return None


@transaction.atomic
def enter(member, room, name, data, base, file):
    """The same from a page with signal and no script: no key, no queue. Raises Refused, Conflict, NotAllowed."""
    kind = ENTRIES[name]
    if not may(member, kind.may):
        raise NotAllowed
    held = _held(member.shop_id, room.pk)
    if held is None:
        raise Http404
    try:
        return kind.apply(member, held, data, base, timezone.now(), file)
    except ValidationError as wrong:
        raise Refused(" ".join(wrong.messages)) from wrong


def _held(shop_id, room_id):
    """The room, its row being the lock: entries about one room are applied one after the other."""
    rooms = Room.objects.of(shop_id).filter(pk=room_id).select_related("job", "shop")
    return rooms.select_for_update(of=("self",)).first()


def _claimed(member, sent):
    """The key's row, and whether this sending made it. Two at once: the second waits here for the first to end."""
    now = timezone.now()
    phone = Phone.objects.of(member.shop_id).filter(member=member, ident=sent.phone).first() if sent.phone else None
    if phone and sent.left is not None:
        seen = {"waiting": min(sent.left, MOST_WAITING), "last_seen": now}
        Phone.objects.of(member.shop_id).filter(pk=phone.pk).update(**seen)
    row = EntryKept(
        shop_id=member.shop_id,
        member=member,
        phone=phone,
        key=sent.key,
        digest=sent.digest,
        kind=sent.kind,
        base=sent.base,
        data={**sent.data, "room": sent.room_id},
        said_at=sent.said_at[:40],
        entered_at=entered_at(sent.waited, now),
        at=now,
        outcome=Outcome.APPLIED,
    )
    try:
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError:
        return EntryKept.objects.of(member.shop_id).get(member=member, key=sent.key), False
    row.picture = sent.picture  # for the apply below; stored only if somebody has to look at it
    return row, True


def _base_of(member, sent):
    """The version this entry stands on: that of the phone's own entry before it, if that one was applied since."""
    if not sent.after:
        return sent.base
    before = EntryKept.objects.of(member.shop_id).filter(member=member, key=sent.after).first()
    made = before.answer.get("version") if before and before.outcome == Outcome.APPLIED else None
    return max(sent.base, made) if isinstance(made, int) else sent.base


def _apply(kept, kind, member, base):
    room_id, data = kept.data["room"], {name: value for name, value in kept.data.items() if name != "room"}
    room = _held(member.shop_id, room_id)
    kept.room, kept.room_name = room, room.name if room else ""
    kept.outcome, kept.words, kept.answer = Outcome.APPLIED, "", {}
    file = _as_upload(bytes(kept.picture)) if kept.picture else None
    kept.picture = None
    if room is None:
        kept.outcome, kept.words = Outcome.GONE, _("This room is gone. What you entered stays on the phone.")
        return
    try:
        with transaction.atomic():
            kept.answer = kind.apply(member, room, data, base, kept.entered_at, file) or {}
    except Conflict as conflict:
        kept.outcome, kept.words = Outcome.CONFLICT, str(conflict)[:1000]
        kept.answer = {"theirs": conflict.theirs, "mine": conflict.mine}
    except Refused as refused:
        kept.outcome, kept.words = Outcome.REFUSED, str(refused)[:1000]
    except ValidationError as wrong:
        kept.outcome, kept.words = Outcome.REFUSED, " ".join(wrong.messages)[:1000]
    except Http404:
        kept.outcome = Outcome.GONE
        kept.words = _("What this was entered about is gone. What you entered stays on the phone.")


def _as_upload(content):
    return InMemoryUploadedFile(BytesIO(content), "file", "photo", "application/octet-stream", len(content), None)


# What could not be applied, and somebody looked at


@transaction.atomic
def settle(kept, seen_version, how, *, by):
    """A person decides: leave theirs, put mine over it, or keep both.

    Returns the entry; one that still needs a look could not be applied, and shows both values as they are now.
    Raises StaleVersion, NotAllowed.
    """
    stored = EntryKept.objects.of(kept.shop_id).select_for_update().get(pk=kept.pk)
    if stored.version != seen_version or not stored.needs_a_look:
        raise StaleVersion(stored, {"settled_how": how})
    kind = ENTRIES[stored.kind]
    if how != EntryKept.Settled.THEIRS:
        if not may(by, kind.may):
            raise NotAllowed
        again = _tried_again(stored, kind, how)
        if again.needs_a_look:
            # What was typed stays what is shown, also after keeping both was tried.
            said = {"words": again.words, "answer": {**again.answer, **stored.answer}}
            if "theirs" in again.answer:
                said["answer"]["theirs"] = again.answer["theirs"]
            if stored.outcome != Outcome.CONFLICT:
                said["outcome"] = again.outcome
            return save_from(stored, seen_version, said, at=timezone.now())
    changes = {"settled_at": timezone.now(), "settled_by": by, "settled_how": how, "picture": None}
    return save_from(stored, seen_version, changes, at=timezone.now())


def _tried_again(stored, kind, how):
    theirs = stored.answer.get("theirs", {})
    again = EntryKept.objects.of(stored.shop_id).get(pk=stored.pk)
    if how == EntryKept.Settled.BOTH and kind.both:
        again.data = {**kind.both(again.data, theirs), "room": stored.data["room"]}
    _apply(again, kind, stored.member, theirs.get("version", stored.base))
    return again


# Phones


def report(member, ident, waiting, waited, *, session_key=""):
    """What the phone says of itself. One that was ended and speaks again has lost nothing after all."""
    now = timezone.now()
    seen = {
        "waiting": min(waiting, MOST_WAITING),
        "waiting_since": now - waited if waiting and waited is not None else None,
        "last_seen": now,
        "session_key": session_key or "",
        "ended_at": None,
        "ended_by": None,
        "lost": 0,
    }
    phone, _made = Phone.objects.of(member.shop_id).update_or_create(
        member=member, ident=ident, defaults=seen, create_defaults={**seen, "shop_id": member.shop_id}
    )
    return phone


@transaction.atomic
def end_phone(phone, *, by):
    """From its next request on it is signed out. What it had not sent by its last report is stated as lost."""
    if phone.session_key:
        SessionStore(phone.session_key).delete()
    Phone.objects.of(phone.shop_id).filter(pk=phone.pk, ended_at=None).update(
        ended_at=timezone.now(), ended_by=by, lost=models.F("waiting"), session_key="", version=models.F("version") + 1
    )
    return Phone.objects.of(phone.shop_id).get(pk=phone.pk)


def end_phones_of(member):
    """All phones of somebody whose joining ended: what they had not sent by their last report is stated as lost."""
    Phone.objects.of(member.shop_id).filter(member=member, ended_at=None).update(
        ended_at=timezone.now(), lost=models.F("waiting"), session_key="", version=models.F("version") + 1
    )


def age_between(then, now):
    """How long lies between two moments of one phone's clock, as it wrote them; None when they can't be read."""
    try:
        first, second = (datetime.fromisoformat(text.replace("Z", "+00:00")) for text in (then, now))
        return second - first
    except (ValueError, TypeError, AttributeError, OverflowError):
        return None
