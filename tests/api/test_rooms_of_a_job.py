"""Rooms alike, a job laid out anew, furniture, and where marks were really set, over the API."""

import pytest

from layout.engine.lengths import inches
from layout.models import Draft
from projects.accounts.models import Membership
from projects.jobs.models import Room
from projects.platform.permissions import Role
from projects.work.models import Work
from tests.api.houses import problem_of, wrong_at

pytestmark = pytest.mark.django_db
INCH = 25_400_000  # nanometers


def test_rooms_are_made_alike_by_name_and_take_what_their_type_changed(house):
    asker, address = house.ask(Role.CREW_LEAD), house.address("alike")
    made = asker.post(address, {"names": ["201", "202"]})
    assert [room["name"] for room in made.json()["rooms"]] == ["201", "202"]
    assert set(wrong_at(asker.post(address, {"names": ["201"]}))) == {"/name"}
    assert set(wrong_at(asker.post(address, {}))) == {"/times"}
    draft = house.address("draft")
    asker.edit("PATCH", draft, {"rows": 3})
    family = asker.get(address).json()
    assert [one["takes"] for one in family["rooms"]] == [True, True]
    changed = asker.post(house.address("hand_on"), {"seen": family["seen"]})
    assert changed.json() == {"changed": 2}
    assert {d.rows for d in Draft.objects.of(house.shop).filter(room__name__in=["201", "202"])} == {3}
    problem_of(asker.post(house.address("hand_on"), {"seen": family["seen"]}), 422)


def test_a_room_alike_goes_its_own_way_or_follows_again(house):
    asker = house.ask(Role.CREW_LEAD)
    twin = asker.post(house.address("alike"), {"times": 1}).json()["rooms"][0]["id"]
    asker.edit("PATCH", house.address("draft", room_id=twin), {"rows": 1})
    key = next(
        key
        for key, how in asker.get(house.address("alike")).json()["rooms"][0]["stands"].items()
        if how == "differs"
    )
    asker.post(house.address("follow_type", room_id=twin), {"parts": [key]})
    assert Draft.objects.of(house.shop).get(room=twin).rows == 2
    assert set(wrong_at(asker.post(house.address("follow_type", room_id=twin), {"parts": ["shoe"]}))) == {"/parts"}
    asker.post(house.address("stand_alone", room_id=twin))
    assert Room.objects.of(house.shop).get(pk=twin).type_room is None
    problem_of(asker.post(house.address("stand_alone")), 422)


def test_a_whole_job_is_laid_out_anew_as_long_work(house):
    asker, address = house.ask(Role.CREW_LEAD), house.address("lay_out_job")
    assert set(wrong_at(asker.post(address))) == {""}
    told = asker.post(address, {"spacing_limit": "60 in", "issue": True})
    assert told.status_code == 202
    assert Work.objects.of(house.shop).get(pk=told.json()["id"]).asked_for["numbers"] == {"spacing_limit": 60 * INCH}
    assert asker.get(address).json() == {"rooms": 1, "roughed_in": 0, "last": None, "outcome": None}


SOFA = {"name": "Sofa", "wide": "84 in", "deep": "36 in", "left": "12 in", "door": "20 in"}


def test_furniture_stands_once_under_its_name_and_moves_from_the_version_seen(house):
    asker, address = house.ask(Role.CREW_LEAD), house.address("furniture")
    made = asker.post(address, SOFA)
    assert made.status_code == 201 and made.json()["reach"]["nm"] == 24 * INCH
    assert set(wrong_at(asker.post(address, SOFA))) == {"/name"}
    assert set(wrong_at(asker.post(address, {**SOFA, "name": "Bench", "deep": None}))) == {"/deep"}
    one = made["Location"]
    assert asker.edit("PATCH", one, {"left": "14 in"}).json()["left"]["nm"] == 14 * INCH
    problem_of(asker.send("PATCH", one, {"left": "15 in"}, If_Match=made["ETag"]), 412)
    line = next(each for each in asker.get(address).json()["results"] if each["piece"]["name"] == "Sofa")
    assert line["near"]
    asker.post(house.address("revisions"))
    asker.edit("PATCH", one, {"door": "60 in"})
    line = next(each for each in asker.get(address).json()["results"] if each["piece"]["name"] == "Sofa")
    assert line["asks"] and line["no_longer_agree"]
    settled = asker.send("POST", one + "settle/", {"do": "back"}, If_Match=asker.get(one)["ETag"])
    assert settled.json()["door"]["nm"] == 20 * INCH
    problem_of(asker.post(one + "settle/", {"do": "back"}), 428)
    assert asker.send("DELETE", one, If_Match=asker.get(one)["ETag"]).status_code == 204


def marks(house):
    return list(house.revision.marks.order_by("pk"))


def test_a_mark_is_entered_where_it_was_set_and_taken_back(house):
    asker, address = house.ask(Role.CREW), house.address("as_built")
    second = marks(house)[1]
    told = asker.post(address, {"mark": second.ident, "step": "floor"})
    assert told.status_code == 201 and told.json()["entered"]["along"]["nm"] == int(second.along)
    problem_of(asker.post(address, {"mark": second.ident, "step": "floor", "along": "30 in", "reason": "joist"}), 412)
    told = problem_of(asker.post(address, {"mark": "Z9", "step": "floor"}), 422)
    assert "Z9" in told["detail"]
    back = asker.post(house.address("take_back_mark"), {"mark": second.ident, "step": "floor", "base": 1})
    assert back.status_code == 200
    problem_of(house.ask(Role.VIEWER).post(address, {"mark": second.ident, "step": "floor"}), 403)


def test_many_marks_are_entered_together_or_not_at_all(house):
    asker, address = house.ask(Role.CREW), house.address("as_built_bulk")
    rows = [{"mark": mark.ident, "step": "framing"} for mark in marks(house)[1:]]
    wrong = [*rows, {"mark": "Z9", "step": "framing"}, {"mark": "A1", "step": "sky"}]
    told = problem_of(asker.post(address, {"items": wrong}, Idempotency_Key="a"), 400)
    assert {error["pointer"] for error in told["errors"]} == {f"/items/{len(rows)}", f"/items/{len(rows) + 1}/step"}
    assert [each["status"] for each in told["items"]] == [200] * len(rows) + [422, 400]
    assert not house.room.as_built.filter(step="framing").exists()
    told = asker.post(address, {"items": rows}, Idempotency_Key="b")
    assert told.status_code == 201 and len(told.json()["items"]) == len(rows) == 5
    again = asker.post(address, {"items": rows}, Idempotency_Key="b")
    assert again.json() == told.json() and house.room.as_built.filter(step="framing").count() == 5


def test_a_mark_set_far_off_waits_for_the_yes_of_who_may_move_marks(house):
    """The job lets the crew move 1 in by themselves unless it says otherwise; this mark went 12 in."""
    crew, first = house.ask(Role.CREW), marks(house)[0]
    sheet = crew.get(house.address("as_built")).json()
    assert [move["mark"] for move in sheet["waits"]] == [first.ident]
    answer = house.address("answer_mark_move")
    problem_of(crew.post(answer, {"yes": True}), 403)
    lead = house.people[Role.CREW_LEAD]
    Membership.objects.filter(pk=lead.pk).update(may_move_marks=True)
    asker = house.ask(Role.CREW_LEAD)
    assert set(wrong_at(asker.post(answer, {"yes": False}))) == {"/note"}
    assert asker.post(answer, {"yes": True}).json()["state"] == "yes"
    problem_of(asker.post(answer, {"yes": True}), 422)
    mark = next(one for one in asker.get(house.address("as_built")).json()["marks"] if one["mark"] == first.ident)
    assert mark["goes_along"]["nm"] == int(first.along + inches(12))
    assert asker.get(house.address("mark_moves") + "?state=yes").json()["count"] == 1
