"""An edit says what it was made from, and nobody's change is lost. Source: RFC 9110, 13.1; RFC 6585, 3 (428)."""

import pytest

from projects.accounts.models import Membership
from projects.jobs.models import Job, Room
from projects.platform.permissions import Role
from projects.platform.tenancy import save_from
from tests.api.houses import api_patterns, problem_of
from tests.untouched import nothing_changes

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


# Every address that changes or takes away a record, from the URL resolver

WITHOUT_A_VERSION = {
    ("token", "DELETE"): "a token is ended, never changed: there is nothing of anybody's to lose",
    ("invitation", "DELETE"): "an invitation is taken back, never changed",
    ("join_code", "DELETE"): "a code is ended, never changed",
    ("own_feed", "DELETE"): "a calendar's address is ended, never changed",
    ("webhook_secret", "DELETE"): "the older of two secrets is ended, never changed",
}
UNSAFE = [
    (name, method)
    for name, pattern in api_patterns().items()
    for method in ("PUT", "PATCH", "DELETE")
    if hasattr(pattern.callback.cls, method.lower()) and (name, method) not in WITHOUT_A_VERSION
]


@pytest.mark.parametrize(("name", "method"), UNSAFE)
def test_every_change_of_a_record_says_what_it_was_made_from(house, name, method):
    """Whatever its body: a form that was opened too long ago is told so before it is looked over."""
    Membership.objects.filter(pk=house.people[Role.OWNER].pk).update(may_approve=True, may_move_marks=True)
    asker, address = house.ask(), house.address(name)
    with nothing_changes(leave=("accounts.ApiToken", "takeoffs.RoomLines")):
        problem_of(asker.send(method, address, {}), 428)
        for tag in ('"0-0"', 'W/"1-1"', "garbage", '"0-0-0123456789abcdef"'):
            problem_of(asker.send(method, address, {}, If_Match=tag), 412)


def test_what_stands_without_a_version_is_still_there():
    assert {(name, method) for name, method in WITHOUT_A_VERSION if hasattr(
        api_patterns()[name].callback.cls, method.lower())} == set(WITHOUT_A_VERSION)  # fmt: skip


# What is told where two met, and how tags differ


def test_the_difference_is_told_field_by_field(house):
    asker, address = house.ask(), house.address("job")
    seen = asker.get(address)["ETag"]
    asker.send("PATCH", address, {"name": "Theirs", "note": "same"}, If_Match=seen)
    mine = {"name": "Mine", "note": "same", "client": "New"}
    told = problem_of(asker.send("PATCH", address, mine, If_Match=seen), 412)
    client = asker.get(address).json()["client"]
    assert told["difference"] == [
        {"pointer": "/name", "yours": "Mine", "theirs": "Theirs"},
        {"pointer": "/client", "yours": "New", "theirs": client},
    ]


def test_in_a_nested_body_the_difference_points_inside(house):
    asker, address = house.ask(), house.address("build_up")
    seen = asker.get(address)["ETag"]
    theirs = BUILD_UP | {"gaps": {**GAPS, "far": "3 in"}}
    assert asker.send("PUT", address, theirs, If_Match=seen).status_code == 200
    told = problem_of(asker.send("PUT", address, BUILD_UP, If_Match=seen), 412)
    pointers = [each["pointer"] for each in told["difference"]]
    assert "/gaps/far" in pointers and "/gaps" not in pointers


def test_who_is_told_another_body_is_told_another_tag(house):
    """An answer kept under a tag is never taken for what another role reads."""
    for name in ("me", "job", "rooms", "fixture_type"):
        tags = {}
        for role in Role:
            answer = house.ask(role).get(house.address(name))
            assert tags.setdefault(answer["ETag"], answer.content) == answer.content
        assert len({*tags.values()}) == len(tags)
    owner, crew = (house.ask(role).get(house.address("me"))["ETag"] for role in (Role.OWNER, Role.CREW))
    assert owner != crew


@pytest.mark.parametrize("name", ["jobs", "rooms", "job_rooms", "job_takeoff", "me", "stages"])
def test_a_list_one_has_already_is_not_sent_again_until_it_changes(house, name):
    asker, address = house.ask(), house.address(name)
    first = asker.get(address)
    again = asker.get(address, If_None_Match=first["ETag"])
    assert (again.status_code, again.content, again["ETag"]) == (304, b"", first["ETag"])
    assert asker.get(address, If_None_Match='"0"').status_code == 200
    if name == "jobs":
        asker.edit("PATCH", house.address("job"), {"note": "changed"})
        assert asker.get(address, If_None_Match=first["ETag"]).status_code == 200


def test_a_tag_changes_with_what_is_reckoned_though_the_version_stands(house):
    """A strong tag is of every byte (RFC 9110, 8.8.1); an edit made from either is an edit of the same version."""
    asker, address = house.ask(), house.address("job")
    before = asker.get(address)["ETag"]
    Job.objects.of(house.shop).filter(pk=house.job.pk).update(note="written past the version")
    after = asker.get(address)["ETag"]
    assert before != after and before.split("-")[:2] == after.split("-")[:2]
    assert asker.send("PATCH", address, {"name": "x"}, If_Match=before).status_code == 200
