"""What a room's sound does when the room is copied or turned: it goes along, and roles stay with their speakers.

Seats, screen and subs are placed from the left and the door wall and stand where they are. A mark's number is counted
from the zero corner, so a turn gives it to another hole: where each stood is noted before, and found again after.
"""

from django.db import models, transaction

from layout.engine.lengths import inches
from layout.queries import layout_now
from layout.sound.models import SoundSetup, SpeakerRole
from layout.sound.places import HEARD, place_of
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
    marks = _marks(before) if roles else {}
    for role in roles:
        if role.mark in marks:
            role.x, role.y = marks[role.mark]
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
