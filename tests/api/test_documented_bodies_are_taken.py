"""Every body that the description of the API lets a program send is taken, and what it changed is in the history."""

import pytest

from projects.platform.permissions import Role
from projects.webhooks import addresses
from tests.api.asked import all_given, ready, send
from tests.api.documented_bodies import OPERATIONS
from tests.history.told import untold, watched

# Refused in this house: what would have to come first is longer than a few requests. Where it is tried:
NOT_HERE = {
    "sign_moved_lights": "a priced change of marks that stand on site; tests/changes/test_from_the_field.py",
    "take_labor_average": "hours logged in rooms that are past their phase",
    "take_light_proposal": "a search that has ended; tests/layout/test_light_choices.py",
    "work_out_light": "a room too large to be worked out at once",
    "pull_cable": "a circuit whose cable lies on this reel",
    "change_from_layouts": "a contract whose rooms were laid out anew",
}


@pytest.mark.parametrize("operation", [each for each in OPERATIONS if each not in NOT_HERE])
def test_what_the_description_asks_for_is_taken_and_what_it_changed_is_told(house, operation, monkeypatch):
    monkeypatch.setattr(addresses, "look_up", lambda host, port: ["8.8.4.4"])  # no name is looked up outside
    owner = all_given(house)
    request = ready(operation, house, owner)
    with watched() as changes:
        answer = send(operation, owner, *request)
    assert answer.status_code in (200, 201, 202, 204), (request, answer.content[:800])
    user = house.people[Role.OWNER].user_id
    assert untold(changes, shop=house.shop.pk, user=user, via="api") == []


def test_few_are_left_out():
    assert set(NOT_HERE) <= set(OPERATIONS)
    assert len(OPERATIONS) > 220 and len(NOT_HERE) < 7
