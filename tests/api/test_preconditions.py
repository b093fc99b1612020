"""An edit says what it was made from, and nobody's change is lost. Source: RFC 9110, 13.1; RFC 6585, 3 (428)."""

import pytest

from projects.jobs.models import Job, Room
from projects.platform.tenancy import save_from
from tests.api.houses import problem_of

LAYERS = {"door": [{"name": "furring", "thickness": "1 in"}]}
GAPS = {"door": "6 in", "left": "6 in", "far": "6 in", "right": "6 in"}
BUILD_UP = {
    "ceiling_system": "cloud",
    "held_left_right": "unknown",
    "held_door_far": "unknown",
    "gaps": GAPS,
    "layers": LAYERS,
}
EDITS = {
    "job": ("PATCH", {"name": "New name"}),
    "room": ("PATCH", {"name": "New name"}),
    "fixture_type": ("PATCH", {"name": "New name"}),
    "light_target": ("PATCH", {"space": "New name"}),
    "photometric_file": ("PATCH", {"name": "New name"}),
    "draft": ("PATCH", {"rows": 3}),
    "build_up": ("PUT", BUILD_UP),
    "counts": ("PUT", {"counts": []}),
}


@pytest.mark.parametrize("name", EDITS)
def test_an_edit_without_what_it_was_made_from_is_refused(house, name):
    method, body = EDITS[name]
    problem_of(house.ask().send(method, house.address(name), body), 428)


@pytest.mark.parametrize("name", EDITS)
def test_an_edit_of_what_was_read_is_kept_and_has_a_new_tag(house, name):
    method, body = EDITS[name]
    asker, address = house.ask(), house.address(name)
    before = asker.get(address)["ETag"]
    response = asker.send(method, address, body, If_Match=before)
    assert response.status_code == 200, response.content
    assert response["ETag"] not in ("", before)
    again = asker.get(address)
    assert (again["ETag"], again.json()) == (response["ETag"], response.json())


@pytest.mark.parametrize(
    "tag", ['"0-0"', "W/{right}", "garbage", "", '"{right}"', "{right}x", '"a", "b"'], ids=lambda tag: tag or "empty"
)
@pytest.mark.parametrize("name", EDITS)
def test_a_tag_that_is_not_the_stored_one_is_stale(house, name, tag):
    """A weak tag never matches here (RFC 9110, 13.1.1)."""
    method, body = EDITS[name]
    asker, address = house.ask(), house.address(name)
    before = asker.get(address)
    response = asker.send(method, address, body, If_Match=tag.format(right=before["ETag"]))
    problem_of(response, 412)
    assert asker.get(address).content == before.content


@pytest.mark.parametrize("tag", ["*", '"0-0", {right}'])
@pytest.mark.parametrize("name", EDITS)
def test_any_of_several_tags_will_do_and_a_star_is_whatever_is_stored(house, name, tag):
    method, body = EDITS[name]
    asker, address = house.ask(), house.address(name)
    right = asker.get(address)["ETag"]
    assert asker.send(method, address, body, If_Match=tag.format(right=right)).status_code == 200


def test_a_stale_edit_shows_both_values_and_the_way_on(house):
    asker, address = house.ask(), house.address("job")
    seen = asker.get(address)["ETag"]
    asker.send("PATCH", address, {"name": "Theirs", "note": "kept"}, If_Match=seen)
    told = problem_of(asker.send("PATCH", address, {"name": "Mine"}, If_Match=seen), 412)
    assert (told["yours"], told["theirs"]) == ({"name": "Mine"}, {"name": "Theirs"})
    assert asker.send("PATCH", address, {"name": "Mine"}, If_Match=told["current"]).json()["name"] == "Mine"
    assert Job.objects.of(house.shop).get(pk=house.job.pk).note == "kept"


def test_one_who_saves_between_the_look_and_the_save_is_not_run_over(house, monkeypatch):
    """The version is settled by the UPDATE itself, not by the look before it."""
    from projects.jobs import services

    def slow(record, seen, changes, *, at):
        Job.objects.of(record.shop_id).filter(pk=record.pk).update(version=seen + 1, name="Faster")
        return save_from(record, seen, changes, at=at)

    asker, address = house.ask(), house.address("job")
    tag = asker.get(address)["ETag"]
    monkeypatch.setattr(services, "save_from", slow)
    told = problem_of(asker.send("PATCH", address, {"name": "Slower"}, If_Match=tag), 412)
    assert told["theirs"] == {"name": "Faster"}


@pytest.mark.parametrize("name", [*EDITS, "revision"])
def test_what_one_has_already_is_not_sent_again(house, name):
    asker, address = house.ask(), house.address(name)
    tag = asker.get(address)["ETag"]
    for held in (tag, f"W/{tag}", f'"0-0", {tag}', "*"):
        response = asker.get(address, If_None_Match=held)
        assert (response.status_code, response.content, response["ETag"]) == (304, b"", tag)
    assert asker.get(address, If_None_Match='"0-0"').status_code == 200


def test_an_approval_is_a_change_to_be_seen(house):
    house.people["owner"].may_approve = True
    house.people["owner"].save()
    asker = house.ask()
    tag = asker.get(house.address("revision"))["ETag"]
    asker.post(house.address("approval"))
    assert asker.get(house.address("revision"), If_None_Match=tag).status_code == 200


def test_verifying_a_cutout_is_an_edit_of_what_was_read(house):
    asker, body = house.ask(), {"verified_by": "R.", "verified_on": "2026-05-03"}
    address, kept = house.address("verify_cutout"), house.address("fixture_type")
    problem_of(asker.post(address, body), 428)
    problem_of(asker.post(address, body, If_Match='"0-0"'), 412)
    told = asker.post(address, body, If_Match=asker.get(kept)["ETag"])
    assert told.json()["cutout_verified_by"] == "R."
    changed = asker.edit("PATCH", kept, {"cutout": "4 1/2 in"})
    assert changed.json()["cutout_verified_by"] == ""


def test_a_room_and_its_build_up_share_a_version(house):
    """Whoever looked at the room saw the build-up too."""
    asker = house.ask()
    tag = asker.get(house.address("room"))["ETag"]
    assert asker.send("PUT", house.address("build_up"), BUILD_UP, If_Match=tag).status_code == 200
    problem_of(asker.send("PATCH", house.address("room"), {"name": "Den"}, If_Match=tag), 412)
    assert Room.objects.of(house.shop).get(pk=house.room.pk).name == "Snug"
