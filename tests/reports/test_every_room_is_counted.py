"""A job's takeoff leaves no room out, however many there are; a packet too thick to print says so."""

import pytest
from django.contrib.messages import get_messages
from django.urls import reverse

from reports import queries
from tests.factories import JobFactory, MemberFactory
from tests.shops import issue, practice_room

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(client, monkeypatch):
    """Three laid-out rooms where a packet takes two."""
    owner = MemberFactory()
    client.force_login(owner.user)
    job = JobFactory(shop=owner.shop)
    for name in ("Den", "Snug", "Hall"):
        issue(practice_room(owner.shop, job=job, name=name))
    monkeypatch.setattr(queries, "MOST_ROOMS", 2)
    return job


def test_the_jobs_takeoff_and_schedule_hold_every_room(client, job):
    """Three rooms of six lights are eighteen."""
    for page in ("job_takeoff", "job_schedule"):
        said = client.get(reverse(page, args=[job.pk])).content.decode()
        assert all(name in said for name in ("Den", "Snug", "Hall"))
    assert "18 lights" in said


def test_a_packet_of_too_many_rooms_is_refused_with_a_way_out(client, job):
    answer = client.get(reverse("job_packet", args=[job.pk]))
    (told,) = get_messages(answer.wsgi_request)
    assert str(told) == "3 rooms are too many for one packet; it takes 2. Print their cards room by room."
