"""People on site begin rooms at the same moment: each gets a number or a name of their own, and none an error."""

import threading

import pytest
from django.db import connection

from projects.jobs import services
from projects.jobs.models import Job
from tests.factories import JobFactory, RoomFactory, ShopFactory
from tests.shops import fresh

pytestmark = pytest.mark.django_db(transaction=True)


def at_once(work, times=4):
    """Run `work` in threads that start together; what each gave or raised."""
    gate, given = threading.Barrier(times), []

    def run():
        gate.wait()
        try:
            given.append(work())
        except Exception as error:
            given.append(repr(error))
        finally:
            connection.close()

    threads = [threading.Thread(target=run) for _n in range(times)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return given


def test_jobs_begun_at_once_are_numbered_apart():
    shop = ShopFactory()
    assert sorted(at_once(lambda: services.next_job(shop).number)) == ["1", "2", "3", "4"]
    assert Job.objects.of(shop).count() == 4


def test_rooms_begun_at_once_in_one_job_are_named_apart():
    job = JobFactory()
    given = at_once(lambda: services.add_room(job).name)
    assert sorted(given) == ["Room 1", "Room 2", "Room 3", "Room 4"]


def test_a_room_copied_by_several_at_once_is_copied_for_each():
    room = RoomFactory(name="Snug")
    given = at_once(lambda: services.copy_room(fresh(room), 2)[1].name)
    assert len(set(given)) == 4
    assert room.job.rooms.count() == 9
