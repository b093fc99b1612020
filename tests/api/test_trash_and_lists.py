"""Rooms put away, taken out again and pasted, the shop's rules and its people, over the API."""

import pytest

from projects.accounts.models import Membership, User
from projects.jobs.models import Job, Room
from projects.platform.permissions import Role
from projects.work.models import Work
from tests.api.houses import problem_of, wrong_at
from tests.factories import RoomFactory

pytestmark = pytest.mark.django_db


def drop(asker, address):
    return asker.send("DELETE", address, If_Match=asker.get(address)["ETag"])


def test_a_room_goes_to_the_trash_from_the_version_seen_and_comes_back(house):
    asker, address = house.ask(Role.CREW_LEAD), house.address("room")
    problem_of(asker.send("DELETE", address), 428)
    seen = asker.get(address)["ETag"]
    asker.edit("PATCH", address, {"note": "wet"})
    problem_of(asker.send("DELETE", address, If_Match=seen), 412)
    assert drop(asker, address).status_code == 204
    assert asker.get(address).status_code == 404
    [row] = asker.get("/api/v1/trash/rooms/").json()["results"]
    who = house.people[Role.CREW_LEAD].user.name
    assert (row["id"], row["days_left"], row["trashed_by"]) == (house.room.pk, 29, who)
    back = asker.post(house.address("restore_room"))
    assert back.status_code == 200 and back.json()["note"] == "wet"
    assert asker.get("/api/v1/trash/rooms/").json()["results"] == []
    problem_of(asker.post(house.address("restore_room")), 422)


def test_a_room_whose_name_was_given_meanwhile_comes_back_under_another(house):
    asker = house.ask(Role.CREW_LEAD)
    drop(asker, house.address("room"))
    RoomFactory(job=house.job, name="Snug")
    assert set(wrong_at(asker.post(house.address("restore_room")))) == {"/name"}
    assert asker.post(house.address("restore_room"), {"name": "Snug, old"}).json()["name"] == "Snug, old"


def test_a_job_takes_its_rooms_along_and_brings_them_back(house):
    office, lead = house.ask(Role.ESTIMATOR), house.ask(Role.CREW_LEAD)
    problem_of(lead.send("DELETE", house.address("job"), If_Match="*"), 403)
    assert drop(office, house.address("job")).status_code == 204
    problem_of(lead.post(house.address("restore_room")), 422)
    [row] = office.get("/api/v1/trash/jobs/").json()["results"]
    assert (row["id"], row["rooms"]) == (house.job.pk, 1)
    assert office.post(house.address("restore_job")).status_code == 200
    assert Room.objects.of(house.shop).filter(job=house.job).exists()


LIST = "Room\tLeft to right\tDoor to far\nDen\t12'\t10'\nHall\t20'\t5'\n"


def test_a_list_is_read_without_keeping_anything_then_entered_whole(house):
    asker, address = house.ask(Role.CREW_LEAD), house.address("paste_rooms")
    read = asker.post(address + "?dry_run=true", {"text": LIST})
    assert read.status_code == 200 and [row["cells"]["name"] for row in read.json()["rows"]] == ["Den", "Hall"]
    assert Room.objects.of(house.shop).count() == 1
    told = asker.post(address, {"text": LIST})
    assert told.status_code == 201 and len(told.json()["rooms"]) == 2
    assert Room.objects.of(house.shop).filter(pk__in=told.json()["rooms"], stage=1).count() == 2


def test_of_a_list_with_a_wrong_row_nothing_is_entered_and_the_row_is_named(house):
    asker, address = house.ask(Role.CREW_LEAD), house.address("paste_rooms")
    wrong = LIST + "Snug\t9'\t\n"
    told = problem_of(asker.post(address, {"text": wrong}), 400)
    assert all("Line 4" in error["detail"] for error in told["errors"]) and len(told["errors"]) == 2
    read = asker.post(address + "?dry_run=true", {"text": wrong}).json()["rows"]
    assert [bool(row["wrong"]) for row in read] == [False, False, True]
    assert Room.objects.of(house.shop).count() == 1
    assert set(wrong_at(asker.post(address, {"text": "Room\tColor\nDen\tred\n"}))) == {"/text"}


def test_a_long_list_is_entered_as_long_work(house):
    rows = "Room\n" + "".join(f"Room {n:04}\n" for n in range(201))
    told = house.ask(Role.CREW_LEAD).post(house.address("paste_rooms"), {"text": rows})
    assert told.status_code == 202
    assert Work.objects.of(house.shop).get(pk=told.json()["work"]).kind == "enter rooms"


def test_the_owner_changes_the_shops_rules_from_the_version_seen(house):
    owner, address = house.ask(), house.address("shop_rules")
    told = owner.edit("PATCH", address, {"spacing_limit": "5'", "web_min": "0 in", "zero_note": "Thin board, R."})
    assert told.json()["spacing_limit"]["nm"] == 60 * 25_400_000
    assert set(wrong_at(owner.edit("PATCH", address, {"zero_note": None}))) == {"/zero_note"}
    assert house.ask(Role.VIEWER).get(address).json()["name"] == house.shop.name
    problem_of(house.ask(Role.ESTIMATOR).send("PATCH", address, {}, If_Match="*"), 403)


def test_the_owner_says_who_works_here_and_the_last_owner_stays(house):
    owner, crew = house.ask(), house.people[Role.CREW]
    address = house.address("person")
    assert set(wrong_at(owner.edit("PATCH", address, {"may_approve": True}))) == {"/may_approve"}
    assert owner.edit("PATCH", address, {"role": "crew_lead", "may_approve": True}).json()["role"] == "crew_lead"
    assert Membership.objects.get(pk=crew.pk).may_approve
    me = house.people[Role.OWNER].pk
    Membership.objects.filter(shop=house.shop, role="owner").exclude(pk=me).update(role="viewer")
    own = house.address("person", member_id=me)
    assert set(wrong_at(owner.edit("PATCH", own, {"role": "viewer"}))) == {"/role"}
    assert {each["role"] for each in owner.get(house.address("people")).json()["results"]} == {r.value for r in Role}


def test_each_person_chooses_the_language_they_read(house):
    viewer = house.ask(Role.VIEWER)
    assert viewer.post(house.address("own_language"), {"language": "es-mx"}).status_code == 204
    assert User.objects.get(pk=house.people[Role.VIEWER].user_id).language == "es-mx"
    assert set(wrong_at(viewer.post(house.address("own_language"), {"language": "xx"}))) == {"/language"}


def test_jobs_in_the_trash_are_listed_for_those_who_keep_jobs(house):
    assert Job.objects.of(house.shop).count() == 1
    problem_of(house.ask(Role.CREW_LEAD).get(house.address("trashed_jobs")), 403)


def test_somebody_is_asked_in_once_by_their_address_and_taken_back(house):
    owner, address = house.ask(), house.address("invitations")
    body = {"name": "Pat", "email": "pat@shop.example", "role": "crew_lead", "may_approve": True}
    made = owner.post(address, body)
    assert made.status_code == 201 and made.json()["may_approve"] is True
    assert set(wrong_at(owner.post(address, body))) == {"/email"}
    one = house.address("invitation", invitation_id=made.json()["id"])
    assert owner.post(one + "again/").status_code == 202
    assert owner.send("DELETE", one).status_code == 204
    problem_of(owner.send("DELETE", one), 404)
    assert "pat@shop.example" not in [each["email"] for each in owner.get(address).json()["results"]]
    problem_of(house.ask(Role.ESTIMATOR).get(address), 403)
