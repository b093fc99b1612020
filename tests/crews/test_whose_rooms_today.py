"""Which rooms a person works in today."""

import datetime as dt

import pytest

from projects.crews.queries import crew_on, jobs_of, rooms_today
from tests.factories import DAY, CrewDayFactory, JobFactory, MemberFactory, RoomFactory

pytestmark = pytest.mark.django_db
NEXT_DAY = DAY + dt.timedelta(days=1)


@pytest.fixture
def job(db):
    return JobFactory(number="26-014")


def planned(member, job, room=None, on=DAY):
    return CrewDayFactory(member=member, job=job, shop=job.shop, room=room, on=on)


def names(rooms):
    return [room.name for room in rooms]


def test_a_person_sees_the_rooms_of_the_day_and_no_others(job):
    member = MemberFactory(shop=job.shop)
    den, hall, bath = (RoomFactory(job=job, name=name) for name in ("Den", "Hall", "Bath"))
    planned(member, job, den)
    planned(member, job, hall, on=NEXT_DAY)
    planned(MemberFactory(shop=job.shop), job, bath)
    assert names(rooms_today(member, DAY)) == ["Den"]
    assert names(rooms_today(member, NEXT_DAY)) == ["Hall"]
    assert rooms_today(member, NEXT_DAY + dt.timedelta(days=1)) == []


def test_rooms_come_in_the_order_of_walking_level_by_level(job):
    member = MemberFactory(shop=job.shop)
    for level, name in (("2", "Den"), ("1", "Hall"), ("1", "Bath")):
        planned(member, job, RoomFactory(job=job, level=level, name=name))
    assert names(rooms_today(member, DAY)) == ["Bath", "Hall", "Den"]


def test_who_is_planned_for_a_job_has_its_rooms_that_are_under_way(job):
    member = MemberFactory(shop=job.shop)
    RoomFactory(job=job, name="Den", stage=4)
    RoomFactory(job=job, name="Closed out", stage=12)
    RoomFactory(job=job, name="Cancelled", cancelled=True)
    RoomFactory(shop=job.shop, name="Of another job")
    planned(member, job)
    assert names(rooms_today(member, DAY)) == ["Den"]


def test_the_day_is_read_in_three_queries_however_many_rooms(job, django_assert_num_queries):
    member = MemberFactory(shop=job.shop)
    for room in RoomFactory.create_batch(12, job=job):
        planned(member, job, room)
    with django_assert_num_queries(3):  # whether the person joined one job, the plan, the rooms
        rooms = rooms_today(member, DAY)
        assert {room.job.number for room in rooms} == {"26-014"}


def test_the_jobs_of_a_person_are_those_planned_and_not_closed(job):
    member = MemberFactory(shop=job.shop)
    closed = JobFactory(shop=job.shop, closed_on=DAY)
    JobFactory(shop=job.shop)
    planned(member, job)
    planned(member, closed)
    assert jobs_of(member) == [job]


def test_the_crew_of_a_week_is_told_by_day_and_name_within_the_shop(job):
    for name, on in (("Wilma", DAY), ("Abel", DAY), ("Later", DAY + dt.timedelta(days=9))):
        planned(MemberFactory(shop=job.shop, user__name=name), job, on=on)
    CrewDayFactory()
    week = crew_on(job.shop, DAY, DAY + dt.timedelta(days=6))
    assert [str(day.member.user) for day in week] == ["Abel", "Wilma"]
