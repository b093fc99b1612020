"""Every address that takes a body refuses every column of every table that it does not offer, and then changes nothing.

The bodies come from the description of the API, the columns from the models (ASVS 5.0, 15.3.3: from memory).
"""

import json

import pytest
from django.apps import apps

from projects.accounts.models import Membership
from projects.platform.management.commands.api_changes import KEPT
from projects.platform.permissions import Role
from tests.api.houses import ApiToken, problem_of
from tests.factories import OWN_APPS
from tests.untouched import nothing_changes

NEVER = {"shop", "shop_id", "role", "is_staff", "is_superuser", "owner", "version", "total", "approved_at",
         "created_by", "id", "pk", "created_at", "updated_at", "digest", "password"}  # fmt: skip
COLUMNS = NEVER | {
    name
    for model in apps.get_models()
    if model._meta.app_label in OWN_APPS
    for field in model._meta.concrete_fields
    for name in (field.name, field.attname)
}
DESCRIBED = json.loads(KEPT.read_text())
JSON = "application/json"


def resolved(shape):
    while "$ref" in shape:
        shape = DESCRIBED["components"]["schemas"][shape["$ref"].rsplit("/", 1)[-1]]
    return shape


def operations():
    """{operationId: (method, address, names its body takes)} of all that take a JSON body."""
    found = {}
    for address, methods in DESCRIBED["paths"].items():
        for method, operation in methods.items():
            content = operation.get("requestBody", {}).get("content", {}) if isinstance(operation, dict) else {}
            if JSON in content:
                shape = resolved(content[JSON]["schema"])
                found[operation["operationId"]] = method.upper(), address, set(shape.get("properties", {}))
    return found


WRITES = operations()
# What these look at before they look at what else was sent.
FIRST = {
    "take_bid_takeoff": {"takeoff": 1},
    "reckon": {"inputs": {}},
    "set_job_conditions": {"keys": []},
    "set_room_conditions": {"keys": []},
    "record_inspection": {"rooms": []},
    "ask_for_items": {"items": []},
    "count_room": {"items": []},
    "hold_task": {"task": "island"},
}
# Refused too, and nothing is written, but in other words than one name each.
IN_OTHER_WORDS = {
    "send_bid": "the digest of what was looked at comes first",
    "follow_type": "a room that was made from no other has nothing to follow",
    "found_on_site": "one object with a joist or a thing in it, and nothing else",
    "move_stage": "the first name that is not known is told",
}


@pytest.fixture
def owner(house):
    Membership.objects.filter(pk=house.people[Role.OWNER].pk).update(may_approve=True, may_move_marks=True)
    return house.ask(Role.OWNER)


def place_of(house, address):
    ids = house.ids | {"token_id": ApiToken.make(house.people[Role.OWNER], "own")[0].pk, "record_id": house.room.pk}
    return address.format_map({"rule_key": "spacing"} | ids)


@pytest.mark.parametrize("operation", WRITES)
def test_a_column_that_is_not_offered_is_refused_by_name_and_nothing_is_written(house, owner, operation):
    method, address, offered = WRITES[operation]
    more = sorted(COLUMNS - offered)
    place = place_of(house, address)
    with nothing_changes(leave=("accounts.ApiToken", "takeoffs.RoomLines")):
        sent = dict.fromkeys(more, 1) | FIRST.get(operation, {})
        response = owner.send(method, place, sent, If_Match="*", Idempotency_Key="walk")
    if operation in IN_OTHER_WORDS:
        assert response.status_code in (400, 422)
        return
    told = problem_of(response, 400)
    pointers = {error["pointer"] for error in told["errors"]}
    assert [name for name in more if f"/{name}" not in pointers] == [], str(told)[:400]


def test_there_is_much_to_try():
    assert len(WRITES) > 100
    assert len(COLUMNS) > 300
