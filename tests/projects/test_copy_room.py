"""A room is copied as often as there are rooms like it; nothing in a copy claims to have been measured."""

import pytest
from django.urls import reverse

from layout.engine.lengths import inches
from layout.models import Draft
from projects.jobs.services import set_wire_points
from projects.platform.permissions import Role
from tests.factories import RoomFactory
from tests.shops import issue


def copy(client, room, times=1):
    return client.post(reverse("copy_room", args=[room.pk]), {"times": times})


def copies(room):
    return list(room.job.rooms.exclude(pk=room.pk).order_by("pk"))


def test_a_copy_keeps_build_up_counts_points_and_the_layouts_numbers(owner, room):
    light = room.draft.light_type
    room.counts.create(fixture_type=light, zone="A", count=6)
    point = {"what": "switch", "from_left": inches(6), "from_door": inches(0), "height": inches(48)}
    set_wire_points(room, [point])
    copy(owner, room)
    (made,) = copies(room)
    assert made.gap_left == inches(6)
    assert [layer.thickness for layer in made.layers.filter(surface="left")] == [inches(2)]
    assert made.counts.get().count == 6
    assert made.wire_points.get().height == inches(48)
    draft = Draft.objects.of(room.shop).get(room=made)
    assert (draft.rows, draft.end_setback, draft.row_setback, draft.speaker_gaps) == (2, inches(12), inches(18), "1,2")
    assert draft.light_type == light


def test_typed_positions_go_along(owner, room):
    room.draft.typed_positions.create(axis="along", position=inches(20))
    copy(owner, room)
    (made,) = copies(room)
    assert [typed.position for typed in made.draft.typed_positions.all()] == [inches(20)]
    assert room.draft.typed_positions.count() == 1


def test_its_sizes_come_from_a_plan_and_are_the_framing(owner, room):
    """166 x 93, not the 150 1/2 x 77 1/4 of the finished ceiling: that would lose its build-up twice."""
    copy(owner, room)
    (made,) = copies(room)
    visit = made.measurement_sets.get()
    assert visit.kind == "plan"
    assert {r.subject: r.value for r in visit.readings.all()} == {"door": inches(166), "left": inches(93)}
    assert "not measured here" in visit.note


def test_a_copy_starts_at_stage_0_unissued_and_unsquared(owner, room):
    room.stage = 5
    room.waits_for = "GC"
    room.save()
    issue(room)
    copy(owner, room)
    (made,) = copies(room)
    assert (made.stage, made.waits_for, made.revisions.count()) == (0, "", 0)
    assert made.stage_events.count() == 0


def test_changing_a_copy_leaves_the_original(owner, room):
    copy(owner, room)
    (made,) = copies(room)
    made.draft.end_setback = inches(20)
    made.draft.save()
    made.layers.all().delete()
    room.draft.refresh_from_db()
    assert room.draft.end_setback == inches(12)
    assert room.layers.count() == 4


def test_one_copy_leads_to_it_several_to_the_job(owner, room):
    answer = copy(owner, room)
    assert answer.url == reverse("room", args=[copies(room)[0].pk])
    assert copy(owner, room, 3).url == reverse("job", args=[room.job_id])


def test_many_copies_are_numbered_past_the_names_already_there(owner, room):
    RoomFactory(job=room.job, name="Snug 2")
    copy(owner, room, 3)
    names = sorted(room.job.rooms.values_list("name", flat=True))
    assert names == ["Snug", "Snug 1", "Snug 2", "Snug 3", "Snug 4"]


def test_a_copied_room_can_be_laid_out_and_issued_at_once(owner, room):
    """Planned 166 x 93 less 8 in a side: 12, 75, 138."""
    copy(owner, room)
    (made,) = copies(room)
    revision = issue(made)
    lights = {mark.along for mark in revision.marks.filter(kind="light")}
    assert lights == {inches(12), inches(75), inches(138)}


def test_a_long_name_is_copied_within_its_bound(owner, room):
    room.name = "x" * 80
    room.save()
    assert copy(owner, room).status_code == 302
    (made,) = copies(room)
    assert len(made.name) <= 80


@pytest.mark.parametrize("times", ["", "0", "-1", "51", "1.5", "many", "9" * 30])
def test_a_number_that_is_no_number_of_copies_makes_none(owner, room, times):
    answer = copy(owner, room, times)
    assert answer.url == reverse("room", args=[room.pk])
    assert "1 to 50" in owner.get(answer.url).content.decode()
    assert copies(room) == []


def test_fifty_are_made_or_none(owner, room):
    copy(owner, room, 50)
    assert len(copies(room)) == 50


@pytest.mark.parametrize("role", [Role.CREW, Role.VIEWER])
def test_crew_and_viewers_may_not(as_role, room, role):
    assert copy(as_role(role), room).status_code == 403
    assert copies(room) == []


def test_a_strangers_room_is_not_here(stranger, room):
    assert copy(stranger, room).status_code == 404
    assert copies(room) == []


def test_copying_is_posted(owner, room):
    assert owner.get(reverse("copy_room", args=[room.pk])).status_code == 405
