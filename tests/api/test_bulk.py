"""Several things in one request: all of them or none, with a word about each."""

import pytest

from projects.jobs.models import MeasurementSet, Room
from projects.platform.api.bulk import MOST_AT_ONCE, BulkRefused, all_or_none
from projects.platform.api.problems import Refused
from projects.platform.permissions import Role
from tests.api.houses import problem_of
from tests.factories import RoomFactory

VISIT = {
    "kind": "framing", "taken_on": "2026-05-03", "taken_by": "R.", "instrument": "tape",
    "readings": {"door": [{"value": "166 in"}], "left": [{"value": "93 in"}]},
}  # fmt: skip


def send(asker, address, items, key="one"):
    return asker.post(address, {"items": items}, Idempotency_Key=key)


def rooms_of(house):
    return set(Room.objects.of(house.shop).filter(job=house.job).values_list("name", flat=True))


def test_rooms_are_added_together_each_as_it_would_be_alone(house):
    told = send(house.ask(), house.address("job_rooms_bulk"), [{"name": "Den"}, {"name": "Loft", "level": "2"}])
    assert told.status_code == 201, told.content
    den, loft = told.json()["items"]
    assert (den["name"], loft["level"], loft["stage"]) == ("Den", "2", 0)
    assert rooms_of(house) == {"Snug", "Den", "Loft"}
    asker, where = house.ask(), f"/api/v1/rooms/{den['id']}/"
    assert asker.send("PATCH", where, {"note": "x"}, If_Match=den["etag"]).status_code == 200


def test_one_that_is_wrong_keeps_all_of_them_out_and_each_is_told_of(house):
    items = [{"name": "Den"}, {"name": "Snug"}, {"name": "Loft", "hue": "red"}, {"name": "Den"}]
    told = problem_of(send(house.ask(), house.address("job_rooms_bulk"), items), 400)
    assert told["type"].endswith("/problems/bulk-refused/")
    assert [each["status"] for each in told["items"]] == [200, 400, 400, 400]
    assert [each["index"] for each in told["items"]] == [0, 1, 2, 3]
    assert {error["pointer"] for error in told["errors"]} == {"/items/1/name", "/items/2/hue", "/items/3/name"}
    assert rooms_of(house) == {"Snug"}


@pytest.mark.parametrize("items", [[], {}, None, "x", 7, [{}] * (MOST_AT_ONCE + 1)])
def test_what_is_no_list_of_a_few_is_refused_at_once(house, items):
    told = problem_of(send(house.ask(), house.address("job_rooms_bulk"), items), 400)
    assert [error["pointer"] for error in told["errors"]] == ["/items"]


@pytest.mark.parametrize("item", [None, 7, "x", [], [[]]])
@pytest.mark.parametrize("name", ["job_rooms_bulk", "job_measurements_bulk"])
def test_an_item_that_is_no_object_is_told_at_its_place(house, name, item):
    told = problem_of(send(house.ask(), house.address(name), [item]), 400)
    assert told["errors"][0]["pointer"].startswith("/items/0")


def test_readings_of_several_rooms_are_taken_together(house):
    den = RoomFactory(job=house.job, name="Den")
    items = [VISIT | {"room": house.room.pk}, VISIT | {"room": den.pk}]
    told = send(house.ask(Role.CREW), house.address("job_measurements_bulk"), items)
    assert [each["room"] for each in told.json()["items"]] == [house.room.pk, den.pk]
    assert MeasurementSet.objects.filter(room=den).count() == 1


def test_a_reading_that_cannot_be_read_keeps_the_other_rooms_out_too(house):
    den = RoomFactory(job=house.job, name="Den")
    items = [VISIT | {"room": den.pk}, VISIT | {"room": house.room.pk, "readings": {"door": [{"value": "12' 14\""}]}}]
    told = problem_of(send(house.ask(), house.address("job_measurements_bulk"), items), 400)
    assert "/items/1/readings/door/0/value" in [error["pointer"] for error in told["errors"]]
    assert not MeasurementSet.objects.filter(room=den).exists()


def test_another_shops_room_is_told_like_one_that_is_not_there_and_nothing_is_taken(house, neighbor):
    before = MeasurementSet.objects.count()
    told = [
        problem_of(
            send(house.ask(), house.address("job_measurements_bulk"), [VISIT | {"room": room}] * 2, key=str(room)), 400
        )
        for room in (neighbor.room.pk, 987_654)
    ]
    assert told[0] == told[1]
    assert MeasurementSet.objects.count() == before


def test_all_or_none_holds_by_itself_without_a_key_around_it(house):
    def add(name):
        if name == "Wrong":
            raise Refused([])
        return RoomFactory(job=house.job, name=name)

    with pytest.raises(BulkRefused):
        all_or_none(["Den", "Wrong", "Loft"], add)
    assert rooms_of(house) == {"Snug"}
    assert [room.name for room in all_or_none(["Den", "Loft"], add)] == ["Den", "Loft"]


def test_what_makes_several_things_asks_for_a_key(house):
    told = problem_of(house.ask().post(house.address("job_rooms_bulk"), {"items": [{"name": "Den"}]}), 400)
    assert told["type"].endswith("/problems/key-missing/")
    assert rooms_of(house) == {"Snug"}


def test_sent_twice_with_one_key_they_are_made_once(house):
    asker, address = house.ask(), house.address("job_rooms_bulk")
    first, again = (send(asker, address, [{"name": "Den"}, {"name": "Loft"}]) for _ in range(2))
    assert (first.status_code, first.content) == (again.status_code, again.content)
    assert rooms_of(house) == {"Snug", "Den", "Loft"}
