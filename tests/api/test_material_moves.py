"""Material over the API as it moves: ordered, received, picked, carried, taken back; counts by hand."""

import uuid

import pytest

from projects.platform.permissions import Role
from tests.api.houses import problem_of, wrong_at


def slip():
    return str(uuid.uuid4())


@pytest.fixture
def order(house):
    """Six plates and two of something no takeoff knows, from one house."""
    [line, *_others] = house.ask().get(house.address("job_material")).json()["results"]
    body = {
        "slip": slip(), "from_whom": "The supply house", "promised_on": "2026-05-10",
        "lines": [{"key": line["key"], "quantity": 6}, {"name": "Ladder pads", "quantity": 2}],
    }  # fmt: skip
    made = house.ask(Role.CREW_LEAD).post(house.address("order_several"), body)
    assert made.status_code == 201, made.json()
    again = house.ask(Role.CREW_LEAD).post(house.address("order_several"), body)
    assert again.json()["id"] == made.json()["id"], "the same slip orders nothing twice"
    return made.json()


def book(house, order, name, quantities, **more):
    lines = [{"line": one["id"], "quantity": n, **more} for one, n in zip(order["lines"], quantities, strict=False)]
    address = house.address(name, order_number=order["number"])
    role = Role.CREW if name == "order_receipts" else Role.CREW_LEAD
    return house.ask(role).post(address, {"slip": slip(), "lines": lines})


def test_parts_come_on_several_days_and_what_is_given_up_is_not_waited_for(house, order):
    assert book(house, order, "order_receipts", [4, 1], place="site").status_code == 201
    assert book(house, order, "order_not_coming", [1]).status_code == 201
    now = house.ask(Role.VIEWER).get(house.address("material_order", order_number=order["number"])).json()
    assert [(line["received"], line["not_coming"], line["short"]) for line in now["lines"]] == [(4, 1, 1), (1, 0, 1)]


def test_more_than_was_ordered_is_refused_by_its_line_and_nothing_is_booked(house, order):
    refused = book(house, order, "order_receipts", [7, 1], place="site")
    assert set(wrong_at(refused)) == {"/lines/0/quantity"}
    stock = house.ask().get(house.address("job_stock")).json()["results"]
    assert not [row for row in stock if row["name"] == "Ladder pads"]


def test_a_line_twice_a_foreign_line_and_no_line_are_refused(house, order, neighbor):
    one = order["lines"][0]["id"]
    address = house.address("order_receipts", order_number=order["number"])
    ask = house.ask(Role.CREW)

    def sent(*lines):
        return ask.post(address, {"slip": slip(), "lines": list(lines)})

    row = {"line": one, "quantity": 1, "place": "site"}
    assert set(wrong_at(sent(row, row))) == {"/lines"}
    assert set(wrong_at(sent({**row, "line": neighbor.ids["line_id"]}))) == {"/lines/0/quantity"}
    assert set(wrong_at(sent())) == {"/lines"}
    assert set(wrong_at(sent({**row, "quantity": 1.5}))) == {"/lines/0/quantity"}


def test_a_promise_is_moved_by_who_read_it(house, order):
    address = house.address("order_line", line_id=order["lines"][0]["id"])
    lead = house.ask(Role.CREW_LEAD)
    tag = lead.get(address)["ETag"]
    moved = lead.send("PATCH", address, {"promised_on": "2026-05-12"}, If_Match=tag)
    assert moved.json()["promised_on"] == "2026-05-12"
    stale = lead.send("PATCH", address, {"promised_on": "2026-05-13"}, If_Match=tag)
    assert problem_of(stale, 412)["theirs"] == {"promised_on": "2026-05-12"}


def test_what_lies_somewhere_is_carried_and_taken_back(house, order):
    book(house, order, "order_receipts", [4, 2], place="site")
    key = order["lines"][1]["key"]
    crew = house.ask(Role.CREW)

    def lies():
        rows = crew.get(house.address("job_stock")).json()["results"]
        return next(row["lies"] for row in rows if row["key"] == key)

    body = {"slip": slip(), "item": key, "quantity": 2, "came_from": "site", "went_to": "van"}
    assert crew.post(house.address("movements"), body).status_code == 201
    assert (lies()["site"], lies()["van"]) == (0, 2)
    problem_of(crew.post(house.address("movements"), {**body, "slip": slip()}), 422)
    [last, *_before] = crew.get(house.address("movements")).json()["results"]
    back = crew.post(house.address("take_back_movement", movement_id=last["id"]), {"slip": slip()})
    assert back.json()["undone"] is True
    assert (lies()["site"], lies()["van"]) == (2, 0)


def test_leftovers_go_to_the_shelf_and_to_another_job(house, order):
    book(house, order, "order_receipts", [1, 2], place="site")
    key = order["lines"][1]["key"]
    crew = house.ask(Role.CREW)
    body = {"item": key, "quantity": 2, "came_from": "site", "went_to": "shelf", "lies": "Bay 3", "slip": slip()}
    assert crew.post(house.address("movements"), body).status_code == 201
    row = next(each for each in crew.get(house.address("leftovers")).json()["results"] if each["key"] == key)
    assert (row["quantity"], row["lies"]) == (2, "Bay 3")
    taken = {"key": key, "unit": row["unit"], "lies": "Bay 3", "quantity": 1, "job": house.job.pk, "went_to": "shop"}
    left = crew.post(house.address("take_leftovers"), taken)
    assert [(each["key"], each["quantity"]) for each in left.json()] == [(key, 1)]
    problem_of(crew.post(house.address("take_leftovers"), {**taken, "quantity": 2}), 422)


def test_a_room_gets_what_its_list_says_and_brings_back_what_it_has(house, order):
    [line, *_others] = house.ask().get(house.address("room_material")).json()["lines"]
    crew = house.ask(Role.CREW)
    head = {"slip": slip(), "lines": [{"key": line["key"], "quantity": 3}]}
    made = crew.post(house.address("pick_lists"), head).json()
    address = {name: house.address(name, pick_number=made["number"]) for name in ("picks", "pick_returns", "pick_list")}
    row = {"line": made["lines"][0]["id"], "quantity": 3, "place": "site"}
    refused = crew.post(address["picks"], {"slip": slip(), "lines": [{**row, "quantity": 10_000}]})
    assert set(wrong_at(refused)) == {"/lines/0/quantity"}
    refused = crew.post(address["pick_returns"], {"slip": slip(), "lines": [row]})
    assert set(wrong_at(refused)) == {"/lines/0/quantity"}, "nothing was picked yet"
    assert crew.get(address["pick_list"]).json()["lines"][0]["quantity"] == 3
    assert crew.get(address["pick_list"], Accept="application/pdf").content[:5] == b"%PDF-"
