"""A new room is read as its job writes lengths; a copied one takes along framing sizes, and claims none was taped."""

import pytest

from layout.engine.lengths import inches, mm
from projects.jobs import services
from projects.jobs.models import Reading, SurveyKind
from tests.factories import JobFactory, MemberFactory, RoomFactory
from tests.shops import fresh, on_page, tape_room

pytestmark = pytest.mark.django_db


def sizes(room):
    readings = Reading.objects.filter(measurement_set__room=room).select_related("measurement_set")
    return {(r.subject, r.measurement_set.kind): r.value for r in readings}


def test_3200_in_a_metric_job_is_millimeters_though_the_shop_writes_inches(client):
    """Read as inches it would be a room of 266 ft 8 in, and pass for one."""
    owner = MemberFactory()
    client.force_login(owner.user)
    job = JobFactory(shop=owner.shop, style="mm")
    page = client.get(f"/rooms/new/?job={job.pk}")
    sent = on_page(page, "left_right") | {"left_right": "3200", "door_far": "2500"}
    assert client.post("/rooms/new/", sent).status_code == 302
    room = job.rooms.get()
    assert sizes(room) == {("door", "framing"): mm(3200), ("left", "framing"): mm(2500)}
    assert 'data-style="mm"' in page.content.decode()


def test_a_job_that_is_no_number_leaves_the_shops_own_tape(client):
    owner = MemberFactory()
    client.force_login(owner.user)
    assert client.get("/rooms/new/?job=none").status_code == 200


def copied(room):
    (copy,) = services.copy_room(fresh(room), 1)
    return sizes(copy)


def test_a_copy_takes_the_framing_and_not_the_ceiling_that_was_taped_after_it():
    """Copied as planned framing, a finished 150 1/2 in would lose its build-up twice."""
    room = RoomFactory()
    tape_room(room, SurveyKind.FRAMING, "166", "93")
    tape_room(room, SurveyKind.FINISHED, "150 1/2", "77 1/4")
    assert copied(room) == {("door", "plan"): inches(166), ("left", "plan"): inches(93)}


def test_a_copy_of_a_room_known_by_its_ceiling_alone_has_still_to_be_taped():
    room = RoomFactory()
    tape_room(room, SurveyKind.FINISHED, "150 1/2", "77 1/4")
    assert copied(room) == {}


def test_a_later_height_does_not_keep_the_sizes_from_coming_along():
    room = RoomFactory()
    tape_room(room, SurveyKind.PLAN, "166", "93")
    services.record_measurements(
        room, [("height", 1, inches(96), None)], kind="framing", taken_on="2026-05-04", taken_by="R."
    )
    assert copied(room) == {("door", "plan"): inches(166), ("left", "plan"): inches(93)}
