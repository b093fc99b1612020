"""A room's plan tried, kept, drawn and traced over the API; framing, lids and tasks it suits; revisions compared."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from layout.engine.lengths import inches
from layout.models import Draft
from projects.platform.permissions import Role
from tests.api.houses import problem_of, wrong_at

pytestmark = pytest.mark.django_db
INCH = 25_400_000  # nanometers
DUCT = {"what": "duct", "name": "Duct", "x": "70 in", "y": "30 in", "wide": "12 in", "deep": "8 in"}
PIN = {"line": "column", "number": 2, "at": "70 in"}


def seen(plan):
    return {name: plan[name] for name in ("draft_version", "ceiling_version")}


def test_a_plan_is_tried_without_keeping_anything_and_kept_from_the_versions_seen(house):
    asker, address = house.ask(Role.CREW_LEAD), house.address("plan")
    plan = asker.get(address).json()
    assert [len(plan["layout"]["marks"]), plan["pins"], plan["ceiling"]["things"]] == [6, [], []]
    sent = {"pins": [PIN], "ceiling": {"things": [DUCT]}}
    tried = asker.post(house.address("try_plan"), sent)
    assert tried.status_code == 200, tried.content
    assert 70 * INCH in [mark["along"]["nm"] for mark in tried.json()["marks"]]
    assert asker.get(address).json() == plan
    assert set(wrong_at(asker.post(address, sent))) == {"/draft_version", "/ceiling_version"}
    kept = asker.post(address, sent | seen(plan))
    assert kept.status_code == 200, kept.content
    now = kept.json()
    assert [pin["number"] for pin in now["pins"]] == [2]
    assert [one["name"] for one in now["ceiling"]["things"]] == ["Duct"]
    told = problem_of(asker.post(address, sent | {"pins": []} | seen(plan)), 412)
    assert told["current"] == f"{now['draft_version']}, {now['ceiling_version']}"
    assert Draft.objects.of(house.shop).get(room=house.room).held()[0]
    viewer = house.ask(Role.VIEWER)
    assert viewer.post(house.address("try_plan"), sent).status_code == 200
    problem_of(viewer.post(address, sent | seen(now)), 403)


def test_what_is_wrong_in_a_plan_is_told_by_its_place(house):
    sent = {"pins": [PIN, PIN], "ceiling": {"things": [{**DUCT, "x": 70}]}, "hue": 1}
    wrong = wrong_at(house.ask(Role.CREW_LEAD).post(house.address("try_plan"), sent))
    assert set(wrong) == {"/pins/1", "/ceiling/things/0/x", "/hue"}


def test_what_stood_overhead_before_is_put_back(house):
    asker, address = house.ask(Role.CREW), house.address("ceiling")
    asker.edit("PUT", address, {"framing": "none"})
    asker.edit("PUT", address, {"framing": "none", "things": [DUCT]})
    back = house.address("put_back_ceiling")
    problem_of(asker.post(back), 428)
    told = asker.send("POST", back, If_Match=asker.get(address)["ETag"])
    assert told.status_code == 200 and told.json()["things"] == []


def test_the_plan_is_taken_along_as_a_drawing(house):
    asker = house.ask(Role.VIEWER)
    svg = asker.get(house.address("plan_svg"), Accept="image/svg+xml")
    assert svg["Content-Type"] == "image/svg+xml" and b"<svg" in svg.content
    assert "draft" in svg["Content-Disposition"] or "r1" in svg["Content-Disposition"]
    dxf = asker.get(house.address("plan_dxf"))
    assert dxf["Content-Type"] == "image/vnd.dxf" and dxf.content.rstrip().endswith(b"EOF")


def test_a_picture_is_laid_under_the_plan_to_scale(house):
    asker, address, file = house.ask(Role.CREW_LEAD), house.address("plan_picture"), io.BytesIO()
    Image.new("RGB", (200, 100)).save(file, "PNG")
    upload = SimpleUploadedFile("plan.png", file.getvalue())
    made = asker.client.post(house.address("plan_picture_file"), {"picture": upload}, headers=asker.headers)
    assert made.status_code == 201 and (made.json()["wide"], made.json()["length"]) == (200, None)
    scale = {"from_x": 0, "from_y": 0, "to_x": 200, "to_y": 0, "length": "20 ft"}
    assert asker.edit("PATCH", address, scale).json()["length"]["nm"] == 240 * INCH
    assert set(wrong_at(asker.edit("PATCH", address, {"to_x": 201}))) == {"/to_x"}
    assert asker.get(house.address("plan_picture_file"))["Content-Type"] == "image/jpeg"
    assert asker.send("DELETE", address, If_Match=asker.get(address)["ETag"]).status_code == 204
    problem_of(asker.get(address), 404)


# What a ceiling is to suit


def test_framing_still_to_be_laid_is_offered_and_taken(house):
    asker, address = house.ask(Role.CREW_LEAD), house.address("framing_to_suit")
    told = asker.get(address + "?width=1 1/2 in&spacing=16 in").json()
    assert told["can_be_laid"] and told["offers"] and told["cautions"]
    errors = problem_of(asker.get(address + "?width=wide&hue=red"), 400)["errors"]
    assert [error["parameter"] for error in errors] == ["hue"]
    [error] = problem_of(asker.get(address + "?spacing=wide"), 400)["errors"]
    assert error["parameter"] == "spacing"
    body = {"key": told["offers"][0]["key"], "width": "1 1/2 in", "spacing": "16 in"}
    problem_of(asker.post(address, body), 428)
    ceiling = house.address("ceiling")
    taken = asker.send("POST", address, body, If_Match=asker.get(ceiling)["ETag"])
    assert taken.status_code == 200, taken.content
    assert len(taken.json()["joists"]) == len(asker.get(ceiling).json()["joists"]) == 1
    stale = asker.send("POST", address, body | {"key": "none"}, If_Match=asker.get(ceiling)["ETag"])
    problem_of(stale, 422)


def test_a_lids_boxes_are_told_at_the_usual_size_or_at_ones_own(house):
    asker, address = house.ask(Role.VIEWER), house.address("lid")
    usual, wider = asker.get(address).json(), asker.get(address + "?inside=5 in").json()
    assert usual["holes"] == wider["holes"] == 6
    assert wider["boxes"][0]["wide"]["nm"] > usual["boxes"][0]["wide"]["nm"]


def test_a_line_over_a_counter_is_offered_and_held_with_a_reason(house):
    asker, address, draft = house.ask(Role.CREW_LEAD), house.address("task_lines"), house.address("draft")
    asked = {"task": "counter", "wall": "far", "start": "20 in", "end": "120 in", "deep": "25 in"}
    told = asker.get(address + "?" + "&".join(f"{name}={value}" for name, value in asked.items()))
    assert told.status_code == 200, told.content
    offer = told.json()["offers"][0]
    [error] = problem_of(asker.get(address + "?task=piano"), 400)["errors"]
    assert error["parameter"] == "task"
    body = asked | {"key": offer["key"], "reason": "The cook stands there"}
    wrong = wrong_at(asker.send("POST", address, asked | {"key": "x"}, If_Match="*"))
    assert set(wrong) == {"/reason"}
    held = asker.send("POST", address, body, If_Match=asker.get(draft)["ETag"])
    assert held.status_code == 200 and held.json()["version"] > 1
    back = asker.send("POST", house.address("put_way_back"), If_Match=asker.get(draft)["ETag"])
    assert back.status_code == 200
    assert back.json()["pins"] == [] and back.json()["rows"] == 2


def test_the_room_next_door_is_named_and_of_this_job(house, neighbor):
    asker, address = house.ask(Role.CREW_LEAD), house.address("next_door")
    den = house.build("Den")
    asked = "&wall=far&from_corner=20 in&wide=100 in&their_wall=door&their_corner=20 in"
    told = asker.get(f"{address}?neighbor={den.pk}{asked}")
    assert told.status_code == 200, told.content
    assert told.json()["notes"]
    for other in (neighbor.room.pk, 987_654, house.room.pk):
        errors = problem_of(asker.get(f"{address}?neighbor={other}{asked}"), 400)["errors"]
        assert [error["parameter"] for error in errors] == ["neighbor"]


# Switches and revisions


def test_letters_are_put_back_as_they_were(house):
    asker, draft = house.ask(Role.CREW_LEAD), house.address("draft")
    asker.edit("PATCH", draft, {"switched": [{"row": 1, "number": 1, "zone": "B"}]})
    asker.edit("PATCH", draft, {"switched": []})
    told = asker.send("POST", house.address("put_back_switches"), If_Match=asker.get(draft)["ETag"])
    assert [one["zone"] for one in told.json()["switched"]] == ["B"]


def test_two_revisions_are_compared_and_the_older_ones_numbers_restored(house):
    asker, draft = house.ask(Role.CREW_LEAD), house.address("draft")
    [error] = problem_of(asker.get(house.address("revision_difference")), 400)["errors"]
    assert error["parameter"] == "since"
    asker.edit("PATCH", draft, {"end_setback": "14 in"})
    asker.post(house.address("revisions"))
    told = asker.get(house.address("revision_difference", number=2)).json()
    moved = {one["mark"] for one in told["marks"]}
    assert len(moved) == 4  # both ends of both rows; the middle ones stand in the middle
    back = asker.send("POST", house.address("restore_revision"), If_Match=asker.get(draft)["ETag"])
    assert back.status_code == 200, back.content
    assert back.json()["end_setback"]["nm"] == int(inches(12))
