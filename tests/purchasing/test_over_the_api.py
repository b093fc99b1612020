"""Material over the API: the same services, each press once, and no more than is to come."""

import uuid

import pytest

from projects.platform.permissions import Role
from reports.purchasing import services
from tests.api.houses import House, problem_of
from tests.factories import LeftoverFactory


@pytest.fixture
def house(db):
    return House()


def test_ordered_received_in_parts_and_told_where_it_lies(house):
    lead, crew = house.ask(Role.CREW_LEAD), house.ask(Role.CREW)
    line = lead.get(house.address("job_material")).json()["results"][0]
    assert line["to_buy"] == line["need"] > 0
    body = {"key": line["key"], "quantity": line["need"], "from_whom": "Supply house", "slip": str(uuid.uuid4())}
    made = lead.post(house.address("job_orders"), body)
    assert made.status_code == 201, made.content
    assert lead.post(house.address("job_orders"), body).json()["id"] == made.json()["id"]
    assert crew.post(house.address("job_orders"), body).status_code == 403
    at = house.address("receipts", line_id=made.json()["lines"][0]["id"])
    came = {"quantity": 1, "place": "van", "slip": str(uuid.uuid4())}
    assert len(crew.post(at, came).json()) == 1
    assert crew.post(at, came).json() == []
    now = lead.get(house.address("job_material")).json()["results"][0]
    assert (now["on_hand"], now["lies"]["van"], now["to_buy"]) == (1, 1, 0)


def test_too_much_is_refused_at_its_field(house):
    crew, before = house.ask(Role.CREW), services.lies_of(house.job)
    more = {"quantity": 11, "place": "site", "slip": str(uuid.uuid4())}
    [error] = problem_of(crew.post(house.address("receipts"), more), 400)["errors"]
    assert error["pointer"] == "/quantity" and "10 still to come" in error["detail"]
    for wrong in ({"quantity": -1}, {"quantity": "2"}, {"place": "moon"}, {"slip": "again"}):
        assert crew.post(house.address("receipts"), more | {"quantity": 1} | wrong).status_code == 400
    assert services.lies_of(house.job) == before


def test_a_room_and_the_shelf(house):
    viewer = house.ask(Role.VIEWER)
    LeftoverFactory(shop=house.shop, change=3, lies="Rack 2")
    told = viewer.get(house.address("room_material")).json()
    assert told["on_hand"] is False and told["lines"][0]["short"] > 0
    [row] = viewer.get(house.address("leftovers")).json()["results"]
    assert (row["quantity"], row["lies"]) == (3, "Rack 2")
