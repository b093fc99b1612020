"""A room begins with two numbers off the tape."""

import html

import pytest
from django.urls import reverse

from layout.engine.lengths import inches
from projects.catalogue.services import stock_catalog
from projects.jobs.models import Job, Room
from projects.platform.permissions import Role
from tests.factories import JobFactory, RoomFactory

NEW = {"left_right": "13'-10\"", "door_far": "7'-9\"", "kind": "framing", "ceiling_system": "board"}


@pytest.fixture(autouse=True)
def catalog(shop):
    stock_catalog(shop)


def enter(client, **changes):
    return client.post(reverse("new_room"), NEW | changes)


def test_two_numbers_give_a_room_in_a_job_of_its_own(owner, shop):
    answer = enter(owner)
    room = Room.objects.of(shop).get()
    assert answer.url == reverse("room", args=[room.pk])
    readings = {r.subject: r.value for r in room.measurement_sets.get().readings.all()}
    assert readings == {"door": inches(166), "left": inches(93)}
    assert (room.stage, room.job.shop) == (1, shop)
    assert owner.get(answer.url).status_code == 200


def test_who_taped_it_is_written_down(as_role, people, shop):
    enter(as_role(Role.CREW_LEAD))
    visit = Room.objects.of(shop).get().measurement_sets.get()
    assert (visit.taken_by, visit.entered_by) == (people[Role.CREW_LEAD].user.name, people[Role.CREW_LEAD])


def test_a_name_a_height_and_a_job_may_be_given(owner, shop, job):
    enter(owner, name="Den", height="8'-1 1/8\"", job=job.pk)
    room = Room.objects.of(shop).get()
    assert (room.name, room.job) == ("Den", job)
    assert room.measurement_sets.get().readings.get(subject="height").value == inches("97 1/8")


def test_it_begins_with_its_ceilings_usual_build_up(owner, shop):
    enter(owner)
    assert Room.objects.of(shop).get().layers.filter(surface="left").exists()


def test_rooms_without_a_name_are_counted(owner, job):
    for _n in range(2):
        enter(owner, job=job.pk)
    assert list(job.rooms.values_list("name", flat=True)) == ["Room 1", "Room 2"]


@pytest.mark.parametrize(
    ("box", "typed", "says"),
    [
        ("left_right", "", "needed"),
        ("left_right", "12-6", "can be read as"),
        ("left_right", "12 6 1/2", "can be read as"),
        ("left_right", "0", "Zero"),
        ("left_right", "11", "least allowed"),  # under a foot
        ("left_right", "300' 1", "most allowed"),
        ("left_right", "-166", "without the minus"),
        ("left_right", "1" * 65, "64 characters"),
        ("left_right", "١٦٦", "0 to 9"),
        ("left_right", "१६६", "0 to 9"),
        ("left_right", "about 14 ft", "about"),
        ("left_right", "1e3", "e"),
        ("door_far", "93\x00", ""),
        ("height", "4'", "least allowed"),
        ("height", "61'", "most allowed"),
        ("name", "x" * 81, "80"),
        ("name", "a\u202eb", "hidden"),
        ("kind", "guessed", "guessed"),
        ("ceiling_system", "sky", "sky"),
        ("job", "987654", ""),
        ("job", "x", ""),
    ],
)
def test_a_wrong_box_says_so_and_all_that_was_typed_stays(owner, shop, box, typed, says):
    answer = enter(owner, **{box: typed})
    form = answer.context["form"]
    assert answer.status_code == 422
    assert set(form.errors) == {box}
    assert says in " ".join(form.errors[box])
    assert form[box].value() == typed
    other = "door_far" if box == "left_right" else "left_right"
    assert form[other].value() == NEW[other]
    assert not Room.objects.of(shop).exists() and not Job.objects.of(shop).exists()


def test_both_readings_of_a_number_are_offered(owner):
    """12-6 in an inch shop: 12 ft 6 in or 12 6/16 in."""
    page = html.unescape(enter(owner, left_right="12-6").content.decode())
    assert 'name="take:left_right" value="12\'-6""' in page and 'value="12 6/16 in"' in page


def test_a_name_the_job_has_is_refused_by_its_box(owner, job):
    RoomFactory(job=job, name="Den")
    answer = enter(owner, name="Den", job=job.pk)
    assert answer.status_code == 422
    assert set(answer.context["form"].errors) == {"name"}


def test_another_shops_job_can_not_be_chosen(owner, shop):
    theirs = JobFactory()
    assert theirs.name not in owner.get(reverse("new_room") + f"?job={theirs.pk}").content.decode()
    assert enter(owner, job=theirs.pk).status_code == 422
    assert not theirs.rooms.exists()


@pytest.mark.parametrize("role", [Role.CREW, Role.VIEWER])
def test_crew_and_viewers_begin_no_room(as_role, shop, role):
    client = as_role(role)
    assert [client.get(reverse("new_room")).status_code, enter(client).status_code] == [403, 403]
    assert not Room.objects.of(shop).exists()


def test_another_verb_is_refused(owner):
    assert owner.put(reverse("new_room")).status_code == 405
