"""Deleting: what is in the trash counts nowhere, its history stays, its name is free, and it comes back whole."""

import datetime as dt
import io

import pytest
from django.core.management import call_command
from django.http import Http404
from django.urls import reverse
from django.utils import timezone

from projects.accounts.models import Role
from projects.jobs.models import Job, Room
from projects.jobs.queries import jobs_of
from projects.jobs.services import NameTaken, add_room
from projects.platform.tenancy import StaleVersion
from projects.trash import services
from projects.trash.purging import KEPT, purge
from reports.cables.gather import room_numbers
from reports.changes.queries import changed_since, unsigned
from reports.demo.trash import enter_trash
from reports.queries import laid_rooms
from reports.takeoffs.counting import rooms_of
from tests.conftest import standing
from tests.factories import (
    BidFactory,
    CircuitFactory,
    FieldExtraFactory,
    JobFactory,
    LoggedHoursFactory,
    RoomFactory,
    StageEventFactory,
    SwitchZoneFactory,
)
from tests.shops import issue, people_of, practice_room, sign_in

pytestmark = pytest.mark.django_db


class House:
    """A shop with one job: a room that was issued, and one that was only named."""

    def __init__(self):
        self.job = JobFactory()
        self.shop = self.job.shop
        self.room = practice_room(self.shop, job=self.job)
        self.people = people_of(self.shop)
        self.owner = self.people[Role.OWNER]
        self.revision = issue(self.room, by=self.owner)
        self.other = RoomFactory(job=self.job, name="Pantry")


house_standing = standing(House)


@pytest.fixture
def house(house_standing, db):
    return house_standing


def seen(record):
    return type(record).objects.of(record.shop).get(pk=record.pk).version


def trashed(record, by=None, days=0):
    put = services.trash_room if isinstance(record, Room) else services.trash_job
    stored = put(record, seen(record), by=by)
    if days:
        then = timezone.now() - dt.timedelta(days=days)
        Room.everything.of(stored.shop).filter(trashed_at=stored.trashed_at).update(trashed_at=then)
        type(stored).everything.of(stored.shop).filter(pk=stored.pk).update(trashed_at=then)
    return type(stored).everything.of(stored.shop).get(pk=stored.pk)


def test_a_deleted_room_counts_nowhere(house, client):
    sign_in(client, house.owner)
    circuit = CircuitFactory(job=house.job)
    zone = SwitchZoneFactory(room=house.room, circuit=circuit)
    assert "Snug" in client.get(reverse("rooms"), {"view": "table"}).content.decode()
    trashed(house.room)
    assert "Snug" not in client.get(reverse("rooms"), {"view": "table"}).content.decode()
    assert list(house.job.rooms.all()) == [house.other]
    assert jobs_of(house.shop).get(pk=house.job.pk).room_count == 1
    assert [room.pk for room in rooms_of(house.job)] == [house.other.pk]
    assert laid_rooms(house.job) == []
    circuit.refresh_from_db()
    assert circuit.home_room([zone.__class__.objects.select_related("room").get(pk=zone.pk)]) is None


def test_what_was_issued_and_every_move_between_stages_is_there_again_after_it_comes_back(house):
    StageEventFactory(room=house.room)
    gone = trashed(house.room, by=house.owner)
    assert gone.trashed_by == house.owner
    back = services.restore_room(gone)
    assert back.trashed_at is None and back.trashed_by is None
    assert (back.stage_events.count(), back.revisions.count()) == (1, 1)


def test_a_name_is_free_after_a_delete_and_the_room_that_comes_back_needs_another(house):
    gone = trashed(house.other)
    add_room(house.job, name="Pantry")
    with pytest.raises(NameTaken, match="called Pantry now"):
        services.restore_room(gone)
    assert services.restore_room(gone, name="Old pantry").name == "Old pantry"


def test_a_job_number_is_free_after_a_delete_and_the_job_that_comes_back_needs_another(house):
    gone = trashed(house.job)
    JobFactory(shop=house.shop, number=house.job.number)
    with pytest.raises(NameTaken, match="number"):
        services.restore_job(gone)
    assert services.restore_job(gone, number="77-b").number == "77-b"


def test_a_job_takes_its_rooms_along_and_brings_back_only_those(house):
    trashed(house.other, days=2)
    gone = trashed(house.job)
    assert not Room.objects.of(house.shop).exists() and not Job.objects.of(house.shop).exists()
    with pytest.raises(services.JobInTheTrash, match="Take that out first"):
        services.restore_room(Room.everything.of(house.shop).get(pk=house.other.pk))
    services.restore_job(gone)
    assert [room.pk for room in Room.objects.of(house.shop)] == [house.room.pk]


def test_a_room_somebody_changed_meanwhile_is_not_deleted_unseen(house):
    old = house.other.version
    Room.objects.of(house.shop).filter(pk=house.other.pk).update(version=old + 1)
    with pytest.raises(StaleVersion):
        services.trash_room(house.other, old, by=None)
    assert Room.objects.of(house.shop).filter(pk=house.other.pk).exists()


def test_it_is_put_away_once_and_taken_out_once(house):
    version = seen(house.other)
    gone = trashed(house.other)
    with pytest.raises(Http404):
        services.trash_room(house.other, version, by=None)
    services.restore_room(gone)
    with pytest.raises(Http404):
        services.restore_room(gone)


def test_numbers_on_cable_labels_stay_when_a_room_before_is_deleted(house):
    was = room_numbers(house.job)[house.other.pk]
    trashed(house.room)
    assert room_numbers(house.job)[house.other.pk] == was == 2


def test_what_is_not_signed_of_a_deleted_job_ages_no_more(house):
    FieldExtraFactory(job=house.job)
    assert unsigned(house.shop).extras == 1
    trashed(house.job)
    assert unsigned(house.shop).extras == 0


def test_after_thirty_days_a_room_goes_with_its_layouts_and_history(house):
    StageEventFactory(room=house.room)
    trashed(house.room, days=KEPT.days - 1)
    assert purge().rooms == 0
    told = purge(now=timezone.now() + dt.timedelta(days=1))
    assert (told.rooms, told.kept) == (1, [])
    assert not Room.everything.of(house.shop).filter(pk=house.room.pk).exists()
    assert Room.objects.of(house.shop).filter(pk=house.other.pk).exists()


def test_hours_and_bids_keep_what_they_stand_on(house):
    LoggedHoursFactory(room=house.other)
    BidFactory(job=house.job)
    trashed(house.job, days=KEPT.days + 1)
    told = purge()
    assert told.rooms == 1 and told.jobs == 0  # the room that was only laid out goes
    assert dict(told.kept) == {"Pantry": "hours logged", str(house.job): "bids, rooms that have to stay"}
    out = io.StringIO()
    call_command("purge", stdout=out)
    assert "Stays in the trash: Pantry (held by hours logged)." in out.getvalue()


def test_an_empty_job_goes_for_good(house):
    lone = JobFactory(shop=house.shop)
    CircuitFactory(job=lone)
    trashed(lone, days=KEPT.days)
    assert purge().jobs == 1 and not Job.everything.of(house.shop).filter(pk=lone.pk).exists()


def test_what_was_restored_while_the_purge_ran_stays(house):
    gone = trashed(house.other, days=KEPT.days + 1)
    services.restore_room(gone)
    assert purge().rooms == 0 and Room.objects.of(house.shop).filter(pk=house.other.pk).exists()


def test_one_press_takes_a_delete_back(house, client):
    sign_in(client, house.owner)
    page = client.get(reverse("trash_room", args=[house.other.pk])).content.decode()
    assert "Put it in the trash" in page
    answer = client.post(reverse("trash_room", args=[house.other.pk]), {"version": seen(house.other)}, follow=True)
    undo = reverse("restore_room", args=[house.other.pk])
    assert f'action="{undo}"' in answer.content.decode()
    assert client.get(reverse("room", args=[house.other.pk])).status_code == 404
    assert "is back" in client.post(undo, follow=True).content.decode()


def test_the_trash_tells_who_deleted_what_and_asks_for_another_name(house, client):
    sign_in(client, house.owner)
    trashed(house.other, by=house.owner)
    add_room(house.job, name="Pantry")
    page = client.get(reverse("trash")).content.decode()
    assert "Put back Pantry" in page and house.owner.user.name in page
    asked = client.post(reverse("restore_room", args=[house.other.pk]))
    assert asked.status_code == 422 and 'value="Pantry"' in asked.content.decode()


def test_a_card_of_a_deleted_room_is_out_of_date(house, client):
    address = reverse("check_card", args=[house.revision.token])
    assert "is the latest" in client.get(address).content.decode()
    trashed(house.room)
    told = client.get(address).content.decode()
    assert "is the latest" not in told and "deleted" in told


def test_the_demo_has_a_room_in_its_trash(house):
    JobFactory(shop=house.shop, number="26-027")
    enter_trash(house.shop, {"lead": house.owner})
    assert [room.name for room in Room.everything.of(house.shop).trashed()] == ["Bath, entered twice"]


def test_layouts_changed_in_a_deleted_room_make_no_change_order(house):
    class Nothing:
        frozen = None

    trashed(house.room)
    assert changed_since(house.job, Nothing()) == []
