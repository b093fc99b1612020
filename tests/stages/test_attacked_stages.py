"""Ways around a hold point: none is a way past it."""

import pytest
from django.test import Client
from django.urls import reverse

from projects.catalogue.tables import stage_templates
from projects.jobs.models import Job, Room
from projects.jobs.services import ALIKE_UNTIL, InTheField, change_job
from projects.platform.permissions import Role
from projects.stages import services
from projects.stages.order import guards_between
from tests.conftest import standing
from tests.factories import JobFactory, PassFactory, RoomFactory, ShopFactory
from tests.shops import people_of


class Site:
    def __init__(self):
        self.shop = ShopFactory()
        self.people = people_of(self.shop)
        self.job = JobFactory(shop=self.shop)
        self.room = RoomFactory(job=self.job, stage=7)
        self.elsewhere = RoomFactory(stage=7)


site_standing = standing(Site)


@pytest.fixture
def site(site_standing, db):
    return site_standing


def signed_in(site, role):
    client = Client()
    client.force_login(site.people[role].user)
    return client


def test_all_kinds_of_job_ask_the_same_up_to_the_release():
    jobs = [Job(runs_as=kind) for kind in stage_templates()]
    ways = {tuple(one.key for one in guards_between(job, 0, ALIKE_UNTIL)) for job in jobs}
    assert len(jobs) == 4 and len(ways) == 1


def test_a_job_in_the_field_keeps_its_kind_so_that_no_hold_point_is_walked_around(site):
    """As a prewire a room would come from insulation to close-out; new work again, it would have seen no trim."""
    for runs_as in ("retrofit", "prewire", "grid"):
        with pytest.raises(InTheField):
            change_job(site.job, site.job.version, {"runs_as": runs_as})
    office = signed_in(site, Role.ESTIMATOR)
    page = reverse("edit_job", args=[site.job.pk])
    boxes = {"number": site.job.number, "name": "Renamed", "runs_as": "prewire", "version": 1}
    answer = office.post(page, boxes)
    assert answer.status_code == 422 and "past stage 4" in answer.content.decode()
    told = office.patch(
        f"/api/v1/jobs/{site.job.pk}/", {"runs_as": "prewire"}, content_type="application/json", HTTP_IF_MATCH="*"
    )
    assert told.status_code == 400 and "in_the_field" in told.content.decode()
    assert Job.objects.of(site.shop).get(pk=site.job.pk).runs_as == "new_work"


def test_a_job_still_in_the_office_may_become_another_kind(site):
    Room.objects.of(site.shop).update(stage=ALIKE_UNTIL)
    assert change_job(site.job, site.job.version, {"runs_as": "retrofit"}).runs_as == "retrofit"


def test_a_room_in_the_trash_holds_the_kind_too(site):
    """Else it is put away, the job made another kind, and the room taken out again past its hold point."""
    lead = signed_in(site, Role.CREW_LEAD)
    lead.post(reverse("trash_room", args=[site.room.pk]), {"version": site.room.version})
    assert not Room.objects.of(site.shop).filter(pk=site.room.pk).exists()
    with pytest.raises(InTheField):
        change_job(site.job, site.job.version, {"runs_as": "prewire"})


def test_rooms_of_another_shop_move_with_nobodys_rooms(site):
    owner = signed_in(site, Role.OWNER)
    for do in ("", "hold", "lift"):
        boxes = {"room": [site.room.pk, site.elsewhere.pk], "stage": 6, "note": "x", "do": do, "kind": "rework",
                 "who": "x", "why": "x"}  # fmt: skip
        assert owner.post(reverse("move_rooms"), boxes).status_code == 404
    told = {"rooms": [site.room.pk, site.elsewhere.pk], "stage": 6, "note": "x"}
    assert owner.post("/api/v1/stages/moves/", told, content_type="application/json").status_code == 404
    assert set(Room.objects.every_shop().values_list("stage", flat=True)) == {7}


def test_only_the_owner_passes_a_guard_by_whatever_way(site):
    passes = [{"guard": key, "why": "in a hurry"} for key in ("photos_before_cover", "holes_are_marks")]
    for role in (Role.ESTIMATOR, Role.CREW_LEAD, Role.CREW, Role.VIEWER):
        person = signed_in(site, role)
        for where, more in ((f"/api/v1/rooms/{site.room.pk}/stages/", {}),
                            ("/api/v1/stages/moves/", {"rooms": [site.room.pk]})):  # fmt: skip
            told = person.post(where, {"stage": 9, "passes": passes, **more}, content_type="application/json")
            assert told.status_code == 403, (role, where)
        boxes = {"stage": 9, "version": 1, "room": site.room.pk}
        boxes |= {f"pass_{one['guard']}": one["why"] for one in passes}
        for page in (reverse("move_stage", args=[site.room.pk]), reverse("move_rooms")):
            assert person.post(page, boxes).status_code in (403, 422)
    assert Room.objects.of(site.shop).get(pk=site.room.pk).stage == 7


def test_a_pass_of_another_room_or_shop_is_not_answered_here(site):
    mine = PassFactory(event__room=RoomFactory(job=site.job))
    theirs = PassFactory()
    owner = signed_in(site, Role.OWNER)
    for passed in (mine, theirs):
        page = reverse("answer_pass", args=[site.room.pk, passed.pk])
        assert owner.post(page, {"words": "done", "version": 1}).status_code == 404
    assert not type(mine).objects.every_shop().exclude(answered_at=None).exists()


def test_a_safety_item_that_was_passed_is_closed_by_no_words(site):
    passed = PassFactory(event__room=site.room, safety=True)
    owner = signed_in(site, Role.OWNER)
    page = reverse("answer_pass", args=[site.room.pk, passed.pk])
    assert owner.post(page, {"words": "fine", "version": 1}).status_code == 422
    with pytest.raises(services.StaysOpen):
        services.answer_pass(passed, "fine", by=site.people[Role.OWNER], seen_version=1)
    passed.refresh_from_db()
    assert passed.is_open
