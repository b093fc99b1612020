"""What layouts hold of other rows' ids, put as numbers where a shop goes out as a file, and back where it comes in."""

import json

from layout.alike.models import Follows
from layout.alike.parts import ONE, PARTS, ROWS
from projects.jobs.models import Room
from projects.keeping.numbers import holds_ids, is_reckoned

TYPES = ("light_type_id", "speaker_type_id", "subwoofer_type_id")


def _draft(text, numbers):
    """A draft as it was, as JSON: its types are named by id."""
    if not text:
        return text
    kept = json.loads(text)
    for name in TYPES:
        if name in kept.get("changes", ()):
            kept["changes"][name] = numbers.of("catalogue.FixtureType", kept["changes"][name])
    return json.dumps(kept, separators=(",", ":"))


def _own_digests(follows):
    room = Room.everything.every_shop().select_related(*ONE).prefetch_related(*ROWS).get(pk=follows.room_id)
    return {part.key: part.digest(room) for part in PARTS}


def _alike(key):
    """The parts in which the room still is as it was when it and its type were last made equal."""
    follows = Follows.objects.get(pk=key)
    own, equal = _own_digests(follows), json.loads(follows.equal)
    return sorted(part for part, digest in own.items() if equal.get(part) == digest)


def _alike_again(key, parts):
    own = _own_digests(Follows.objects.get(pk=key))
    return json.dumps({part: own[part] for part in own if part in parts})


holds_ids("layout.WayTaken.before", _draft)
holds_ids("layout.SiteMove.change", _draft)
is_reckoned("alike.Follows.equal", _alike, _alike_again)
