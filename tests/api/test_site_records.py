"""Inspections and checklists over the API: the rules of their pages, and the fee for who may see prices alone."""

import json

from projects.platform.permissions import Role
from tests.api.houses import problem_of, wrong_at
from tests.factories import RoomFactory

VISIT = {"kind": "power", "on": "2026-05-04", "inspector": "P. Orrin", "tag": "T-9"}


def record(house, role=Role.CREW_LEAD, **more):
    return house.ask(role).post(house.address("job_inspections"), VISIT | more)


def test_a_visit_is_recorded_read_and_its_correction_answered(house):
    rooms = [{"room": house.room.pk, "outcome": "fail", "corrections": ["Staple it", "Label it"]}]
    made = record(house, rooms=rooms)
    assert made.status_code == 201, made.json()
    [result] = made.json()["results"]
    assert [each["words"] for each in result["corrections"]] == ["Staple it", "Label it"]
    address = house.address("answer_correction", correction_id=result["corrections"][0]["id"])
    assert house.ask(Role.CREW).post(address, {"words": "Stapled"}).json()["answer"] == "Stapled"
    problem_of(house.ask(Role.CREW).post(address, {"words": "Stapled again"}), 422)
    left = house.ask(Role.VIEWER).get(house.address("not_passed")).json()
    assert {one["visit_id"]: one["open"] for one in left["failed"]}[made.json()["id"]] == 1
    told = house.ask(Role.VIEWER).get(house.address("room_inspections")).json()["results"]
    assert told[0]["visit"] == made.json()["id"]


def test_a_room_that_did_not_pass_needs_what_to_put_right_and_a_room_of_this_job(house):
    elsewhere = RoomFactory(shop=house.shop)
    said = [{"room": house.room.pk, "outcome": "partial"}, {"room": elsewhere.pk, "outcome": "pass"}]
    assert set(wrong_at(record(house, rooms=said))) == {"/rooms/0/corrections", "/rooms/1/room"}
    assert set(wrong_at(record(house, rooms=said[1:]))) == {"/rooms/0/room"}
    problem_of(record(house, rooms=[]), 422)
    twice = [{"room": house.room.pk, "outcome": "pass"}] * 2
    assert set(wrong_at(record(house, rooms=twice))) == {"/rooms/1/room"}
    assert set(wrong_at(record(house))) == {"/rooms"}


def test_the_fee_is_read_and_written_by_who_may_see_prices_and_not_there_for_others(house):
    rooms = [{"room": house.room.pk, "outcome": "pass"}]
    made = record(house, Role.ESTIMATOR, rooms=rooms, fee="85.00").json()
    assert made["fee"] == "85.00"
    address = house.address("inspection", visit_id=made["id"])
    told = house.ask(Role.CREW_LEAD).get(address)
    assert "fee" not in told.json() and "85" not in json.dumps(told.json()["results"])
    assert set(wrong_at(record(house, rooms=rooms, fee="85.00"))) == {"/fee"}
    lead = house.ask(Role.CREW_LEAD)
    assert set(wrong_at(lead.edit("PATCH", address, {"fee": "1.00"}))) == {"/fee"}
    changed = lead.edit("PATCH", address, {"tag": "T-10"})
    assert (changed.status_code, changed.json()["tag"]) == (200, "T-10")
    assert house.ask(Role.ESTIMATOR).get(address).json()["fee"] == "85.00"


def test_the_description_names_a_fee_to_who_may_see_prices_alone(house):
    def shapes(role):
        return house.ask(role).get("/api/v1/schema/").json()["components"]["schemas"]

    for name in ("InspectionOut", "InspectionBody"):
        assert "fee" in shapes(Role.OWNER)[name]["properties"]
        assert "fee" not in shapes(Role.CREW_LEAD)[name]["properties"]


def test_an_item_is_answered_once_and_otherwise_only_by_who_saw_the_answer(house):
    crew, address = house.ask(Role.CREW), house.address("room_checks")
    [item, *_others] = [
        each for each in crew.get(address).json()["items"] if each["once_per"] == "room" and each["bears"] != "no"
    ]
    said = {"number": item["number"], "outcome": "pass"}
    assert crew.post(address, said).json()["version"] == 1
    assert crew.post(address, said).json()["version"] == 1
    other = crew.post(address, {**said, "outcome": "fail", "reason": "The box is loose"})
    told = problem_of(other, 412)
    assert (told["theirs"]["outcome"], told["yours"]["outcome"]) == ("pass", "fail")
    again = crew.post(address, {**said, "outcome": "fail", "reason": "The box is loose", "base": 1})
    assert (again.json()["version"], again.json()["outcome"]) == (2, "fail")
    assert set(wrong_at(crew.post(address, {**said, "outcome": "n-a"}))) == {"/reason"}
    assert set(wrong_at(crew.post(address, {**said, "number": 399}))) == {"/number"}


def test_what_is_known_of_a_room_decides_what_is_asked(house):
    crew, address = house.ask(Role.CREW), house.address("room_known")
    assert crew.get(address).json()["attic"] is None
    assert crew.edit("PATCH", address, {"attic": True}).json()["attic"] is True
    assert crew.edit("PATCH", address, {"wet": False}).json() == {
        "fire_rated": None, "insulated": None, "wet": False, "attic": True, "sawn_joists": None,
        "engineered_lumber": None, "version": 2,
    }  # fmt: skip


def test_the_rest_of_a_group_passes_but_no_caution(house):
    crew, address = house.ask(Role.CREW), house.address("room_checks")
    group = crew.get(address).json()["items"][0]["group"]
    after = crew.post(house.address("pass_rest"), {"group": group}).json()["items"]
    assert {each["answer"] for each in after if each["caution"]} == {None}
    assert set(wrong_at(crew.post(house.address("pass_rest"), {"group": "Plumbing"}))) == {"/group"}


def test_an_item_of_the_whole_job_is_answered_for_it(house):
    crew, address = house.ask(Role.CREW), house.address("job_checks")
    told = crew.get(address).json()
    number = told["job"]["items"][0]["number"]
    assert crew.post(address, {"number": number, "outcome": "pass"}).status_code == 201
    assert crew.get(address).json()["job"]["items"][0]["answer"]["outcome"] == "pass"
    [row] = [
        one for one in crew.get(house.address("job_checks_progress")).json()["results"] if one["room"] == house.room.pk
    ]
    assert row["answered"] == 1
