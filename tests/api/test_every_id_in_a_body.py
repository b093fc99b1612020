"""Another shop's id in a body is answered like an id of nothing, wherever the description lets an id stand.

The places come from the description of the API, the body around each from tests/api/documented_bodies.py.
"""

import re

import pytest

from projects.webhooks import addresses
from tests.api.asked import all_given, ready, send
from tests.api.documented_bodies import IDS, OPERATIONS, WORDS_THAT_ARE_IDS, id_paths, with_id
from tests.api.documented_states import FIRST
from tests.api.houses import ABSENT
from tests.untouched import nothing_changes

PLACES = [(operation, path, name) for operation in OPERATIONS for path, name in id_paths(operation)]
KNOWN = IDS | WORDS_THAT_ARE_IDS


def test_each_number_in_a_body_is_known_for_an_id_or_for_none():
    """A new one has to be named in tests/api/documented_bodies.py: in IDS, or among NO_IDS."""
    assert {name for _operation, _path, name in PLACES} - KNOWN.keys() == set()
    assert len(PLACES) >= 35


def at(body, path):
    for step in path:
        if body is None or (isinstance(body, dict) and step not in body) or (isinstance(body, list) and not body):
            return None
        body = body[step]
    return body


def spelled(part):
    return part if isinstance(part, str) else ".".join(map(str, part))


@pytest.mark.parametrize(("operation", "path", "name"), PLACES, ids=spelled)
def test_another_shops_id_in_a_body_is_answered_as_one_of_nothing(house, neighbor, operation, path, name, monkeypatch):
    monkeypatch.setattr(addresses, "look_up", lambda host, port: ["8.8.4.4"])
    asker = all_given(house)
    method, address, body = ready(operation, house, asker)
    theirs = neighbor.ids.get(KNOWN[name])
    if operation in FIRST:
        theirs = at(ready(operation, neighbor, all_given(neighbor))[2], path) or theirs
    nothing = "no-such-key" if isinstance(theirs, str) else ABSENT
    assert theirs not in (None, at(body, path))
    told, either = [], re.compile(rf"\b({theirs}|{nothing})\b")
    for number in (theirs, nothing):
        sent = with_id(operation, body, path, number, house.ids)
        with nothing_changes(leave=("accounts.ApiToken", "takeoffs.RoomLines", "light.KeptLight")):
            answer = send(operation, asker, method, address, sent)
        told.append((answer.status_code, either.sub("N", answer.content.decode())))
    assert told[0] == told[1]
    assert told[0][0] in (400, 404, 409, 422), told[0]
