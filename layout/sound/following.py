"""What a room's sound does when the room is copied or turned: it goes along, and roles stay with their speakers.

Seats, screen and subs are placed from the left and the door wall and stand where they are. A mark's number is counted
from the zero corner, so a turn gives it to another hole: where each stood is noted before, and found again after.
"""

from copy import copy
from dataclasses import replace

from django.db import models, transaction
from django.utils.translation import gettext as _

from layout.engine.lengths import inches
from layout.queries import layout_now
from layout.sound.models import SoundSetup, SpeakerRole
from layout.sound.places import HEARD, place_at, place_of
from layout.sound.services import change_sound, entered_of, kept_of
from projects.jobs.queries import room_of

NEAR = inches(2)  # a hole this near to where it stood is the same one


@transaction.atomic
def copy_sound(room, twin):
    """Registered with projects.jobs: a copied room keeps what was entered of its sound."""
    kept = kept_of(room)
    if kept.setup.pk is not None:
        change_sound(twin, 1, entered_of(kept))


def note_places(before, after):
    """Registered with projects.jobs, before the draft is turned: where each speaker stands that has a role."""
    roles = list(SpeakerRole.objects.filter(room=after))
    layout = layout_now(before) if roles else None
    if layout is None:
        return
    now, _notes = followed(roles, layout)
    marks = _marks(before)
    for role, here in zip(roles, now, strict=True):
        if here.mark in marks:
            role.x, role.y = marks[here.mark]
    SpeakerRole.objects.bulk_update(roles, ["x", "y"])


@transaction.atomic
def follow_roles(before, after):
    """Registered with projects.jobs, after the draft is turned: each role goes to the mark that stands there now."""
    del before
    roles = list(SpeakerRole.objects.filter(room=after))
    if not roles:
        return
    marks = _marks(room_of(after.shop, after.pk))
    found = {role.pk: _nearest(role, marks) or role.mark for role in roles}
    if len(set(found.values())) < len(found):  # two roles would stand at one mark: nothing is guessed
        return
    SpeakerRole.objects.filter(room=after).delete()
    for role in roles:
        role.mark, role.pk = found[role.pk], None
    SpeakerRole.objects.bulk_create(roles)
    # A page opened before the turn names other holes by these numbers: it is stale
    SoundSetup.objects.of(after.shop_id).filter(room=after).update(version=models.F("version") + 1)


def with_places(entry, layout):
    """What is entered, each role with the place its speaker was laid out at: numbers may change, the place is kept."""
    if layout is None:
        return entry
    homes = {name: places[0] for name, places in _places(layout).items()}
    told = []
    for row in entry.roles:
        x, y = homes.get(row["mark"], (row["x"], row["y"]))
        told.append(row | {"x": x, "y": y})
    return replace(entry, roles=tuple(told))


def followed(roles, layout):
    """Roles as their speakers are numbered now, and what is to be said of it. Copies; nothing is stored."""
    known = _places(layout)
    found = {role.pk: _nearest_of(role, known) for role in roles}
    marks = [found[role.pk] or role.mark for role in roles]
    if len(set(marks)) < len(marks):
        return tuple(roles), (
            _("Speakers stand elsewhere or are numbered anew since it was said what they play. Check each, and save."),
        )
    told, notes = [], []
    for role, mark in zip(roles, marks, strict=True):
        if mark != role.mark:
            notes.append(_("%(channel)s was %(old)s; the speaker there is numbered %(new)s now.") % {
                "channel": role.channel, "old": role.mark, "new": mark,
            })  # fmt: skip
        elif role.x is not None and found[role.pk] is None and mark in known:
            notes.append(_(
                "%(mark)s stands elsewhere than when it was given %(channel)s. Check what it plays, and save."
            ) % {"mark": mark, "channel": role.channel})  # fmt: skip
        here = copy(role)
        here.mark = mark
        told.append(here)
    return tuple(told), tuple(notes)


def _places(layout):
    """By ID: where the mark was laid out, and where it stands; from the left and from the door wall."""
    return {
        mark.id: (place_at(*(mark.moved_from or (mark.along, mark.across)), layout), place_of(mark, layout))
        for mark in layout.arrangement.marks
        if mark.kind in HEARD
    }


def _nearest_of(role, known):
    """Its own mark where that still stands there, else the nearest."""
    own = {role.mark: known[role.mark]} if role.mark in known else {}
    for some in (own, known):
        for place in (0, 1):
            mark = _nearest(role, {name: places[place] for name, places in some.items()})
            if mark is not None:
                return mark
    return None


def _marks(room):
    """By ID, from the left and from the door wall; nothing where the room can't be laid out."""
    layout = layout_now(room)
    if layout is None:
        return {}
    return {mark.id: place_of(mark, layout) for mark in layout.arrangement.marks if mark.kind in HEARD}


def _nearest(role, marks):
    if role.x is None or role.y is None:
        return None
    away = {name: max(abs(int(x) - int(role.x)), abs(int(y) - int(role.y))) for name, (x, y) in marks.items()}
    best = min(away, key=away.__getitem__, default=None)
    return best if best is not None and away[best] <= int(NEAR) else None
