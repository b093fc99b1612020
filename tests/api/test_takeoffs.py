"""A takeoff is kept over the API, and what changed since is told by item, by room and mark by mark. Never a price."""

import pytest

from layout.engine.lengths import inches
from layout.models import Draft
from layout.services import issue_revision
from projects.jobs.queries import room_of
from projects.platform.permissions import Role
from tests.api.houses import House, problem_of

pytestmark = pytest.mark.django_db
MONEY = ("price", "cost", "wage", "labor", "tax", "currency")


@pytest.fixture
def house():
    return House()


def test_a_takeoff_is_kept_and_compared_with_now(house):
    ask = house.ask(Role.ESTIMATOR)
    kept = ask.post(house.address("kept_takeoffs"), {"label": "For the bid"})
    assert kept.status_code == 201
    number = kept.json()["number"]
    assert ask.get(house.address("kept_takeoffs")).json()["results"][0]["number"] == number
    whole = ask.get(house.address("kept_takeoff", taken=number)).json()
    assert [(room["room"], room["basis"], room["revision"]) for room in whole["rooms"]] == [("Snug", "laid_out", 1)]
    Draft.objects.of(house.shop).filter(pk=house.draft.pk).update(end_setback=inches(14))
    issue_revision(room_of(house.shop, house.room.pk))
    told = ask.get(house.address("takeoff_difference") + f"?before={number}").json()
    (room,) = told["rooms"]
    # Both end columns of two rows step 2 in inward.
    assert sorted(abs(mark["right_nm"]) + abs(mark["far_nm"]) for mark in room["moved"]) == [int(inches(2))] * 4
    assert not room["added"] and not room["taken_out"]


def test_nobody_finds_money_in_it(house):
    for role in (Role.OWNER, Role.VIEWER):
        for name in ("kept_takeoffs", "kept_takeoff", "takeoff_rules", "job_takeoff"):
            keys = str(house.ask(role).get(house.address(name)).json().keys())
            assert not any(word in keys for word in MONEY)
    assert house.ask(Role.CREW_LEAD).post(house.address("kept_takeoffs"), {"label": ""}).status_code == 403


@pytest.mark.parametrize("asked", ["", "?before=99", "?before=x", "?before=1&after=99"])
def test_a_side_that_is_no_takeoff_is_refused_by_name(house, asked):
    problem = problem_of(house.ask(Role.OWNER).get(house.address("takeoff_difference") + asked), 400)
    assert problem["errors"][0]["parameter"] in ("before", "after")
