"""What reports hold of other rows' ids, put as numbers where a shop goes out as a file, and back where it comes in.

Texts that a digest vouches for are left as they are, to the byte: here is only said where they name rooms.
"""

import json
from urllib.parse import parse_qsl, urlencode

from projects.keeping.known_as import names_rooms
from projects.keeping.numbers import holds_ids, is_reckoned
from reports.bids.models import BidRevision
from reports.changes.models import ChangeOrder
from reports.close_out.models import Packet
from reports.close_out.services import digest_of
from reports.queries import laid_rooms
from reports.takeoffs.models import Takeoff

ASKED = {"job": "jobs.Job", "crew": "accounts.Membership"}
NOW, BEFORE = "the newest revisions", "older revisions"


@names_rooms(Takeoff, "body")
def _of_takeoff(text):
    return [room["room_id"] for room in json.loads(text).get("rooms", ())]


@names_rooms(BidRevision, "contents")
def _of_bid(text):
    return [room["id"] for room in json.loads(text).get("rooms", ())]


@names_rooms(ChangeOrder, "contents")
def _of_change(text):
    return [line["room_id"] for line in json.loads(text)["lines"] if line["room_id"] is not None]


def _view(query, numbers):
    """A saved view's address; what it asked for that is no more is left out."""
    asked = dict(parse_qsl(query))
    for name, label in ASKED.items():
        if name in asked:
            number = numbers.of(label, int(asked[name])) if asked[name].isdecimal() else None
            asked |= {name: number}
    return urlencode({name: value for name, value in asked.items() if value is not None})


def _entry(data, numbers):
    return {**data, "room": numbers.of("jobs.Room", data["room"])} if data.get("room") is not None else data


def _made_from(key):
    """A packet stands on the newest revisions of its job's rooms, or on older ones."""
    packet = Packet.objects.every_shop().select_related("job__shop").get(pk=key)
    return NOW if packet.stands_on == digest_of(laid_rooms(packet.job)) else BEFORE


def _made_from_again(key, said):
    packet = Packet.objects.every_shop().select_related("job__shop").get(pk=key)
    return digest_of(laid_rooms(packet.job)) if said == NOW else ""


holds_ids("overview.SavedView.query", _view)
holds_ids("field.EntryKept.data", _entry)
is_reckoned("close_out.Packet.stands_on", _made_from, _made_from_again)
