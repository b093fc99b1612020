"""Taking a way out, or another kind of layout, into the draft; and putting back what was there. Finds none itself."""

import hashlib
import json
from dataclasses import replace

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from layout import frozen
from layout.inputs import fitting
from layout.kept import AXES, Numbers, as_json, from_json, numbers_of
from layout.models import WayTaken
from layout.services import change_numbers, draft_of
from projects.catalogue.models import FixtureType

PUT_BACK = "put_back"
FITTINGS = {"light": "light_type_id", "speaker": "speaker_type_id", "subwoofer": "subwoofer_type_id"}
COUNTED = ("speaker_gaps", "speaker_columns", "speaker_rows", "speakers_between")
CHOICES = ("mode_along", "mode_across", "rows_of")
# Called with the room and all that was kept when a way was taken, before its numbers are put back. What a part put back
# of its own it gives as it stood, so that this can be put back in turn; None: nothing.
also_put_back = []


class NothingToPutBack(Exception):
    """No way was taken here, or the numbers were changed since: what would be put back is not what was there."""

    def __str__(self):
        return str(_("There is nothing to put back: the numbers were changed since, or no way out was taken."))


def key_of(change) -> str:
    """The same change has the same key, so that what was pressed is what is taken, worked out anew."""
    return hashlib.sha256(frozen.canonical(dict(change)).encode()).hexdigest()[:16]


def numbers_with(kept: Numbers, change, types) -> Numbers:
    """The numbers with fields of RoomInputs replaced. types: the shop's fixture types by key."""
    changes, typed, rows = dict(kept.changes), dict(kept.typed), {}
    for name, value in change.items():
        if name in ("pins", "moved"):
            rows[name] = tuple(value)
        elif name == "zones":
            rows[name] = tuple((zone.name, zone.rows, zone.columns) for zone in value)
        elif name.startswith("typed_"):
            typed[name.removeprefix("typed_")] = tuple(value)
        elif name in FITTINGS:
            changes[FITTINGS[name]] = types[value.key].pk if value else None
        elif name in COUNTED:
            changes[name] = ",".join(map(str, value))
        else:
            changes[name] = value.value if name in CHOICES else value
    return Numbers(
        changes,
        {axis: typed[axis] for axis in AXES},
        rows.get("pins", kept.pins),
        rows.get("moved", kept.moved),
        rows.get("zones", kept.zones),
        kept.switched,
    )


def types_of(shop):
    """The shop's fixture types by key; a retired one is not offered, and stays what a draft has."""
    return {record.key: record for record in FixtureType.objects.of(shop)}


def alternatives(types, draft):
    """Other lights the shop cuts for, to be tried in place of the draft's."""
    return tuple(
        fitting(record)
        for record in types.values()
        if record.kind == "light" and not record.retired and record.pk != draft.light_type_id
    )


@transaction.atomic
def take_way(draft, seen_version, change, *, before=None, switched=None, **told):
    """The draft with the change, and a row that says what was taken and why. Raises StaleVersion.

    before: the numbers the change was worked out from, where they aren't the draft's. switched: each light's switch,
    where those change too. told: kind, words, cost, reason, by, on_site, also.
    """
    before = before or numbers_of(draft)
    numbers = numbers_with(before, change, types_of(draft.shop_id))
    if switched is not None:
        numbers = replace(numbers, switched=switched)
    stored = change_numbers(draft, seen_version, numbers)
    return _record(stored, before, **told)


@transaction.atomic
def put_way_back(room, seen_version, *, by):
    """The draft as before the last way was taken, with what went along. Raises StaleVersion, NothingToPutBack."""
    way, draft = last_way(room), draft_of(room)
    if way is None or draft.pk is None or draft.version != way.draft_version:
        raise NothingToPutBack
    kept, also = json.loads(way.before), {}
    for put_back in also_put_back:
        also |= put_back(room, kept) or {}
    before = numbers_of(draft)
    stored = change_numbers(draft, seen_version, from_json(way.before))
    words = _("Put back what was there before: %(words)s") % {"words": way.words}
    return _record(stored, before, kind=PUT_BACK, words=words, cost="", reason=_("put back"), by=by, also=also)


def last_way(room):
    return room.ways_taken.select_related("by__user").first()


def _record(draft, before, *, kind, words, cost, reason, by, on_site=False, also=None):
    """also: what was changed with the draft and is put back with it, plain values by name."""
    return WayTaken.objects.create(
        room_id=draft.room_id,
        draft_version=draft.version,
        kind=kind,
        words=words[:1000],
        cost=cost[:400],
        reason=reason,
        before=as_json(before, also),
        on_site=on_site,
        by=by,
        at=timezone.now(),
    )
